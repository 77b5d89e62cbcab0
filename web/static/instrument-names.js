// Instruments and parts by name, in the reader's language. The page brings the area "instruments". Knows no player.

import { word } from "./words.js";

/** What the program calls a part where that is not the slug with spaces, as the protocol's `Instrument::label`. */
const MADE_FROM = Object.freeze({
  "clarinet-eb": "clarinet in E flat",
  "clarinet-bb": "clarinet in B flat",
  "clarinet-a": "clarinet in A",
});

/** @param {string} slug */
export const instrumentName = (slug) => word(`instrument-${slug}`);

/**
 * A player's part. One that the program made, "flute 2", is said in the reader's language; what a person typed stays.
 * @param {string} part @param {string} slug of the instrument
 */
export function partName(part, slug) {
  const made = MADE_FROM[/** @type {keyof typeof MADE_FROM} */ (slug)] ?? slug.replaceAll("-", " ");
  const n = part.startsWith(`${made} `) ? part.slice(made.length + 1) : "";
  return /^\d+$/.test(n) ? word("part-numbered", { instrument: instrumentName(slug), n: Number(n) }) : part;
}
