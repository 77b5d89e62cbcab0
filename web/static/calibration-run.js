// The course of one measurement of a device's delay: when the clicks come, how long is listened, what ends it. Clicks,
// worker and timers come in as arguments; the arithmetic is behind the worker. Knows no page.

/** Quiet before the first click, s, in which the background is heard, and listening after the last. */
const BEFORE_S = 0.8;
const AFTER_S = 0.9;
/**
 * Pauses between the clicks of the loudspeaker's way, s: at least the door's 0.8, and all different, so that neither an
 * echo nor a neighbour who measures too is taken for oneself.
 */
const LOUDSPEAKER_PAUSES_S = [0.83, 0.95, 0.8, 0.89, 1.01, 0.81, 0.86];
/** Ticks to tap with, 100 in a minute: a tempo at which people tap most evenly (300 to 800 ms, Drake & Botte 1993). */
const TAP_PAUSE_S = 0.6;
const LEAD_IN_TICKS = 4;
const TAPS = 12;
/** A click that has not begun so long after its moment never will: the context stands still, ms. */
const OVERDUE_MS = 4000;

/**
 * @typedef {import("./calibration-take.js").CalibrationMode} CalibrationMode
 * @typedef {import("./calibration-take.js").CalibrationResult} CalibrationResult
 *
 * @typedef {object} RunParts
 * @property {number} sampleRateHz
 * @property {() => number} frameNow
 * @property {(frames: number[], played: (frame: number) => void) => Promise<() => void>} playAlone
 * @property {(order: object) => void} tellWorker
 * @property {(run: () => void, ms: number) => any} later
 * @property {(timer: any) => void} cancelLater
 */

/**
 * Moments of the clicks, s from the beginning.
 * @param {CalibrationMode} mode
 * @returns {number[]}
 */
export function clickTimesS(mode) {
  const pauses = mode === "loudspeaker" ? LOUDSPEAKER_PAUSES_S : Array(LEAD_IN_TICKS + TAPS - 1).fill(TAP_PAUSE_S);
  const times = [BEFORE_S];
  for (const pause of pauses) times.push(times[times.length - 1] + pause);
  return times;
}

/** @param {CalibrationMode} mode @returns {number} how long it takes, s */
export function durationS(mode) {
  const times = clickTimesS(mode);
  return times[times.length - 1] + AFTER_S;
}

/** Clicks of a mode that are only listened to. @param {CalibrationMode} mode */
export function leadIn(mode) {
  return mode === "taps" ? LEAD_IN_TICKS : 0;
}

export class CalibrationRun {
  /** @param {RunParts} parts */
  constructor(parts) {
    this.parts = parts;
    /** @type {any} */
    this.timer = null;
    /** @type {() => void} */
    this.silence = () => {};
    /** @type {(result: CalibrationResult) => void} */
    this.done = () => {};
    this.isOver = true;
  }

  /**
   * @param {CalibrationMode} mode
   * @param {(nPlayed: number, nClicks: number) => void} progress
   * @returns {Promise<CalibrationResult>} status "cancelled" or "interrupted" where nothing was measured
   */
  async start(mode, progress) {
    const { parts } = this;
    this.isOver = false;
    const over = new Promise((/** @type {(result: CalibrationResult) => void} */ resolve) => {
      this.done = resolve;
    });
    parts.tellWorker({ type: "calibrate", step: "open", mode });
    const from = parts.frameNow();
    const frames = clickTimesS(mode).map((timeS) => Math.round(from + timeS * parts.sampleRateHz));
    let nPlayed = 0;
    const silence = await parts.playAlone(frames, (frame) => {
      if (this.isOver) return;
      nPlayed += 1;
      if (nPlayed > leadIn(mode)) parts.tellWorker({ type: "calibrate", step: "click", frame });
      progress(nPlayed, frames.length);
      if (nPlayed === frames.length) this.endIn(AFTER_S * 1000, () => parts.tellWorker({ type: "calibrate", step: "result" }));
    });
    this.silence = silence;
    if (this.isOver) {
      silence();
      return over;
    }
    this.endIn(durationS(mode) * 1000 + OVERDUE_MS, () => this.stop("interrupted"));
    return over;
  }

  /** @param {number} ms @param {() => void} end */
  endIn(ms, end) {
    this.parts.cancelLater(this.timer);
    this.timer = this.parts.later(end, ms);
  }

  /** The worker's answer. @param {CalibrationResult | null} result */
  take(result) {
    if (this.isOver) return;
    this.finish(result ?? { status: "interrupted", n: 0 });
  }

  /** @param {"cancelled" | "interrupted" | "music"} status */
  stop(status) {
    if (this.isOver) return;
    this.parts.tellWorker({ type: "calibrate", step: "cancel" });
    this.finish({ status, n: 0 });
  }

  /** @param {CalibrationResult} result */
  finish(result) {
    this.isOver = true;
    this.parts.cancelLater(this.timer);
    this.silence();
    this.silence = () => {};
    this.done(result);
  }
}
