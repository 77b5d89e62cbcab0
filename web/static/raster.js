// Draws the conductor's raster: ticks through all lanes, the section's density, each player's marks and floor, the pitch
// centre beside them. Takes a picture of the room and numbers; knows no socket, no clock and no controls.

import { freshSheet } from "./paper.js";
import {
  density,
  floorStretches,
  FOLD_S,
  markHeight,
  MARK_S,
  offsetFromTickS,
  rulesBetween,
} from "./raster-geometry.js";

/** Free height above a full lane, px, so that clipped marks of one lane keep off the floor of the next. */
const LANE_AIR = 6;
const BREAK_PX = 2;
/** Density that fills the section lane: as many bells on one another as this share of the players heard. */
const NEARLY_ALL = 0.9;

/**
 * @typedef {object} Picture
 * @property {import("./raster-geometry.js").Score} score
 * @property {import("./raster-geometry.js").PlayTime} time
 * @property {boolean} hasTicks
 * @property {number} nowBeat
 * @property {number} startBeat left edge, also between two pages while one turns
 * @property {number} widthBeats
 * @property {any[]} lanes of the snapshot
 *
 * @typedef {import("./paper.js").Palette} Palette
 */

/** @param {any} lane whether its marks may speak for the player */
const isOwn = (lane) => lane.state !== "blended";

/** @param {Picture} picture @param {number} width */
function scaleOf(picture, width) {
  const pxPerBeat = width / picture.widthBeats;
  return { pxPerBeat, x: (/** @type {number} */ beat) => (beat - picture.startBeat) * pxPerBeat };
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {number} width
 * @param {number} top
 * @param {number} bottom
 */
function drawRules(context, palette, picture, width, top, bottom) {
  if (!picture.hasTicks) return;
  const { x } = scaleOf(picture, width);
  const { score, time, startBeat, widthBeats, nowBeat } = picture;
  const thick = width > 900 ? 1.5 : 1;
  for (const rule of rulesBetween(score, time, startBeat, startBeat + widthBeats)) {
    const isBehind = rule.beat <= nowBeat;
    const wide = thick * { bar: 2, beat: 1.5, subdivision: 0.75 }[rule.kind];
    const colour = { bar: palette.ruleBar, beat: palette.ruleBeat, subdivision: palette.ruleSubdivision }[rule.kind];
    context.fillStyle = isBehind ? colour : palette.ahead;
    context.fillRect(Math.min(Math.max(x(rule.beat) - wide / 2, 0), width - wide), top, wide, bottom - top);
  }
}

/**
 * Beat figures and the section's density.
 * @param {HTMLCanvasElement} canvas
 * @param {Palette} palette
 * @param {Picture} picture
 */
export function drawSection(canvas, palette, picture) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width, height } = sheet;
  const isLarge = width > 900;
  const figures = isLarge ? 40 : 30;
  drawRules(context, palette, picture, width, figures, height);
  if (picture.hasTicks) drawFigures(context, palette, picture, width, figures, isLarge);

  const own = picture.lanes.filter(isOwn);
  const moments = own.flatMap((lane) => lane.pulses.map((/** @type {any} */ p) => p.time_us / 1e6));
  const fromS = picture.time.timeOf(picture.startBeat) / 1e6;
  const toS = picture.time.timeOf(picture.startBeat + picture.widthBeats) / 1e6;
  const nPoints = Math.round(width);
  const { x } = scaleOf(picture, width);
  const points = density(moments, fromS, toS, nPoints);
  const full = Math.max(own.filter((lane) => lane.pulses.length > 0).length * NEARLY_ALL, 1);
  context.fillStyle = palette.ink;
  context.beginPath();
  context.moveTo(0, height);
  points.forEach((value, i) => {
    // Points are even in time, the page is even in beats; they differ where the tempo changes on the page.
    const beat = picture.time.beatAt((fromS + ((toS - fromS) * i) / (nPoints - 1)) * 1e6);
    context.lineTo(x(beat), height - Math.min(value / full, 1) * (height - figures - 4));
  });
  context.lineTo(width, height);
  context.fill();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {number} width
 * @param {number} figures
 * @param {boolean} isLarge
 */
function drawFigures(context, palette, picture, width, figures, isLarge) {
  const { x } = scaleOf(picture, width);
  const { score, time, startBeat, widthBeats, nowBeat } = picture;
  for (const rule of rulesBetween(score, time, startBeat, startBeat + widthBeats - 1e-6)) {
    if (rule.kind === "subdivision") continue;
    const isPresent = Math.floor(nowBeat) === rule.beat;
    const size = isPresent ? (isLarge ? 36 : 24) : isLarge ? 24 : 16;
    context.font = `${isPresent ? 700 : 400} ${size}px B612, Verdana, sans-serif`;
    context.fillStyle = isPresent ? palette.ink : palette.quiet;
    context.textAlign = rule.beat - startBeat < 0.1 ? "left" : "center";
    context.textBaseline = "alphabetic";
    context.fillText(String(rule.beatInBar + 1), x(rule.beat), figures - 7);
  }
}

/**
 * The density folded on one tick, 120 ms to each side.
 * @param {HTMLCanvasElement} canvas
 * @param {Palette} palette
 * @param {Picture} picture
 */
export function drawFold(canvas, palette, picture) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context, width, height } = sheet;
  const size = width > 200 ? 20 : 15;
  // The bell stays under the words, however wide it is.
  const words = size;
  const top = words + 8;
  context.font = `400 ${size}px B612, Verdana, sans-serif`;
  context.fillStyle = palette.quiet;
  context.textBaseline = "alphabetic";
  context.textAlign = "left";
  context.fillText("early", 0, words);
  context.textAlign = "right";
  context.fillText("late", width, words);
  context.fillStyle = palette.ruleBeat;
  context.fillRect(width / 2 - 0.75, 2, 1.5, height - 2);
  context.fillStyle = palette.ink;
  context.fillRect(0, height - 1.5, width, 1.5);
  if (!picture.hasTicks) return;

  const offsets = picture.lanes.filter(isOwn).flatMap((lane) =>
    lane.pulses
      .map((/** @type {any} */ p) => offsetFromTickS(picture.score, picture.time, p.time_us))
      .filter((/** @type {number | null} */ s) => s !== null && Math.abs(s) <= FOLD_S),
  );
  const points = density(offsets, -FOLD_S, FOLD_S, Math.round(width));
  const most = Math.max(...points);
  if (!(most > 0)) return;
  context.beginPath();
  context.moveTo(0, height);
  points.forEach((value, i) => context.lineTo(i, height - (value / most) * (height - top)));
  context.lineTo(width, height);
  context.fill();
}

/**
 * @typedef {object} LaneBoxes
 * @property {number} rasterWidth px
 * @property {number} pitchLeft px, NaN where there is no room for the pitch line
 * @property {number} pitchWidth px
 * @property {number} laneHeight px
 */

/**
 * All lanes: rules, marks, floors, pitch centres.
 * @param {HTMLCanvasElement} canvas
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {LaneBoxes} boxes
 */
export function drawLanes(canvas, palette, picture, boxes) {
  const sheet = freshSheet(canvas);
  if (!sheet) return;
  const { context } = sheet;
  const bottom = picture.lanes.length * boxes.laneHeight;
  drawRules(context, palette, picture, boxes.rasterWidth, 0, bottom);
  picture.lanes.forEach((lane, i) => {
    const floor = (i + 1) * boxes.laneHeight - 2;
    drawFloor(context, palette, picture, lane, boxes.rasterWidth, floor);
    drawMarks(context, palette, picture, lane, boxes, floor);
    if (Number.isFinite(boxes.pitchLeft)) drawPitch(context, palette, picture, lane, boxes, floor);
  });
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {any} lane
 * @param {number} width
 * @param {number} floor
 */
function drawFloor(context, palette, picture, lane, width, floor) {
  const { x } = scaleOf(picture, width);
  const heard = lane.centre_tail.map((/** @type {[number, number]} */ [us]) => us);
  context.lineWidth = 1.5;
  context.strokeStyle = isOwn(lane) ? palette.ink : palette.quiet;
  context.setLineDash(isOwn(lane) ? [] : [2, 4]);
  context.beginPath();
  for (const [fromUs, toUs] of floorStretches(heard, lane.pulses)) {
    const from = Math.max(x(picture.time.beatAt(fromUs)), 0);
    const to = Math.min(x(picture.time.beatAt(toUs)), x(picture.nowBeat), width);
    if (to <= from) continue;
    context.moveTo(from, floor);
    context.lineTo(to, floor);
  }
  context.stroke();
  context.setLineDash([]);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {any} lane
 * @param {LaneBoxes} boxes
 * @param {number} floor
 */
function drawMarks(context, palette, picture, lane, boxes, floor) {
  const { x, pxPerBeat } = scaleOf(picture, boxes.rasterWidth);
  const full = boxes.laneHeight - LANE_AIR;
  for (const pulse of lane.pulses) {
    const beat = picture.time.beatAt(pulse.time_us);
    const at = x(beat);
    if (at < -2 || at > boxes.rasterWidth || beat > picture.nowBeat + 0.05) continue;
    const wide = Math.max(((MARK_S * picture.time.bpmAt(beat)) / 60) * pxPerBeat, 3);
    const { height, isClipped } = markHeight(pulse.depth_db, full);
    const left = Math.max(at - wide / 2, 0);
    if (!isOwn(lane)) {
      context.strokeStyle = palette.quiet;
      context.lineWidth = 1;
      context.strokeRect(left, floor - height, wide, height);
      continue;
    }
    context.fillStyle = palette.ink;
    context.fillRect(left, floor - height, wide, height);
    // The break says that the mark goes on above the lane.
    if (isClipped) context.clearRect(left, floor - height + 3, wide, BREAK_PX);
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Palette} palette
 * @param {Picture} picture
 * @param {any} lane
 * @param {LaneBoxes} boxes
 * @param {number} floor
 */
function drawPitch(context, palette, picture, lane, boxes, floor) {
  // A centre that is not known now is not drawn, whatever it was.
  if (!isOwn(lane) || lane.centre_cents === undefined || lane.centre_tail.length === 0) return;
  const { pitchLeft, pitchWidth, laneHeight } = boxes;
  const perCent = pitchWidth / 104;
  const middle = floor - laneHeight / 2 + 2;
  const limit = laneHeight / 2 - 4;
  const y = (/** @type {number} */ cents) => middle - Math.min(Math.max(cents * perCent, -limit), limit);
  context.fillStyle = palette.ruleBeat;
  context.fillRect(pitchLeft, middle - 0.5, pitchWidth, 1);

  const now = 28 * perCent;
  const tailBeats = 8;
  const lastUs = lane.centre_tail[lane.centre_tail.length - 1][0];
  const lastBeat = picture.time.beatAt(lastUs);
  const x = (/** @type {number} */ us) =>
    pitchLeft + ((picture.time.beatAt(us) - lastBeat + tailBeats) / tailBeats) * (pitchWidth - now / 2);
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.beginPath();
  let isFirst = true;
  for (const [us, cents] of lane.centre_tail) {
    if (x(us) < pitchLeft) continue;
    if (isFirst) context.moveTo(x(us), y(cents));
    else context.lineTo(x(us), y(cents));
    isFirst = false;
  }
  context.stroke();
  context.fillStyle = palette.ink;
  context.fillRect(pitchLeft + pitchWidth - now, y(lane.centre_cents) - 2.5, now, 5);
}
