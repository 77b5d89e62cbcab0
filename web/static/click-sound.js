// The tick's sounds and loudness: samples from the wasm door, decibels to gains. The sounds themselves are the analysis's,
// which has to know what it hears from the loudspeaker. Knows no audio context and no page.

/** @typedef {"bar" | "beat" | "between"} TickKind */

/** Kinds in the order in which the door and the audio thread count them. */
export const KINDS = /** @type {const} */ (["bar", "beat", "between"]);

/** A tick between the beats is so much softer than on them, dB. Common practice, no source. */
const BETWEEN_DB = -8;
/** Peak on the beat where nobody chose another, dB under full scale: heard across a stand, far from loud in headphones. */
export const DEFAULT_VOLUME_DB = -20;
/** Softest and loudest that can be chosen, dB. */
export const SOFTEST_DB = -44;
export const LOUDEST_DB = -2;

/** @param {number} volumeDb @returns {[number, number, number]} amplitude of each kind, for samples that peak at 1 */
export function gainsOf(volumeDb) {
  const gain = (/** @type {number} */ db) => 10 ** (db / 20);
  return [gain(volumeDb), gain(volumeDb), gain(volumeDb + BETWEEN_DB)];
}

/** Sounds in the order in which the door counts them. @typedef {"wood" | "bright"} SoundName */
export const SOUNDS = /** @type {const} */ (["wood", "bright"]);

/**
 * A click's samples, which peak at 1.
 * @param {any} door
 * @param {SoundName} sound
 * @param {TickKind} kind
 * @param {number} sampleRateHz
 * @returns {Float32Array}
 */
export function clickSamples(door, sound, kind, sampleRateHz) {
  const n = door.click_sound(SOUNDS.indexOf(sound), KINDS.indexOf(kind), sampleRateHz);
  return new Float32Array(door.memory.buffer, door.click_ptr(), n).slice();
}
