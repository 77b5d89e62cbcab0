// Draws the pieces of the conductor's raster: ticks as rules, beat figures, the section's density, a lane's floor and marks, a
// pitch centre. Takes a page of paper, a context and numbers; knows no layers, no clock and no controls.

import {
  density,
  floorStretches,
  FOLD_S,
  markHeight,
  MARK_S,
  offsetFromTickS,
  rulesBetween,
  SOUNDS_S,
} from "./raster-geometry.js";

/** Free height above a full lane, px, so that clipped marks of one lane keep off the floor of the next. */
const LANE_AIR = 6;
const BREAK_PX = 2;
const FLOOR_PX = 1.5;
/** Density that fills the section lane: as many bells on one another as this share of the players heard. */
const NEARLY_ALL = 0.9;
/** A pulse may be told of so far ahead of the now rule, beats: clocks differ by a few milliseconds. */
const AHEAD_BEATS = 0.05;

/**
 * A piece of paper under the raster: which beats lie on it, and where.
 * @typedef {object} Page
 * @property {import("./raster-geometry.js").Score} score
 * @property {import("./raster-geometry.js").PlayTime} time
 * @property {boolean} hasTicks
 * @property {number} startBeat left edge
 * @property {number} widthBeats
 * @property {number} pad px left of the first beat and right of the last, for marks that stand astride
 * @property {number} pxPerBeat
 * @property {number} width px, both pads included
 * @property {number} type how much larger than on a laptop figures and rules are
 * @property {import("./raster-geometry.js").Rule[]} rules
 *
 * @typedef {import("./paper.js").Palette} Palette
 *
 * What of a lane stands on the paper, so that only what is new need be drawn.
 * @typedef {{ id: string, isOwn: boolean, nMarks: number, sum: number, markedUs: number, floorUs: number }} Drawn
 */

/** @param {any} lane whether its marks may speak for the player */
export const isOwn = (lane) => lane.state !== "blended";

/**
 * @param {Pick<Page, "score" | "time" | "hasTicks" | "startBeat" | "widthBeats" | "pad" | "pxPerBeat" | "type">} of
 * @returns {Page}
 */
export function makePage(of) {
  const { score, time, startBeat, widthBeats, pxPerBeat, pad } = of;
  const rules = of.hasTicks ? rulesBetween(score, time, startBeat, startBeat + widthBeats) : [];
  return { ...of, rules, width: widthBeats * pxPerBeat + 2 * pad };
}

/** @param {Page} page @param {number} beat */
const xOf = (page, beat) => page.pad + (beat - page.startBeat) * page.pxPerBeat;

/**
 * The rules of a page, those behind in full, those ahead faint.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {number} nowBeat
 * @param {number} top
 * @param {number} bottom
 * @param {number} [afterBeat] only those after this beat and up to now
 */
export function drawRules(context, palette, page, nowBeat, top, bottom, afterBeat) {
  const thick = page.type;
  for (const { beat, kind } of page.rules) {
    const isBehind = beat <= nowBeat;
    if (afterBeat !== undefined && (!isBehind || beat <= afterBeat)) continue;
    const wide = thick * (kind === "bar" ? 2 : kind === "beat" ? 1.5 : 0.75);
    const colour = kind === "bar" ? palette.ruleBar : kind === "beat" ? palette.ruleBeat : palette.ruleSubdivision;
    context.fillStyle = isBehind ? colour : palette.ahead;
    context.fillRect(xOf(page, beat) - wide / 2, top, wide, bottom - top);
  }
}

/**
 * The figures of the beats, the present one large.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {number} nowBeat
 * @param {number} baseline
 */
export function drawFigures(context, palette, page, nowBeat, baseline) {
  context.textAlign = "center";
  context.textBaseline = "alphabetic";
  // One font after the other: to set one is dearer than to write with it.
  for (const isPresent of [false, true]) {
    context.font = `${isPresent ? 700 : 400} ${(isPresent ? 24 : 16) * page.type}px B612, Verdana, sans-serif`;
    context.fillStyle = isPresent ? palette.ink : palette.quiet;
    for (const { beat, kind, beatInBar } of page.rules) {
      if (kind === "subdivision" || beat > page.startBeat + page.widthBeats - 1e-6) continue;
      if ((Math.floor(nowBeat) === beat) === isPresent) context.fillText(String(beatInBar + 1), xOf(page, beat), baseline);
    }
  }
}

/** Server times of a page's pixels, so that a density even in time lies right where the tempo changes. */
export class DensityScale {
  /** @param {Page} page */
  constructor(page) {
    this.fromS = page.time.timeOf(page.startBeat) / 1e6;
    this.toS = page.time.timeOf(page.startBeat + page.widthBeats) / 1e6;
    const n = Math.round(page.widthBeats * page.pxPerBeat);
    this.points = new Float64Array(n);
    this.x = Float64Array.from({ length: n }, (_, i) => {
      const atUs = (this.fromS + ((this.toS - this.fromS) * i) / (n - 1)) * 1e6;
      return xOf(page, page.time.beatAt(atUs));
    });
  }
}

/**
 * The section's own lane: where the pulses of all are.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {DensityScale} scale
 * @param {any[]} lanes
 * @param {number} top
 * @param {number} bottom
 */
export function drawDensity(context, palette, scale, lanes, top, bottom) {
  let nHeard = 0;
  const moments = [];
  for (const lane of lanes) {
    if (!isOwn(lane) || lane.pulses.length === 0) continue;
    nHeard += 1;
    for (const pulse of lane.pulses) moments.push(pulse.time_us / 1e6);
  }
  const { points, x } = scale;
  density(moments, scale.fromS, scale.toS, points.length, points);
  const full = Math.max(nHeard * NEARLY_ALL, 1);
  context.fillStyle = palette.ink;
  context.beginPath();
  context.moveTo(x[0], bottom);
  for (let i = 0; i < points.length; i += 1) {
    // Along the ground only the ends are told.
    if (points[i] === 0 && points[i - 1] === 0 && points[i + 1] === 0) continue;
    context.lineTo(x[i], bottom - Math.min(points[i] / full, 1) * (bottom - top));
  }
  context.lineTo(x[x.length - 1], bottom);
  context.fill();
}

/**
 * The density folded on one tick, 120 ms to each side.
 * @param {import("./paper.js").Sheet} sheet
 * @param {Palette} palette
 * @param {Page} page
 * @param {any[]} lanes
 * @param {{ early: string, late: string }} words
 */
export function drawFold({ context, width, height }, palette, page, lanes, words) {
  context.clearRect(0, 0, width, height);
  const size = width > 200 ? 20 : 15;
  // The bell stays under the words, however wide it is.
  const top = size + 8;
  context.font = `400 ${size}px B612, Verdana, sans-serif`;
  context.fillStyle = palette.quiet;
  context.textBaseline = "alphabetic";
  context.textAlign = "left";
  context.fillText(words.early, 0, size);
  context.textAlign = "right";
  context.fillText(words.late, width, size);
  context.fillStyle = palette.ruleBeat;
  context.fillRect(width / 2 - 0.75, 2, 1.5, height - 2);
  context.fillStyle = palette.ink;
  context.fillRect(0, height - 1.5, width, 1.5);
  if (!page.hasTicks) return;

  const offsets = [];
  for (const lane of lanes) {
    if (!isOwn(lane)) continue;
    for (const pulse of lane.pulses) {
      const offset = offsetFromTickS(page.score, page.time, pulse.time_us);
      if (offset !== null && Math.abs(offset) <= FOLD_S) offsets.push(offset);
    }
  }
  const points = density(offsets, -FOLD_S, FOLD_S, Math.round(width));
  const most = points.reduce((a, b) => Math.max(a, b), 0);
  if (!(most > 0)) return;
  context.beginPath();
  context.moveTo(0, height);
  points.forEach((value, i) => context.lineTo(i, height - (value / most) * (height - top)));
  context.lineTo(width, height);
  context.fill();
}

/**
 * A lane from the ground up: rules, floor, marks.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {number} nowBeat
 * @param {number} top px
 * @param {number} height px
 * @returns {Drawn}
 */
export function drawLane(context, palette, page, lane, nowBeat, top, height) {
  context.clearRect(0, top, page.width, height);
  drawRules(context, palette, page, nowBeat, top, top + height);
  const drawn = { id: lane.player_id, isOwn: isOwn(lane), nMarks: 0, sum: 0, markedUs: -Infinity, floorUs: -Infinity };
  const floor = top + height - 2;
  const fromUs = page.time.timeOf(page.startBeat);
  const heard = lane.centre_tail.map((/** @type {[number, number]} */ [us]) => us);
  for (const [from, to] of floorStretches(heard, lane.pulses)) {
    if (to > fromUs) drawFloor(context, palette, page, drawn, from, to, floor);
    drawn.floorUs = to;
  }
  addMarks(context, palette, page, lane, drawn, nowBeat, top, height);
  return drawn;
}

/**
 * What is new in a lane, on what stands there.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {Drawn | undefined} drawn
 * @param {number} nowBeat
 * @param {number} top
 * @param {number} height
 * @returns {Drawn}
 */
export function drawLaneOn(context, palette, page, lane, drawn, nowBeat, top, height) {
  if (!drawn || !goesOn(page, lane, drawn)) return drawLane(context, palette, page, lane, nowBeat, top, height);
  goOnWithFloor(context, palette, page, lane, drawn, top + height - 2);
  addMarks(context, palette, page, lane, drawn, nowBeat, top, height);
  return drawn;
}

/**
 * The floor from where it ends to the newest moment at which the tone was heard; after a silence it begins where the tone does.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {Drawn} drawn
 * @param {number} floor px
 */
function goOnWithFloor(context, palette, page, { pulses, centre_tail: tail }, drawn, floor) {
  let [i, j] = [tail.length, pulses.length];
  while (i > 0 && tail[i - 1][0] > drawn.floorUs) i -= 1;
  while (j > 0 && pulses[j - 1].time_us > drawn.floorUs) j -= 1;
  let fromUs = drawn.floorUs;
  while (i < tail.length || j < pulses.length) {
    const isTail = j >= pulses.length || (i < tail.length && tail[i][0] <= pulses[j].time_us);
    const us = isTail ? tail[i++][0] : pulses[j++].time_us;
    if (us - drawn.floorUs > SOUNDS_S * 1e6) {
      drawFloor(context, palette, page, drawn, fromUs, drawn.floorUs, floor);
      fromUs = us;
    }
    drawn.floorUs = us;
  }
  if (drawn.floorUs > fromUs) drawFloor(context, palette, page, drawn, fromUs, drawn.floorUs, floor);
}

/**
 * Whether all that stands on the paper still holds, and nothing new breaks the floor.
 * @param {Page} page
 * @param {any} lane
 * @param {Drawn} drawn
 */
function goesOn(page, lane, drawn) {
  if (drawn.id !== lane.player_id || drawn.isOwn !== isOwn(lane)) return false;
  const fromUs = page.time.timeOf(page.startBeat - 1);
  let [nMarks, sum] = [0, 0];
  for (const pulse of lane.pulses) {
    if (pulse.time_us < fromUs) continue;
    if (pulse.time_us > drawn.markedUs) {
      if (pulse.choked) return false;
      continue;
    }
    nMarks += 1;
    sum += pulse.time_us;
  }
  return nMarks === drawn.nMarks && sum === drawn.sum;
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {Drawn} drawn
 * @param {number} fromUs
 * @param {number} toUs
 * @param {number} floor px
 */
function drawFloor(context, palette, page, drawn, fromUs, toUs, floor) {
  const from = Math.max(xOf(page, page.time.beatAt(fromUs)), 0);
  const to = Math.min(xOf(page, page.time.beatAt(toUs)), page.width);
  if (to <= from) return;
  if (drawn.isOwn) {
    context.fillStyle = palette.ink;
    context.fillRect(from, floor - FLOOR_PX / 2, to - from, FLOOR_PX);
    return;
  }
  context.fillStyle = palette.quiet;
  // Dots keep their places whichever piece of the floor they are drawn with.
  for (let x = Math.ceil(from / 6) * 6; x < to; x += 6) context.fillRect(x, floor - FLOOR_PX / 2, 2, FLOOR_PX);
}

/**
 * Marks that are not drawn yet.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {Drawn} drawn
 * @param {number} nowBeat
 * @param {number} top
 * @param {number} height
 */
function addMarks(context, palette, page, lane, drawn, nowBeat, top, height) {
  const floor = top + height - 2;
  const fromUs = page.time.timeOf(page.startBeat - 1);
  for (const pulse of lane.pulses) {
    if (pulse.time_us < fromUs || pulse.time_us <= drawn.markedUs) continue;
    const beat = page.time.beatAt(pulse.time_us);
    if (beat > nowBeat + AHEAD_BEATS) break;
    drawn.nMarks += 1;
    drawn.sum += pulse.time_us;
    drawn.markedUs = pulse.time_us;
    const wide = Math.max(((MARK_S * page.time.bpmAt(beat)) / 60) * page.pxPerBeat, 3);
    const mark = markHeight(pulse.depth_db, height - LANE_AIR);
    const left = xOf(page, beat) - wide / 2;
    if (!drawn.isOwn) {
      context.strokeStyle = palette.quiet;
      context.lineWidth = 1;
      context.strokeRect(left, floor - mark.height, wide, mark.height);
      continue;
    }
    context.fillStyle = palette.ink;
    context.fillRect(left, floor - mark.height, wide, mark.height);
    // The break says that the mark goes on above the lane.
    if (mark.isClipped) context.clearRect(left, floor - mark.height + 3, wide, BREAK_PX);
  }
}

/**
 * The pitch centre against its note, with the tail of the last beats: it shows a drift.
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {import("./raster-geometry.js").PlayTime} time
 * @param {any} lane
 * @param {number} width px
 * @param {number} top px
 * @param {number} height px
 */
export function drawPitch(context, palette, time, lane, width, top, height) {
  context.clearRect(0, top, width, height);
  // A centre that is not known now is not drawn, whatever it was.
  if (!isOwn(lane) || lane.centre_cents === undefined || lane.centre_tail.length === 0) return;
  const perCent = width / 104;
  const middle = top + height / 2;
  const limit = height / 2 - 4;
  const y = (/** @type {number} */ cents) => middle - Math.min(Math.max(cents * perCent, -limit), limit);
  context.fillStyle = palette.ruleBeat;
  context.fillRect(0, middle - 0.5, width, 1);

  const now = 28 * perCent;
  const tailBeats = 8;
  const lastBeat = time.beatAt(lane.centre_tail[lane.centre_tail.length - 1][0]);
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.beginPath();
  let isFirst = true;
  for (const [us, cents] of lane.centre_tail) {
    const x = ((time.beatAt(us) - lastBeat + tailBeats) / tailBeats) * (width - now / 2);
    if (x < 0) continue;
    if (isFirst) context.moveTo(x, y(cents));
    else context.lineTo(x, y(cents));
    isFirst = false;
  }
  context.stroke();
  context.fillStyle = palette.ink;
  context.fillRect(width - now, y(lane.centre_cents) - 2.5, now, 5);
}
