// Loudness and the size of the vibrato as they are written: a hairpin with its marks, and a wedge that
// grows or fades. Where each piece stands is pure; only the drawing at the end needs a canvas.

import { isTurnOf } from "./shared-time.js";

const MARKS = ["pp", "p", "mp", "mf", "f", "ff"];
/** Shares of the height that hairpin and wedge take, each alone and beside the other, and what a mark takes of a hairpin's length, px. */
const ALONE = 0.45;
const BESIDE = 0.3;
const MARK_WIDTH_PX = 24;

/**
 * @typedef {{ fromBeat: number, toBeat: number, from: number, to: number }} Way how open it is at both ends, 0 to 1
 * @typedef {{ beat: number, text: string, isEnd: boolean }} Mark
 * @typedef {{ hairpins: Way[], wedges: Way[], marks: Mark[] }} Expression
 */

/**
 * What is written for one player from one beat to another.
 * @param {import("./raster-geometry.js").Score} score
 * @param {number} fromBeat
 * @param {number} toBeat
 * @param {number} chair
 * @returns {Expression}
 */
export function expressionOf(score, fromBeat, toBeat, chair) {
  /** @type {Expression} */
  const found = { hairpins: [], wedges: [], marks: [] };
  const ways = waysOf(score, chair);
  for (const { start, end, grows } of ways) {
    if (start < toBeat && end > fromBeat) found.hairpins.push(part(start, end, grows ? 0 : 1, grows ? 1 : 0, fromBeat, toBeat));
  }
  /** Whether a hairpin goes on there: the mark on its way is not written. @param {number} beat */
  const goesOn = (beat) => ways.some((way) => way.start < beat && beat < way.end);
  let start = 0;
  let lastMark = "";
  for (const span of score.spans) {
    const end = start + (span.length_beats ?? Infinity);
    const isSeen = start < toBeat && end > fromBeat && isTurnOf(span, chair) && span.target.kind !== "rest";
    const { from, to } = span.dynamics ?? {};
    if (isSeen && from !== undefined && to !== undefined) {
      if (from !== to) {
        // A mark that is written once is not written again at the same place.
        if (end <= toBeat && !goesOn(end)) found.marks.push({ beat: end, text: to, isEnd: true });
      }
      if (start >= fromBeat && from !== lastMark) found.marks.push({ beat: start, text: from, isEnd: false });
    }
    if (isSeen && span.ease) found.wedges.push(part(start, end, span.ease.from, span.ease.to, fromBeat, toBeat));
    lastMark = to ?? "";
    start = end;
  }
  return found;
}

/**
 * Hairpins from their beginning to their end: one that is written over several spans is one.
 * @param {import("./raster-geometry.js").Score} score @param {number} chair
 */
function waysOf(score, chair) {
  /** @type {{ start: number, end: number, grows: boolean, to: string }[]} */
  const ways = [];
  let start = 0;
  for (const span of score.spans) {
    const end = start + (span.length_beats ?? Infinity);
    const { from, to } = span.dynamics ?? {};
    if (from !== undefined && to !== undefined && from !== to && isTurnOf(span, chair) && span.target.kind !== "rest") {
      const grows = MARKS.indexOf(from) < MARKS.indexOf(to);
      const last = ways[ways.length - 1];
      if (last && last.end === start && last.grows === grows && last.to === from) Object.assign(last, { end, to });
      else ways.push({ start, end, grows, to });
    }
    start = end;
  }
  return ways;
}

/**
 * A way from one value to another, as far as it lies between two beats.
 * @param {number} start @param {number} end @param {number} from @param {number} to
 * @param {number} fromBeat @param {number} toBeat
 * @returns {Way}
 */
function part(start, end, from, to, fromBeat, toBeat) {
  const at = (/** @type {number} */ beat) => (end === Infinity ? from : from + ((to - from) * (beat - start)) / (end - start));
  const [first, last] = [Math.max(start, fromBeat), Math.min(end, toBeat)];
  return { fromBeat: first, toBeat: last, from: at(first), to: at(last) };
}

/** @param {Expression} expression */
export const isPlain = ({ hairpins, wedges, marks }) => hairpins.length + wedges.length + marks.length === 0;

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {Expression} expression
 * @param {(beat: number) => number} x
 * @param {number} top
 * @param {number} height
 */
export function drawExpression(context, palette, expression, x, top, height) {
  const { hairpins, wedges, marks } = expression;
  const hasBoth = hairpins.length + marks.length > 0 && wedges.length > 0;
  const loudY = hasBoth ? top + height / 4 + 1 : top + height / 2;
  const wedgeY = hasBoth ? top + (3 * height) / 4 : top + height / 2;
  const opening = height * (hasBoth ? BESIDE : ALONE);
  context.fillStyle = palette.ruleBeat;
  for (const wedge of wedges) {
    const [left, right] = [x(wedge.fromBeat), x(wedge.toBeat)];
    const [from, to] = [Math.max(wedge.from * opening, 1), Math.max(wedge.to * opening, 1)];
    context.beginPath();
    context.moveTo(left, wedgeY - from / 2);
    context.lineTo(right, wedgeY - to / 2);
    context.lineTo(right, wedgeY + to / 2);
    context.lineTo(left, wedgeY + from / 2);
    context.fill();
  }
  context.strokeStyle = palette.ink;
  context.lineWidth = 2;
  for (const hairpin of hairpins) {
    const room = (/** @type {boolean} */ isEnd, /** @type {number} */ beat) =>
      marks.some((mark) => mark.isEnd === isEnd && mark.beat === beat) ? MARK_WIDTH_PX : 0;
    const left = x(hairpin.fromBeat) + room(false, hairpin.fromBeat);
    const right = x(hairpin.toBeat) - room(true, hairpin.toBeat);
    for (const side of [-1, 1]) {
      context.beginPath();
      context.moveTo(left, loudY + (side * hairpin.from * opening) / 2);
      context.lineTo(right, loudY + (side * hairpin.to * opening) / 2);
      context.stroke();
    }
  }
  context.fillStyle = palette.ink;
  context.font = "italic 700 18px B612, Verdana, sans-serif";
  context.textBaseline = "middle";
  for (const mark of marks) {
    context.textAlign = mark.isEnd ? "right" : "left";
    context.fillText(mark.text, x(mark.beat), loudY);
  }
}
