// A run on a thumb's breadth, as paths: a player's last bar, the section's pulses folded on one tick. Pure; draws nothing and
// knows no page. Paths stand in boxes of their own, across is time, up is depth or how many.

import { DENSITY_SIGMA_S, floorStretches, FULL_LANE_DB, MARK_S } from "./raster-geometry.js";

/** A mark: ms since the run's beginning, dB, cents, and what is special about it. @typedef {[number, number, number, number]} Mark */
/** A tick: ms and weight (0 first of a bar, 1 beat, 2 between). @typedef {[number, number]} Tick */

/** Bits of a mark's last number. */
export const CHOKED = 1;
export const NOT_OWN = 2;

/** Box of a field and of a fold. */
export const FIELD_WIDTH = 92;
export const FIELD_HEIGHT = 32;
const FLOOR = FIELD_HEIGHT - 1;
const FULL = FLOOR - 1;

/** Width of a mark where there is room, and the share of the distance between marks it takes where there is not. */
const MARK_WIDTH = 2.5;
const MARK_SHARE = 0.55;
const LEAST_MARK = 0.8;

/** Step of the fold as the server counts it, ms. */
export const FOLD_STEP_MS = 5;

const round = (/** @type {number} */ value) => Math.round(value * 10) / 10;

/**
 * A player's bar.
 * @param {{ marks: Mark[], heard_ms: number[] }} lane
 * @param {{ from_ms: number, to_ms: number, ticks: Tick[] }} bar
 * @returns {{ ticks: string, floor: string, own: string, hollow: string }} paths; empty where there is nothing
 */
export function fieldPaths(lane, bar) {
  const scale = FIELD_WIDTH / (bar.to_ms - bar.from_ms);
  const x = (/** @type {number} */ ms) => Math.min(Math.max((ms - bar.from_ms) * scale, 0), FIELD_WIDTH);
  const beats = bar.ticks.filter(([, weight]) => weight < 2).map(([ms]) => `M${round(x(ms))} 0V${FIELD_HEIGHT}`);
  const wide = markWidth(lane.marks.length, scale);
  const boxOf = (/** @type {Mark} */ [ms, depthDb]) => {
    const high = Math.min(Math.max((depthDb / FULL_LANE_DB) * FULL, 1), FULL);
    const left = Math.min(Math.max(x(ms) - wide / 2, 0), FIELD_WIDTH - wide);
    return `M${round(left)} ${FLOOR}v${round(-high)}h${round(wide)}v${round(high)}z`;
  };
  const own = lane.marks.filter(([, , , kind]) => (kind & NOT_OWN) === 0);
  return {
    ticks: beats.join(""),
    floor: floors(lane).map(([from, to]) => `M${round(x(from))} ${FLOOR}H${round(x(to))}`).join(""),
    own: own.map(boxOf).join(""),
    hollow: lane.marks.filter((mark) => !own.includes(mark)).map(boxOf).join(""),
  };
}

/** @param {number} nMarks @param {number} pxPerMs */
function markWidth(nMarks, pxPerMs) {
  const room = (FIELD_WIDTH / Math.max(nMarks, 1)) * MARK_SHARE;
  return Math.max(Math.min(Math.max(MARK_WIDTH, MARK_S * 1000 * pxPerMs), room), LEAST_MARK);
}

/** Where the tone sounds, ms. @param {{ marks: Mark[], heard_ms: number[] }} lane @returns {[number, number][]} */
export function floors(lane) {
  const own = lane.marks.filter(([, , , kind]) => (kind & NOT_OWN) === 0);
  const pulses = own.map(([ms, , , kind]) => ({ time_us: ms * 1000, choked: (kind & CHOKED) !== 0 }));
  const stretches = floorStretches(lane.heard_ms.map((ms) => ms * 1000), pulses);
  return stretches.map(([from, to]) => [from / 1000, to / 1000]);
}

/**
 * The section's pulses, as many as they are at each distance from the tick; full height where all are at one moment.
 * @param {number[]} fold counts, the middle one about the tick
 * @returns {string} empty where there are none
 */
export function foldPath(fold) {
  const total = fold.reduce((sum, n) => sum + n, 0);
  if (total === 0) return "";
  const step = FIELD_WIDTH / (fold.length - 1);
  const points = fold.map((_, i) => {
    const bells = fold.reduce((sum, n, j) => sum + n * Math.exp(-(((i - j) * FOLD_STEP_MS) ** 2) / (2 * (DENSITY_SIGMA_S * 1000) ** 2)), 0);
    return `L${round(i * step)} ${round(FLOOR - (bells / total) * FULL)}`;
  });
  return `M0 ${FLOOR}${points.join("")}L${FIELD_WIDTH} ${FLOOR}z`;
}
