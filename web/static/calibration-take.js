// One measurement of a device's delay: samples and the frames of its clicks go through the wasm door, which has the
// arithmetic, and a verdict comes back. Knows no microphone and no page.

import { outputText } from "./shared-time.js";

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
      const input = this.door.input_ptr();
      new Float32Array(this.door.memory.buffer, input, part.length).set(part);
      this.door.calibrate_push(part.length);
    }
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
