// A player's state as word, family and shape. The geometry is data in a 32 by 32 box (x right, y down): across is time,
// up is pitch or depth, as in the raster. Colour only fills a shape; word and form say the same without it. Knows no room.

import { word } from "./words.js";

/**
 * @typedef {"time" | "pitch" | "air" | "none"} Family what the state speaks of; "none" passes no verdict or none is due
 * @typedef {{ d: string, paint: "ink" | "hue" | "quiet-fill" }} Filled
 * @typedef {{ d: string, paint: "ink-line" | "hue-line" | "quiet-line", width: number, dash?: string }} Stroked
 * @typedef {{ family: Family, parts: (Filled | Stroked)[], readonly word: string }} StateLook in the page's language
 */

/** @param {number} x @param {number} y @param {number} width @param {number} height */
const box = (x, y, width, height) => `M${x} ${y}h${width}v${height}h${-width}z`;

/** @param {number} x left foot @param {number} lean how far the head stands to the right of the foot */
const leaning = (x, lean) => `M${x} 30h6l${lean} -28h-6z`;

/** @param {string} d @returns {Filled} */
const ink = (d) => ({ d, paint: "ink" });
/** @param {string} d @returns {Filled} */
const hue = (d) => ({ d, paint: "hue" });

const THREE_LEANING_FORWARD = [-2, 9, 20].map((x) => leaning(x, 8)).join("");
const THREE_LEANING_BACK = [6, 17, 28].map((x) => leaning(x, -8)).join("");
const ONE_AND_A_HALF_WAVES = "M2 16c3 -15 6.3 -15 9.3 0s6.3 15 9.3 0s6.4 -15 9.4 0";

/** @type {Record<string, { family: Family, parts: (Filled | Stroked)[] }>} keyed by the word on the wire */
const LOOKS = {
  matched: { family: "none", parts: [ink(box(3, 2, 4, 28) + box(14, 2, 4, 28) + box(25, 2, 4, 28))] },
  slow: { family: "time", parts: [hue(THREE_LEANING_BACK)] },
  fast: { family: "time", parts: [hue(THREE_LEANING_FORWARD)] },
  early: { family: "time", parts: [hue(box(5, 4, 12, 24)), ink(box(23, 2, 3, 28))] },
  late: { family: "time", parts: [ink(box(6, 2, 3, 28)), hue(box(15, 4, 12, 24))] },
  uneven: { family: "time", parts: [hue(box(1, 2, 6, 28) + box(9, 2, 6, 28) + box(25, 2, 6, 28))] },
  sharp: { family: "pitch", parts: [hue(box(4, 5, 24, 12)), ink(box(1, 23, 30, 3))] },
  flat: { family: "pitch", parts: [ink(box(1, 6, 30, 3)), hue(box(4, 15, 24, 12))] },
  "drifting-sharp": { family: "pitch", parts: [hue("M1 23L31 4V23z"), ink(box(1, 26, 30, 3))] },
  "drifting-flat": { family: "pitch", parts: [ink(box(1, 3, 30, 3)), hue("M1 9H31V28z")] },
  "pitch-led": {
    family: "pitch",
    parts: [{ d: ONE_AND_A_HALF_WAVES, paint: "hue-line", width: 4.5 }, ink(box(0, 15.25, 32, 1.5))],
  },
  shallow: {
    family: "air",
    parts: [hue(box(3, 19, 6, 7) + box(13, 19, 6, 7) + box(23, 19, 6, 7)), ink(box(0, 27, 32, 3))],
  },
  "choked-valleys": {
    family: "air",
    parts: [hue("M0 27L5 2h5l5 25zM17 27L22 2h5l5 25z"), ink(box(2, 28, 11, 3) + box(19, 28, 11, 3))],
  },
  straight: { family: "air", parts: [hue(box(1, 12.5, 30, 7))] },
  resting: {
    family: "none",
    parts: [{ d: box(1, 8, 30, 3) + box(8, 11, 16, 9), paint: "quiet-fill" }],
  },
  "not-heard": {
    family: "none",
    parts: [{ d: box(9, 4, 14, 24), paint: "quiet-line", width: 3, dash: "4.5 3" }],
  },
  blended: {
    family: "none",
    parts: [
      { d: box(2, 3, 15, 25) + box(13, 13, 16, 16), paint: "quiet-line", width: 2.5 },
      { d: box(13, 13, 4, 15), paint: "quiet-fill" },
    ],
  },
  away: { family: "none", parts: [{ d: box(1, 25, 7, 3) + box(12.5, 25, 7, 3) + box(24, 25, 7, 3), paint: "quiet-fill" }] },
};

/** @type {Readonly<Record<string, StateLook>>} keyed by the word on the wire */
export const STATES = Object.freeze(
  Object.fromEntries(
    Object.entries(LOOKS).map(([state, look]) => [
      state,
      Object.freeze({
        ...look,
        get word() {
          return word(`state-${state}`);
        },
      }),
    ]),
  ),
);

/**
 * @param {string} state word on the wire
 * @returns {StateLook} that of "not heard" for a word this page does not know
 */
export function lookOf(state) {
  return STATES[state] ?? STATES["not-heard"];
}

const SVG = "http://www.w3.org/2000/svg";

/**
 * Draws a state into an `svg.shape` element, if it shows another one.
 * @param {SVGElement} svg
 * @param {string} state word on the wire
 */
export function drawShape(svg, state) {
  if (svg.dataset.shape === state) return;
  svg.dataset.shape = state;
  const look = lookOf(state);
  svg.dataset.family = look.family;
  svg.setAttribute("viewBox", "0 0 32 32");
  svg.setAttribute("aria-hidden", "true");
  svg.replaceChildren(
    ...look.parts.map((part) => {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("d", part.d);
      path.setAttribute("class", part.paint);
      if ("width" in part) path.setAttribute("stroke-width", String(part.width));
      if ("dash" in part && part.dash) path.setAttribute("stroke-dasharray", part.dash);
      return path;
    }),
  );
}
