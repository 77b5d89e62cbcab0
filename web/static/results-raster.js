// Draws the raster of a run that is played again, a page of some bars at a time: ticks through all lanes, the section's density,
// marks, floors, pitch centres. Takes times and numbers; knows no playhead, no controls and no page.

import { freshSheet } from "./paper.js";
import { density, FULL_LANE_DB, MARK_S } from "./raster-geometry.js";
import { floors, NOT_OWN } from "./results-fields.js";

/** @typedef {import("./paper.js").Palette} Palette */
/** @typedef {ReturnType<typeof import("./results-time.js").pageOf>} Page */

/** Free height above a full lane, px, so that marks keep off the floor of the lane above. */
const LANE_AIR = 5;
/** A full lane of pitch, cents. */
const FULL_CENTS = 50;
/** Density that fills the section's lane: bells of nearly all on one another. As on the conductor's page. */
const NEARLY_ALL = 0.9;
/** Height of the beats' figures, px. */
const FIGURES = 26;
/** Two moments of one tone are no further apart than this, ms: centres come three times a second. */
const ONE_TONE_MS = 900;

/** @param {Page} page @param {number} width */
function across(page, width) {
  const pxPerMs = width / (page.toMs - page.fromMs);
  return { pxPerMs, x: (/** @type {number} */ ms) => (ms - page.fromMs) * pxPerMs };
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {[number, number][]} ticks
 * @param {{ width: number, top: number, bottom: number }} box
 */
function drawTicks(context, palette, page, ticks, { width, top, bottom }) {
  const { x } = across(page, width);
  const looks = [
    { wide: 2, colour: palette.ruleBar },
    { wide: 1.5, colour: palette.ruleBeat },
    { wide: 0.75, colour: palette.ruleSubdivision },
  ];
  const end = page.bars[page.bars.length - 1].toMs;
  for (const [ms, weight] of [...ticks, [end, 0]]) {
    if (ms < page.fromMs - 0.5 || ms > end + 0.5) continue;
    const { wide, colour } = looks[weight];
    context.fillStyle = colour;
    context.fillRect(Math.min(Math.max(x(ms) - wide / 2, 0), width - wide), top, wide, bottom - top);
  }
}

/**
 * The beats' figures and the section's density.
 * @param {HTMLCanvasElement} canvas
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} replay
 */
export function drawSectionPage(canvas, palette, page, replay) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width, height } = sheet;
  drawTicks(context, palette, page, replay.ticks, { width, top: FIGURES, bottom: height });
  drawFigures(context, palette, page, replay.ticks, width);
  const lanes = replay.lanes.map((/** @type {any} */ lane) => lane.marks.filter((/** @type {any} */ m) => (m[3] & NOT_OWN) === 0));
  const n = lanes.filter((/** @type {any[]} */ marks) => marks.some(([ms]) => ms >= page.fromMs && ms <= page.toMs)).length;
  if (n === 0) return;
  const moments = lanes.flat().map((/** @type {number[]} */ [ms]) => ms / 1000);
  const points = density(moments, page.fromMs / 1000, page.toMs / 1000, Math.round(width));
  const full = Math.max(n * NEARLY_ALL, 1);
  context.fillStyle = palette.ink;
  context.beginPath();
  context.moveTo(0, height);
  points.forEach((value, i) => context.lineTo(i, height - Math.min(value / full, 1) * (height - FIGURES - 4)));
  context.lineTo(width, height);
  context.fill();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {[number, number][]} ticks
 * @param {number} width
 */
function drawFigures(context, palette, page, ticks, width) {
  const { x } = across(page, width);
  context.font = "16px B612, Verdana, sans-serif";
  context.fillStyle = palette.quiet;
  context.textBaseline = "alphabetic";
  let beat = 0;
  for (const [ms, weight] of ticks) {
    if (weight === 2) continue;
    beat = weight === 0 ? 1 : beat + 1;
    if (ms < page.fromMs - 0.5 || ms >= page.bars[page.bars.length - 1].toMs - 0.5) continue;
    context.textAlign = x(ms) < 8 ? "left" : "center";
    context.fillText(String(beat), x(ms), FIGURES - 7);
  }
}

/**
 * All lanes of a page.
 * @param {HTMLCanvasElement} canvas
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} replay
 * @param {number} laneHeight px
 */
export function drawLanesPage(canvas, palette, page, replay, laneHeight) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width } = sheet;
  drawTicks(context, palette, page, replay.ticks, { width, top: 0, bottom: replay.lanes.length * laneHeight });
  replay.lanes.forEach((/** @type {any} */ lane, /** @type {number} */ i) => {
    const floor = (i + 1) * laneHeight - 2;
    drawFloor(context, palette, page, lane, width, floor);
    drawMarks(context, palette, page, lane, { width, floor, full: laneHeight - LANE_AIR });
    drawCentre(context, palette, page, lane, { width, floor, laneHeight });
  });
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {number} width
 * @param {number} floor
 */
function drawFloor(context, palette, page, lane, width, floor) {
  const { x } = across(page, width);
  const heard_ms = lane.centres.map((/** @type {number[]} */ [ms]) => ms);
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.beginPath();
  for (const [from, to] of floors({ marks: lane.marks, heard_ms })) {
    const [left, right] = [Math.max(x(from), 0), Math.min(x(to), width)];
    if (right <= left) continue;
    context.moveTo(left, floor);
    context.lineTo(right, floor);
  }
  context.stroke();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {{ width: number, floor: number, full: number }} box
 */
function drawMarks(context, palette, page, lane, { width, floor, full }) {
  const { x, pxPerMs } = across(page, width);
  const wide = Math.max(MARK_S * 1000 * pxPerMs, 2.5);
  for (const [ms, depthDb, , kind] of lane.marks) {
    const at = x(ms);
    if (at < -2 || at > width) continue;
    const high = Math.min(Math.max((depthDb / FULL_LANE_DB) * full, 1), full);
    const left = Math.max(at - wide / 2, 0);
    if ((kind & NOT_OWN) !== 0) {
      context.strokeStyle = palette.quiet;
      context.lineWidth = 1;
      context.strokeRect(left, floor - high, wide, high);
      continue;
    }
    context.fillStyle = palette.ink;
    context.fillRect(left, floor - high, wide, high);
    // The break says that the mark goes on above the lane.
    if (depthDb > FULL_LANE_DB) context.clearRect(left, floor - high + 3, wide, 2);
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Page} page
 * @param {any} lane
 * @param {{ width: number, floor: number, laneHeight: number }} box
 */
function drawCentre(context, palette, page, lane, { width, floor, laneHeight }) {
  const { x } = across(page, width);
  const middle = floor - laneHeight / 2 + 2;
  const limit = laneHeight / 2 - 3;
  const y = (/** @type {number} */ cents) => middle - Math.min(Math.max((cents / FULL_CENTS) * laneHeight, -limit), limit);
  context.strokeStyle = palette.quiet;
  context.lineWidth = 1.5;
  context.beginPath();
  let lastMs = -Infinity;
  for (const [ms, cents] of lane.centres) {
    if (x(ms) < 0 || x(ms) > width) continue;
    if (ms - lastMs > ONE_TONE_MS) context.moveTo(x(ms), y(cents));
    else context.lineTo(x(ms), y(cents));
    lastMs = ms;
  }
  context.stroke();
}
