// The room before the music, as words and numbers: how seats are laid out, what a finding is called, where a level stands
// on the scale. Knows no page besides the texts it brings.

import { word } from "./words.js";

/** Most chairs in one row of the picture: as many as fit half of a laptop's width with their names whole. */
const ROW = 5;

/** The scale of levels, dB under full scale; what is outside stands at its end. */
export const TOP_DB = -6;
export const BOTTOM_DB = -76;

/** @param {string} finding the word on the wire */
export const findingWord = (finding) => word(`finding-${finding}`);

/** Whether a finding wants something done. @param {string} finding */
export const wantsWork = (finding) => !["clear", "not-checked", "away"].includes(finding);

/**
 * Chairs in rows, the front row first: as even as can be, the front row never the longest.
 * @template T
 * @param {T[]} chairs in order
 * @returns {T[][]}
 */
export function rowsOf(chairs) {
  const nRows = Math.ceil(chairs.length / ROW);
  const rows = [];
  let from = 0;
  for (let row = 0; row < nRows; row += 1) {
    const length = Math.floor((chairs.length - from) / (nRows - row));
    rows.push(chairs.slice(from, from + length));
    from += length;
  }
  return rows;
}

/**
 * Where a level stands, 0 at the top to 1 at the bottom.
 * @param {number} db
 */
export function placeOnScale(db) {
  return Math.min(Math.max((TOP_DB - db) / (TOP_DB - BOTTOM_DB), 0), 1);
}

/** @param {number | undefined} db with a true minus; a dash where there is none */
export function dbText(db) {
  if (db === undefined) return "\u2013";
  const whole = Math.round(db);
  return whole < 0 ? `\u2212${-whole}` : String(whole);
}

/**
 * A checked chair in words, for those who do not see it.
 * @param {any} chair of the check
 */
export function chairInWords(chair) {
  const parts = [word("finding-chair", { chair: chair.chair, name: chair.name }), findingWord(chair.finding)];
  if (chair.apart_db !== undefined) {
    const db = dbText(chair.apart_db);
    const { loudest } = chair;
    parts.push(loudest === undefined ? word("finding-over-noise", { db }) : word("finding-over-chair", { db, chair: loudest }));
  }
  return parts.join(", ");
}

/**
 * How many are in.
 * @param {number} nIn
 * @param {number | undefined} nExpected by the roster
 */
export function inText(nIn, nExpected) {
  if (nExpected !== undefined && nExpected > 0) {
    return word("room-in-of", { n: nIn, expected: Math.max(nExpected, nIn) });
  }
  return nIn === 0 ? word("room-nobody") : word("room-in", { n: nIn });
}

/**
 * What the conductor should know of the devices that found the computer.
 * @param {{ reached_http?: number, reached_https?: number }} reach
 */
export function reachedText(reach) {
  const { reached_http: found = 0, reached_https: secure = 0 } = reach;
  if (found === 0 && secure === 0) return word("reach-nobody");
  return word("reach-reached", { n: Math.max(found, secure), secure });
}
