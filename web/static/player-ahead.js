// The way ahead: loudness and size of the vibrato as they are written, from a bar before the present one to two bars after it, with
// where one is and how loud one was. Its time is its own, longer than the lane's; what is written is player-expression.js's.
// Knows no socket and no microphone.

import { freshSheet } from "./paper.js";
import { drawExpression, expressionOf, isPlain } from "./player-expression.js";
import { isTurnOf } from "./shared-time.js";

/** Bars behind the present one and after it. */
const BEHIND = 1;
const AFTER = 2;
/** Softer than the loudest of late by so much is drawn at the bottom, dB: from pp to ff at 4 dB a mark, and a little. */
const LEVEL_RANGE_DB = 24;
/** A level is the loudest within so much to both sides, µs: the valleys of the pulses are left out. */
const LEVEL_NEAR_US = 0.3e6;
const MARKS = ["pp", "p", "mp", "mf", "f", "ff"];

/** @typedef {import("./raster-geometry.js").Score} Score */

/**
 * Whether loudness or a change of the vibrato is written for a player anywhere: then the strip has its place all along.
 * @param {Score} score @param {number} chair
 */
export function isShaped(score, chair) {
  return !isPlain(expressionOf(score, -Infinity, Infinity, chair));
}

/**
 * The mark that holds at a beat: within a hairpin the nearest on the way. Empty where none is written, or another plays.
 * @param {Score} score @param {number} beat @param {number} chair
 */
export function loudAt(score, beat, chair) {
  let start = 0;
  for (const span of score.spans) {
    const end = start + (span.length_beats ?? Infinity);
    if (beat < end) {
      if (!span.dynamics || beat < start || !isTurnOf(span, chair) || span.target.kind === "rest") return "";
      const [from, to] = [MARKS.indexOf(span.dynamics.from), MARKS.indexOf(span.dynamics.to)];
      const share = end === Infinity ? 0 : (beat - start) / (end - start);
      return MARKS[Math.round(from + (to - from) * share)] ?? "";
    }
    start = end;
  }
  return "";
}

/**
 * Heights of the own loudness, 0 to 1.
 * @param {{ timeUs: number, levelDb: number }[]} levels in order of time
 * @returns {{ timeUs: number, height: number }[]}
 */
export function loudnessHeights(levels) {
  const loudestDb = levels.reduce((most, { levelDb }) => Math.max(most, levelDb), -Infinity);
  return levels.map(({ timeUs }) => {
    const near = levels.filter((other) => Math.abs(other.timeUs - timeUs) <= LEVEL_NEAR_US);
    const db = near.reduce((most, { levelDb }) => Math.max(most, levelDb), -Infinity);
    return { timeUs, height: Math.min(Math.max(1 + (db - loudestDb) / LEVEL_RANGE_DB, 0), 1) };
  });
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {import("./paper.js").Palette} palette
 * @param {object} view
 * @param {Score} view.score
 * @param {import("./raster-geometry.js").PlayTime} view.time
 * @param {number} view.nowBeat
 * @param {number} view.chair
 * @param {{ timeUs: number, levelDb: number }[]} view.levels
 */
export function drawAhead(canvas, palette, { score, time, nowBeat, chair, levels }) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width, height } = sheet;
  const bar = score.beats_per_bar;
  const barBeat = time.barLineAt(nowBeat);
  const [from, to] = [barBeat - BEHIND * bar, barBeat + (1 + AFTER) * bar];
  const x = (/** @type {number} */ beat) => ((beat - from) / (to - from)) * width;

  context.fillStyle = palette.press;
  context.beginPath();
  let isOpen = false;
  const close = (/** @type {number} */ at) => {
    if (isOpen) context.lineTo(at, height);
    isOpen = false;
  };
  let lastX = 0;
  let lastUs = -Infinity;
  for (const point of loudnessHeights(levels)) {
    const at = x(time.beatAt(point.timeUs));
    if (at < 0) continue;
    if (point.timeUs - lastUs > 5e5) close(lastX);
    if (!isOpen) context.moveTo(at, height);
    isOpen = true;
    context.lineTo(at, height * (1 - point.height));
    [lastX, lastUs] = [at, point.timeUs];
  }
  close(lastX);
  context.fill();

  for (let line = Math.max(from, 0); line <= to; line += 1) {
    if (time.barLineAt(line) !== line) continue;
    context.fillStyle = palette.ruleSubdivision;
    context.fillRect(Math.min(x(line), width - 1), 0, 1, height);
  }
  drawExpression(context, palette, expressionOf(score, Math.max(from, 0), to, chair), x, 0, height);
  context.fillStyle = palette.ink;
  context.fillRect(x(nowBeat) - 1.5, 0, 3, height);
}
