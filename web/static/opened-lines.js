// A player's last minute as lines of music on one sheet: where the lines begin, and how they are drawn. Knows no panel.

import { SOUNDS_S } from "./raster-geometry.js";
import { drawFigures, drawLane, makePage } from "./raster.js";
import { lookOf } from "./states.js";

/** Bars of a line where there is width for them, and the least width of a beat, px. */
const BARS = 4;
const LEAST_BEAT_PX = 36;
/** The least height of a line, px: words, marks, pitch. */
const LEAST_LINE_PX = 104;
const MOST_LINE_PX = 170;
const FIGURES_PX = 26;
/** Height of the words over a line, px. */
const WORDS_PX = 24;
/** The part of a line under its floor that the pitch has, and what it reaches up and down, cents. */
const PITCH_SHARE = 0.3;
const REACH_CENTS = 50;
/** How far back the lines reach, µs. */
const MINUTE_US = 60e6;

/**
 * @typedef {{ startBeat: number, widthBeats: number, top: number, height: number }} Line
 */

/**
 * The lines from the oldest to the one that is being written. They begin at the same bars all the time, so that what is
 * written stays where it is until the lines move up. Pure.
 * @param {object} of
 * @param {import("./raster-geometry.js").Score} of.score
 * @param {import("./raster-geometry.js").PlayTime} of.time
 * @param {number} of.nowUs server time
 * @param {number} of.sinceUs before this nothing is known
 * @param {number} of.width px
 * @param {number} of.height px
 * @returns {Line[]}
 */
export function linesOf({ score, time, nowUs, sinceUs, width, height }) {
  const perBar = score.beats_per_bar;
  const nBars = Math.max(1, Math.min(BARS, Math.floor(width / (perBar * LEAST_BEAT_PX))));
  const widthBeats = nBars * perBar;
  const nowBeat = time.beatAt(nowUs);
  const last = Math.floor(time.barLineAt(nowBeat) / widthBeats + 1e-9) * widthBeats;
  const fits = Math.max(1, Math.floor((height - FIGURES_PX) / LEAST_LINE_PX));
  const starts = [];
  for (let start = last; starts.length < fits; start -= widthBeats) {
    if (score.version !== 0 && start + widthBeats <= 0) break;
    const endUs = time.timeOf(start + widthBeats);
    if (nowUs - endUs > MINUTE_US || (endUs <= sinceUs && starts.length > 0)) break;
    starts.unshift(start);
  }
  const high = Math.min((height - FIGURES_PX) / Math.max(starts.length, 1), MOST_LINE_PX);
  return starts.map((startBeat, i) => ({ startBeat, widthBeats, top: FIGURES_PX + i * high, height: high }));
}

/**
 * @param {import("./paper.js").Sheet} sheet
 * @param {import("./paper.js").Palette} palette
 * @param {object} of
 * @param {any} of.score
 * @param {any} of.time
 * @param {boolean} of.hasTicks
 * @param {number} of.nowUs
 * @param {Line[]} of.lines
 * @param {import("./lane-memory.js").Past} of.past
 */
export function drawLines({ context, width, height }, palette, { score, time, hasTicks, nowUs, lines, past }) {
  context.clearRect(0, 0, width, height);
  const nowBeat = time.beatAt(nowUs);
  const pad = 4;
  for (const [i, line] of lines.entries()) {
    const pxPerBeat = (width - 2 * pad) / line.widthBeats;
    const page = makePage({ score, time, hasTicks, startBeat: line.startBeat, widthBeats: line.widthBeats, pad, pxPerBeat, type: 1 });
    if (i === lines.length - 1 && hasTicks) drawFigures(context, palette, page, nowBeat, FIGURES_PX - 6);
    const marks = line.height * (1 - PITCH_SHARE) - WORDS_PX;
    const state = past.states.filter(({ us }) => us <= time.timeOf(line.startBeat)).pop()?.state ?? "";
    const lane = { player_id: "", state, pulses: past.pulses, centre_tail: past.tail };
    drawLane(context, palette, page, lane, nowBeat, line.top + WORDS_PX, marks);
    drawWords(context, palette, page, past.states, line.top + WORDS_PX - 5);
    drawCentre(context, palette, page, past.tail, line.top + WORDS_PX + marks, line.height * PITCH_SHARE - 6, nowUs);
  }
  const line = lines[lines.length - 1];
  if (!line) return;
  const x = pad + ((nowBeat - line.startBeat) / line.widthBeats) * (width - 2 * pad);
  context.fillStyle = palette.ink;
  context.fillRect(x - 1.5, line.top, 3, line.height - 6);
}

/**
 * What the room said, where it began to say it.
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {import("./raster.js").Page} page
 * @param {{ us: number, state: string }[]} states
 * @param {number} baseline
 */
function drawWords(context, palette, page, states, baseline) {
  const [fromUs, toUs] = [page.time.timeOf(page.startBeat), page.time.timeOf(page.startBeat + page.widthBeats)];
  context.textAlign = "left";
  context.textBaseline = "alphabetic";
  let free = 0;
  states.forEach(({ us, state }, i) => {
    const endUs = states[i + 1]?.us ?? Infinity;
    if (us >= toUs || endUs <= fromUs) return;
    const x = Math.max(page.pad + (page.time.beatAt(us) - page.startBeat) * page.pxPerBeat, page.pad);
    if (x < free) return;
    context.font = `${state === "matched" ? 400 : 700} 16px B612, Verdana, sans-serif`;
    context.fillStyle = palette.ink;
    const text = lookOf(state).word;
    context.fillText(text, x, baseline);
    free = x + context.measureText(text).width + 12;
  });
}

/**
 * The pitch centre on the same time as the marks.
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {import("./raster.js").Page} page
 * @param {[number, number][]} tail
 * @param {number} top @param {number} high @param {number} nowUs
 */
function drawCentre(context, palette, page, tail, top, high, nowUs) {
  const x = (/** @type {number} */ us) => page.pad + (page.time.beatAt(us) - page.startBeat) * page.pxPerBeat;
  const middle = top + high / 2;
  const y = (/** @type {number} */ cents) => middle - (Math.min(Math.max(cents, -REACH_CENTS), REACH_CENTS) / REACH_CENTS) * (high / 2);
  const right = Math.min(x(nowUs), page.width - page.pad);
  context.fillStyle = palette.ruleBeat;
  if (right > page.pad) context.fillRect(page.pad, middle - 0.5, right - page.pad, 1);
  context.strokeStyle = palette.ink;
  context.lineWidth = 2;
  context.beginPath();
  let beforeUs = -Infinity;
  for (const [us, cents] of tail) {
    const at = x(us);
    const goesOn = us - beforeUs <= 2 * SOUNDS_S * 1e6;
    beforeUs = us;
    if (at < page.pad || at > page.width - page.pad) {
      beforeUs = -Infinity;
      continue;
    }
    if (goesOn) context.lineTo(at, y(cents));
    else context.moveTo(at, y(cents));
  }
  context.stroke();
}
