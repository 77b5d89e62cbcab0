// Draws the player's one lane: slots to put the marks in, the marks, the dotted rule of "deep enough", beat figures and
// the pitch centre under it on the same time axis. One bar wide; the last bar stays, pale, until the now rule has
// written over it, so that a pulse heard late in a bar is still seen. Knows no socket and no microphone.

import { SPOKEN_BOX_PX } from "./beat-mark.js";
import { freshSheet, prefersStillness } from "./paper.js";
import { floorStretches, markHeight, rulesBetween, SLOT_S, spanNear } from "./raster-geometry.js";

/** Type of the beat's figures, px, of the present beat and of the others, and the room above the lane that they need. */
const FIGURE_PX = 26;
const QUIET_FIGURE_PX = 17;
const FIGURES = 36;
/** Between the lane's floor and the pitch. */
const GAP = 10;
/** The pitch takes a share of the height, px at least and at most; so many cents fit to both sides of its line. */
const PITCH_SHARE = 0.22;
const PITCH_PX = Object.freeze({ least: 36, most: 96 });
const PITCH_CENTS = 20;
/** The count-in's numbers fill so much of the lane's height. */
const SPOKEN_SHARE = 0.8;
const LEFT = 10;
const RIGHT = 4;
/** Marks on a phone, px, and what they may grow to on a tablet. */
const MARK_PX = 6;
const WIDEST_MARK_PX = 10;
const PHONE_WIDTH_PX = 360;
/** Between the strokes of what was not measured. */
const HATCH_PX = 10;
/** Depth that is enough in drills, dB. Common practice. */
const DEEP_ENOUGH_DB = 3;
/** A pulse this little before the bar line belongs to the bar's first tick, beats. */
const BEFORE_THE_BAR = 0.25;

/**
 * Where the parts of the lane lie in a canvas of some height: the lane takes what figures and pitch leave.
 * @param {number} height
 */
export function laneParts(height) {
  const pitch = Math.min(Math.max(height * PITCH_SHARE, PITCH_PX.least), PITCH_PX.most);
  const lane = Math.max(height - FIGURES - GAP - pitch, 40);
  const floor = FIGURES + lane;
  return { top: FIGURES, lane, floor, pitchTop: floor + GAP, pitch, spoken: Math.min(SPOKEN_BOX_PX.height, lane * SPOKEN_SHARE) };
}

/**
 * @typedef {object} LaneView
 * @property {import("./raster-geometry.js").Score} score with "free" as its target where no music runs
 * @property {import("./raster-geometry.js").PlayTime} time
 * @property {boolean} hasTicks whether beats are drawn
 * @property {number} nowBeat
 * @property {{ time_us: number, depth_db: number, choked: boolean }[]} pulses
 * @property {number[]} heardUs moments at which a tone sounded
 * @property {{ timeUs: number, cents: number }[]} centres
 * @property {{ fromUs: number, toUs: number }[]} gaps in which nothing was listened to
 * @property {boolean} isOwn false while the reading may not speak for the player
 */

/**
 * Left edge of the page and width of a beat.
 * @param {number} width
 * @param {number} beatsPerBar
 */
export function laneScale(width, beatsPerBar) {
  return { left: LEFT, pxPerBeat: (width - LEFT - RIGHT) / beatsPerBar };
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 */
export function drawLane(canvas, palette, view) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width, height } = sheet;
  const { score, nowBeat } = view;
  const scale = laneScale(width, score.beats_per_bar);
  const barBeat = view.time.barLineAt(nowBeat);
  const x = (/** @type {number} */ beat) => scale.left + (beat - barBeat) * scale.pxPerBeat;
  const parts = laneParts(height);
  const { floor } = parts;
  const markPx = Math.min(Math.max((MARK_PX * width) / PHONE_WIDTH_PX, MARK_PX), WIDEST_MARK_PX);

  if (view.hasTicks) drawTicks(context, palette, view, barBeat, x, scale.pxPerBeat, parts);
  drawGaps(context, palette, view, x, width, parts);
  drawDeepEnough(context, palette, width, parts);
  drawFloor(context, palette, view, x, width, floor);
  drawMarks(context, palette, view, barBeat, x, { ...parts, markPx });
  drawPitch(context, palette, view, barBeat, x, width, parts);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 * @param {number} barBeat
 * @param {(beat: number) => number} x
 * @param {number} pxPerBeat
 * @param {ReturnType<typeof laneParts>} parts
 */
function drawTicks(context, palette, view, barBeat, x, pxPerBeat, { top, lane }) {
  const { score, time, nowBeat } = view;
  const rules = rulesBetween(score, time, barBeat, barBeat + score.beats_per_bar - 1e-6);
  for (const rule of rules) {
    const at = x(rule.beat);
    // The count-in is listened to, not played into.
    if (rule.beat >= 0 && spanNear(score, time, rule.beat).target.kind !== "count-in") {
      const slotPx = ((SLOT_S * time.bpmAt(rule.beat)) / 60) * pxPerBeat;
      context.fillStyle = palette.press;
      context.fillRect(at - slotPx / 2, top, slotPx, lane);
    }
    const isBehind = rule.beat <= nowBeat;
    const [colour, wide] = ruleLook(palette, rule.kind);
    context.fillStyle = isBehind || rule.kind !== "subdivision" ? colour : palette.ruleSubdivision;
    context.fillRect(at - wide / 2, top, wide, lane);
    if (rule.kind === "subdivision") continue;
    const isPresent = Math.floor(nowBeat) === rule.beat;
    context.fillStyle = isPresent ? palette.ink : palette.quiet;
    context.font = `${isPresent ? `700 ${FIGURE_PX}` : `400 ${QUIET_FIGURE_PX}`}px B612, Verdana, sans-serif`;
    context.textAlign = "center";
    context.textBaseline = "alphabetic";
    context.fillText(String(rule.beatInBar + 1), at, top - 9);
  }
}

/** @param {import("./paper.js").Palette} palette @param {string} kind @returns {[string, number]} */
function ruleLook(palette, kind) {
  if (kind === "bar") return [palette.ruleBar, 2];
  return kind === "beat" ? [palette.ruleBeat, 1.5] : [palette.ruleSubdivision, 1];
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {number} width
 * @param {ReturnType<typeof laneParts>} parts
 */
function drawDeepEnough(context, palette, width, { floor, lane }) {
  const y = Math.round(floor - markHeight(DEEP_ENOUGH_DB, lane).height) + 0.5;
  context.strokeStyle = palette.quiet;
  context.lineWidth = 1.5;
  context.setLineDash([1.5, 5]);
  line(context, 0, width, y);
  context.setLineDash([]);
}

/**
 * What was not measured is hatched: it is no silence.
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 * @param {(beat: number) => number} x
 * @param {number} width
 * @param {ReturnType<typeof laneParts>} parts
 */
function drawGaps(context, palette, view, x, width, { top, lane, floor }) {
  context.strokeStyle = palette.quiet;
  context.lineWidth = 1;
  for (const gap of view.gaps) {
    const from = Math.max(x(view.time.beatAt(gap.fromUs)), 0);
    const toBeat = gap.toUs === Infinity ? view.nowBeat : view.time.beatAt(gap.toUs);
    const to = Math.min(x(toBeat), width);
    if (to <= from) continue;
    context.save();
    context.beginPath();
    context.rect(from, top, to - from, lane);
    context.clip();
    for (let at = from - (from % HATCH_PX) - lane; at < to; at += HATCH_PX) {
      context.beginPath();
      context.moveTo(at, floor);
      context.lineTo(at + lane, top);
      context.stroke();
    }
    context.restore();
  }
}

/**
 * The floor is drawn only while the tone sounds: a rest leaves it out, a choked valley breaks it.
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 * @param {(beat: number) => number} x
 * @param {number} width
 * @param {number} floor
 */
function drawFloor(context, palette, view, x, width, floor) {
  context.lineWidth = 2;
  context.strokeStyle = palette.ahead;
  line(context, 0, width, floor);
  context.strokeStyle = view.isOwn ? palette.ink : palette.quiet;
  if (!view.isOwn) context.setLineDash([2, 4]);
  for (const [fromUs, toUs] of floorStretches(view.heardUs, view.pulses)) {
    const from = Math.max(x(view.time.beatAt(fromUs)), 0);
    const to = Math.min(x(view.time.beatAt(toUs)), width);
    if (to > from) line(context, from, to, floor);
  }
  context.setLineDash([]);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 * @param {number} barBeat
 * @param {(beat: number) => number} x
 * @param {{ floor: number, lane: number, markPx: number }} size
 */
function drawMarks(context, palette, view, barBeat, x, size) {
  const { score, time, nowBeat } = view;
  for (const pulse of view.pulses) {
    const beat = time.beatAt(pulse.time_us);
    if (beat > nowBeat || beat < nowBeat - score.beats_per_bar) continue;
    const { floor, lane, markPx } = size;
    const { height } = markHeight(pulse.depth_db, lane);
    const inPresentBar = beat >= barBeat - BEFORE_THE_BAR;
    if (inPresentBar && x(beat) >= 0) mark(context, palette, x(beat), height, size, view.isOwn);
    if (beat >= barBeat) continue;
    context.fillStyle = palette.ruleSubdivision;
    context.fillRect(x(beat + score.beats_per_bar) - markPx / 2, floor - height, markPx, height);
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {number} x
 * @param {number} height
 * @param {{ floor: number, markPx: number }} size
 * @param {boolean} isOwn
 */
function mark(context, palette, x, height, { floor, markPx }, isOwn) {
  if (isOwn) {
    context.fillStyle = palette.ink;
    context.fillRect(x - markPx / 2, floor - height, markPx, height);
  } else {
    context.strokeStyle = palette.quiet;
    context.lineWidth = 1.5;
    context.strokeRect(x - markPx / 2, floor - height, markPx, height);
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {LaneView} view
 * @param {number} barBeat
 * @param {(beat: number) => number} x
 * @param {number} width
 * @param {ReturnType<typeof laneParts>} parts
 */
function drawPitch(context, palette, view, barBeat, x, width, { pitchTop, pitch }) {
  const middle = pitchTop + pitch / 2;
  const limit = pitch / 2 - 4;
  const y = (/** @type {number} */ cents) => middle - (Math.min(Math.max(cents, -PITCH_CENTS), PITCH_CENTS) / PITCH_CENTS) * limit;
  context.strokeStyle = palette.ruleBeat;
  context.lineWidth = 1.5;
  line(context, 0, width, middle);
  if (!view.isOwn) return;

  const inBar = view.centres.filter((c) => view.time.beatAt(c.timeUs) >= barBeat - BEFORE_THE_BAR);
  context.strokeStyle = palette.ink;
  context.lineWidth = 2;
  context.beginPath();
  let lastUs = -Infinity;
  for (const { timeUs, cents } of inBar) {
    const at = x(view.time.beatAt(timeUs));
    // A pause is a gap in the line.
    if (timeUs - lastUs > 500_000) context.moveTo(at, y(cents));
    else context.lineTo(at, y(cents));
    lastUs = timeUs;
  }
  context.stroke();
  const last = inBar[inBar.length - 1];
  if (last && view.time.beatAt(last.timeUs) > view.nowBeat - 1) {
    const to = x(view.time.beatAt(last.timeUs));
    context.fillStyle = palette.ink;
    context.fillRect(Math.max(to - 28, 0), y(last.cents) - 3.5, Math.min(28, to), 7);
  }
}

/** @param {CanvasRenderingContext2D} context @param {number} from @param {number} to @param {number} y */
function line(context, from, to, y) {
  context.beginPath();
  context.moveTo(from, y);
  context.lineTo(to, y);
  context.stroke();
}

/**
 * Where the now rule stands: smoothly, or from beat to beat where stillness is wished.
 * @param {number} nowBeat
 * @param {number} width
 * @param {number} beatsPerBar
 */
export function nowX(nowBeat, width, beatsPerBar) {
  const shown = prefersStillness() ? Math.floor(nowBeat) : nowBeat;
  const { left, pxPerBeat } = laneScale(width, beatsPerBar);
  const inBar = ((shown % beatsPerBar) + beatsPerBar) % beatsPerBar;
  return left + inBar * pxPerBeat;
}
