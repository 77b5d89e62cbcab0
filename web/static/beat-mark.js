// Where the moving beat mark stands, and the count-in's number, as numbers. Pure; draws nothing. The mark comes down to its
// line on the beat and rises again, as a conductor's hand does: its place tells when the next beat is. It never changes
// its brightness, and it stays slow enough that even its movement is no flash (WCAG 2.2, SC 2.3.1: three in a second).

/** Movements in a second, at most. */
export const MOST_PER_S = 3;
/** Side of the mark and its way, px. */
export const MARK_PX = 14;
export const WAY_PX = 18;
/** Height and width of the largest number of the count-in, px: figures of 120 px type. */
export const SPOKEN_BOX_PX = Object.freeze({ width: 96, height: 120 });
/** What may flash at any rate, px: a quarter of 341 by 256 (WCAG 2.2, general flash thresholds). */
export const SAFE_AREA_PX = 21_824;

/**
 * Beats of one movement: one, or as many as keep it slow enough, as a conductor takes a fast bar in one.
 * @param {number} bpm
 */
export function beatsOfMovement(bpm) {
  let beats = 1;
  while (bpm / 60 / beats > MOST_PER_S) beats *= 2;
  return beats;
}

/**
 * Height of the mark above its line, from 0 (on the beat) to 1 (midway between beats).
 * @param {number} beat
 * @param {number} bpm tempo at this beat
 */
export function heightAt(beat, bpm) {
  const beats = beatsOfMovement(bpm);
  const phase = (((beat / beats) % 1) + 1) % 1;
  // Thrown and falling: fast at the line, so that the moment is seen, and slow above.
  return 1 - (2 * phase - 1) ** 2;
}
