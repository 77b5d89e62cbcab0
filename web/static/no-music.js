// What stands in for the music where none runs: the lanes still show the players' pulses, four seconds to a bar, without
// ticks. Plain data; knows no page.

export const NO_MUSIC = Object.freeze({
  version: 0,
  start_us: 0,
  beats_per_bar: 4,
  spans: [{ bpm: 60, target: { kind: "free" } }],
});

/** Seconds for beats. */
export const SECONDS_AS_BEATS = Object.freeze({
  beatAt: (/** @type {number} */ us) => us / 1e6,
  timeOf: (/** @type {number} */ beat) => beat * 1e6,
  spanAt: () => 0,
  bpmAt: () => 60,
  barLineAt: (/** @type {number} */ beat) => Math.floor(beat / 4) * 4,
});
