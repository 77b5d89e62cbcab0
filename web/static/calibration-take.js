// One measurement of a device's delay: samples and the frames of its clicks go through the wasm door, which has the
// arithmetic, and a verdict comes back. Knows no microphone and no page.

import { outputText } from "./shared-time.js";

/**
 * Peak of the noise that is put under the sound: 80 dB under full scale, as a quiet microphone has. In digital silence,
 * which gated microphones give between sounds, the door finds only a part of the clicks (our own measurement).
 */
const NOISE = 1e-4;

/** Ways to measure, as the door numbers them. */
const MODES = { loudspeaker: 0, taps: 1 };

/** @typedef {keyof typeof MODES} CalibrationMode */

/**
 * @typedef {object} CalibrationResult
 * @property {string} status
 * @property {number | null} [delay_ms]
 * @property {number | null} [scatter_ms]
 * @property {number} n clicks or taps that were found
 */

export class CalibrationTake {
  /**
   * @param {any} door
   * @param {number} sampleRateHz
   * @param {CalibrationMode} mode
   */
  constructor(door, sampleRateHz, mode) {
    this.door = door;
    /** @type {string} why it cannot be measured */
    this.refusal = door.calibrate_open(sampleRateHz, MODES[mode]) === 0 ? "" : outputText(door);
    this.firstFrame = NaN;
    /** State of the noise, the same in every take (xorshift, Marsaglia 2003). */
    this.noise = 1;
    this.nextFrame = NaN;
    /** @type {number[]} frames of clicks told of before the first sample came */
    this.early = [];
  }

  /** @param {number} frame of a click's first sample */
  click(frame) {
    if (Number.isNaN(this.firstFrame)) this.early.push(frame);
    else if (frame >= this.firstFrame) this.door.calibrate_tick(frame - this.firstFrame);
  }

  /** @param {number} frame @param {Float32Array} samples */
  push(frame, samples) {
    if (Number.isNaN(this.firstFrame)) {
      this.firstFrame = frame;
      this.nextFrame = frame;
      for (const early of this.early) this.click(early);
      this.early = [];
    }
    // Lost frames are silence here: what follows must keep its place.
    if (frame > this.nextFrame) this.pass(new Float32Array(frame - this.nextFrame));
    this.pass(samples);
    this.nextFrame = frame + samples.length;
  }

  /** @param {Float32Array} samples */
  pass(samples) {
    const capacity = this.door.input_capacity();
    for (let at = 0; at < samples.length; at += capacity) {
      const part = samples.subarray(at, at + capacity);
      const input = new Float32Array(this.door.memory.buffer, this.door.input_ptr(), part.length);
      for (let i = 0; i < part.length; i += 1) input[i] = part[i] + NOISE * this.nextNoise();
      this.door.calibrate_push(part.length);
    }
  }

  /** @returns {number} from -1 to 1 */
  nextNoise() {
    this.noise ^= this.noise << 13;
    this.noise ^= this.noise >>> 17;
    this.noise ^= this.noise << 5;
    return this.noise / 2 ** 31;
  }

  /** Frees what the door holds for it. */
  close() {
    this.door.calibrate_close();
  }

  /** @returns {CalibrationResult} and closes it */
  result() {
    if (this.refusal) return { status: "refused", n: 0 };
    const isSaid = this.door.calibrate_result() === 1;
    const result = isSaid ? JSON.parse(outputText(this.door)) : { status: "refused", n: 0 };
    this.close();
    return result;
  }
}
