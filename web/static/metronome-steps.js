// The usual metronome marks and the step from one to the next. Pure; knows no page and no room.

/** The marks as they stand on metronomes, in beats per minute. Common practice. */
export const MARKS_BPM = Object.freeze([
  40, 42, 44, 46, 48, 50, 52, 54, 56, 58, 60, 63, 66, 69, 72, 76, 80, 84, 88, 92, 96, 100, 104, 108, 112, 116, 120,
  126, 132, 138, 144, 152, 160, 168, 176, 184, 192, 200, 208,
]);

/**
 * The next slower mark, also from a tempo that is none.
 * @param {number} bpm
 * @returns {number | null} null where there is no slower one
 */
export function slowerBpm(bpm) {
  return [...MARKS_BPM].reverse().find((mark) => mark < bpm) ?? null;
}

/**
 * The next faster mark, also from a tempo that is none.
 * @param {number} bpm
 * @returns {number | null} null where there is no faster one
 */
export function fasterBpm(bpm) {
  return MARKS_BPM.find((mark) => mark > bpm) ?? null;
}
