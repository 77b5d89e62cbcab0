// Where the audio clock stands against the page's clock. Pure: pairs of times come in, an offset comes out.
//
// Two sources. The output timestamp says when a frame leaves the loudspeaker; some engines report nonsense (a time
// seconds ahead), so each pair is checked. Without it, pairs of performance.now() and currentTime are used: currentTime
// stands still within a block, so the least difference of a window is the one taken just after a step.
//
// A context that is starved falls behind the page's clock and never makes up for it. Pairs that no longer fit what is
// known are held back; when several come in a row, what was known is dropped for them and the map says that it slipped.

/** Browsers may coarsen their clocks to 0.1 ms and jitter them: so much ahead is not nonsense yet, ms. */
const COARSE_MS = 1;
/** A pair of the output timestamp further behind than this belongs to a context that has stood still. */
const OLDEST_PAIR_MS = 300;
/** Largest believable distance between a timestamp's frame and the context's own time. */
const LARGEST_CONTEXT_GAP_S = 0.5;
/** Pairs looked back on; at four a second this is five seconds, in which two clocks 100 ppm apart drift 0.5 ms. */
const KEPT_PAIRS = 20;
/**
 * A timestamp further off than this does not fit, ms. On a quiet machine they scatter by 0.05 ms, a context that is starved
 * loses whole buffers of 10 ms (our own measurements), and less than 6 ms is not heard in a beat (displaced tones: Friberg
 * & Sundberg 1995).
 */
const STRAY_TIMESTAMP_MS = 5;
/** The same for currentTime, which moves in steps of an output buffer: 10 to 40 ms (common practice, no source). */
const STRAY_CURRENT_TIME_MS = 45;
/** So many in a row that do not fit are believed. */
const STRAYS_BELIEVED = 3;

/**
 * @typedef {object} ClockPair
 * @property {number} nowMs performance.now() at the look
 * @property {number} currentTimeS the context's currentTime at the look
 * @property {number} [contextTimeS] of the output timestamp, if the engine has one
 * @property {number} [performanceTimeMs] of the output timestamp
 *
 * @typedef {"steady" | "stray" | "slipped"} Fit whether a pair fits what was known before it
 */

/**
 * Whether the output timestamp in a pair can be true.
 * @param {ClockPair} pair
 */
export function isSane(pair) {
  const { nowMs, currentTimeS, contextTimeS, performanceTimeMs } = pair;
  if (!Number.isFinite(contextTimeS) || !Number.isFinite(performanceTimeMs)) return false;
  // Both are nought before the first block has been rendered.
  if (!contextTimeS || !performanceTimeMs) return false;
  const behindMs = nowMs - performanceTimeMs;
  return behindMs >= -COARSE_MS && behindMs < OLDEST_PAIR_MS && Math.abs(contextTimeS - currentTimeS) < LARGEST_CONTEXT_GAP_S;
}

/** @param {number[]} values at least one */
function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** One source's offsets, page time minus audio time, ms. */
class Series {
  /** @param {(ms: number, knownMs: number) => boolean} isStray */
  constructor(isStray) {
    this.isStray = isStray;
    /** @type {number[]} */
    this.kept = [];
    /** @type {number[]} */
    this.strays = [];
  }

  /** @param {number} ms @param {number} knownMs @returns {Fit} */
  add(ms, knownMs) {
    if (this.kept.length >= STRAYS_BELIEVED && this.isStray(ms, knownMs)) {
      this.strays.push(ms);
      if (this.strays.length < STRAYS_BELIEVED) return "stray";
      this.kept = this.strays;
      this.strays = [];
      return "slipped";
    }
    this.strays = [];
    this.kept.push(ms);
    if (this.kept.length > KEPT_PAIRS) this.kept.shift();
    return "steady";
  }

  clear() {
    this.kept = [];
    this.strays = [];
  }
}

export class TimeMap {
  constructor() {
    this.byTimestamp = new Series((ms, knownMs) => Math.abs(ms - knownMs) > STRAY_TIMESTAMP_MS);
    // Less than what is known is only a better look at the same clock.
    this.byCurrentTime = new Series((ms, knownMs) => ms - knownMs > STRAY_CURRENT_TIME_MS);
  }

  /** @param {ClockPair} pair @returns {Fit} */
  add(pair) {
    if (!Number.isFinite(pair.nowMs) || !Number.isFinite(pair.currentTimeS)) return "stray";
    const source = this.source();
    const { byTimestamp, byCurrentTime } = this;
    const fit = byCurrentTime.add(pair.nowMs - pair.currentTimeS * 1000, Math.min(...byCurrentTime.kept));
    if (!isSane(pair)) {
      // A source that has begun to report nonsense fades out instead of holding on to an old truth.
      byTimestamp.kept.shift();
      byTimestamp.strays = [];
      return source === "output timestamp" ? "steady" : fit;
    }
    const ms = Number(pair.performanceTimeMs) - Number(pair.contextTimeS) * 1000;
    const fitOfTimestamp = byTimestamp.add(ms, byTimestamp.kept.length > 0 ? median(byTimestamp.kept) : ms);
    return source === "output timestamp" ? fitOfTimestamp : fit;
  }

  /** Forgets everything: after the context was interrupted or replaced. */
  clear() {
    this.byTimestamp.clear();
    this.byCurrentTime.clear();
  }

  /** @returns {"output timestamp" | "current time" | "none"} */
  source() {
    if (this.byTimestamp.kept.length >= 3) return "output timestamp";
    return this.byCurrentTime.kept.length > 0 ? "current time" : "none";
  }

  /**
   * Page time at audio time nought, ms of performance.now(): when it left the loudspeaker by the output timestamp, when
   * it was rendered by the current time.
   * @returns {number | null} null before the first pair
   */
  offsetMs() {
    switch (this.source()) {
      case "output timestamp":
        return median(this.byTimestamp.kept);
      case "current time":
        return Math.min(...this.byCurrentTime.kept);
      default:
        return null;
    }
  }
}
