// What an exercise asks of growing and fading, drawn under the beat figures: dynamics as an open hairpin with its marks, the
// vibrato itself as a solid wedge. Takes a page of paper; knows no lanes and no clock.

import { spansBetween } from "./raster-geometry.js";

/** Height of the band, px, on a laptop. */
const BAND_PX = 18;
/** Dynamics from the softest to the loudest mark. */
const MARKS = ["pp", "p", "mp", "mf", "f", "ff"];

/** @param {import("./raster-geometry.js").Span} span */
const changes = (span) => {
  const ease = span.ease && span.ease.from !== span.ease.to;
  return { ease: Boolean(ease), dynamics: Boolean(span.dynamics) };
};

/** @param {import("./raster.js").Page} page */
const spansOf = (page) => spansBetween(page.score, page.startBeat, page.startBeat + page.widthBeats);

/** Whether there is anything to draw. @param {import("./raster.js").Page} page */
export function hasWedges(page) {
  return page.hasTicks && spansOf(page).some(({ span }) => changes(span).ease || changes(span).dynamics);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {import("./raster.js").Page} page
 * @param {number} top px
 * @returns {number} the height taken, px
 */
export function drawWedges(context, palette, page, top) {
  const high = BAND_PX * page.type;
  context.clearRect(0, top, page.width, high);
  const x = (/** @type {number} */ beat) => page.pad + (beat - page.startBeat) * page.pxPerBeat;
  const middle = top + high / 2;
  for (const { span, from, to } of spansOf(page)) {
    const end = Math.min(to, page.startBeat + page.widthBeats);
    const { ease, dynamics } = changes(span);
    if (ease && Number.isFinite(to)) solidWedge(context, palette, x(from), x(to), middle, high - 6, span.ease ?? { from: 1, to: 1 });
    if (dynamics) hairpin(context, palette, x(Math.max(from, page.startBeat)), x(end), middle, high, span.dynamics ?? { from: "", to: "" });
  }
  return high;
}

/**
 * The vibrato from one share of its size to another.
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {number} left @param {number} right @param {number} middle @param {number} high
 * @param {{ from: number, to: number }} ease
 */
function solidWedge(context, palette, left, right, middle, high, ease) {
  const [a, b] = [ease.from, ease.to].map((share) => (Math.max(share, 0.06) * high) / 2);
  context.fillStyle = palette.quiet;
  context.beginPath();
  context.moveTo(left, middle - a);
  context.lineTo(right, middle - b);
  context.lineTo(right, middle + b);
  context.lineTo(left, middle + a);
  context.fill();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {import("./paper.js").Palette} palette
 * @param {number} left @param {number} right @param {number} middle @param {number} high
 * @param {{ from: string, to: string }} dynamics
 */
function hairpin(context, palette, left, right, middle, high, { from, to }) {
  context.font = `italic 700 ${high - 3}px B612, Verdana, sans-serif`;
  context.fillStyle = palette.ink;
  context.textBaseline = "middle";
  context.textAlign = "left";
  context.fillText(from, left + 4, middle);
  if (from === to) return;
  const opens = MARKS.indexOf(from) < MARKS.indexOf(to);
  const [start, end] = [left + 10 + context.measureText(from).width, right - 10 - context.measureText(to).width];
  context.textAlign = "right";
  context.fillText(to, right - 4, middle);
  if (end - start < 8) return;
  const [a, b] = opens ? [0, high / 2 - 3] : [high / 2 - 3, 0];
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.beginPath();
  for (const side of [-1, 1]) {
    context.moveTo(start, middle + side * a);
    context.lineTo(end, middle + side * b);
  }
  context.stroke();
}
