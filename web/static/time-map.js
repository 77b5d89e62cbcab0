// Where the audio clock stands against the page's clock. Pure: pairs of times come in, an offset comes out.
//
// Two sources. The output timestamp says when a frame leaves the loudspeaker; some engines report nonsense (a time
// seconds ahead), so each pair is checked. Without it, pairs of performance.now() and currentTime are used: currentTime
// stands still within a block, so the least difference of a window is the one taken just after a step.

/** Browsers may coarsen their clocks to 0.1 ms and jitter them: so much ahead is not nonsense yet, ms. */
const COARSE_MS = 1;
/** A pair of the output timestamp further behind than this belongs to a context that has stood still. */
const OLDEST_PAIR_MS = 300;
/** Largest believable distance between a timestamp's frame and the context's own time. */
const LARGEST_CONTEXT_GAP_S = 0.5;
/** Pairs looked back on; at four a second this is five seconds, in which two clocks 100 ppm apart drift 0.5 ms. */
const KEPT_PAIRS = 20;

/**
 * @typedef {object} ClockPair
 * @property {number} nowMs performance.now() at the look
 * @property {number} currentTimeS the context's currentTime at the look
 * @property {number} [contextTimeS] of the output timestamp, if the engine has one
 * @property {number} [performanceTimeMs] of the output timestamp
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

export class TimeMap {
  constructor() {
    /** @type {number[]} page time minus audio time, ms, by the output timestamp */
    this.byTimestampMs = [];
    /** @type {number[]} the same by currentTime */
    this.byCurrentTimeMs = [];
  }

  /** @param {ClockPair} pair */
  add(pair) {
    if (!Number.isFinite(pair.nowMs) || !Number.isFinite(pair.currentTimeS)) return;
    push(this.byCurrentTimeMs, pair.nowMs - pair.currentTimeS * 1000);
    if (isSane(pair)) {
      push(this.byTimestampMs, Number(pair.performanceTimeMs) - Number(pair.contextTimeS) * 1000);
    } else if (this.byTimestampMs.length > 0) {
      // A source that has begun to report nonsense fades out instead of holding on to an old truth.
      this.byTimestampMs.shift();
    }
  }

  /** Forgets everything: after the context was interrupted or replaced. */
  clear() {
    this.byTimestampMs = [];
    this.byCurrentTimeMs = [];
  }

  /** @returns {"output timestamp" | "current time" | "none"} */
  source() {
    if (this.byTimestampMs.length >= 3) return "output timestamp";
    return this.byCurrentTimeMs.length > 0 ? "current time" : "none";
  }

  /**
   * Page time at which audio time nought left the loudspeaker, ms of performance.now().
   * @returns {number | null} null before the first pair
   */
  offsetMs() {
    switch (this.source()) {
      case "output timestamp":
        return median(this.byTimestampMs);
      case "current time":
        return Math.min(...this.byCurrentTimeMs);
      default:
        return null;
    }
  }
}

/** @param {number[]} window @param {number} value */
function push(window, value) {
  window.push(value);
  if (window.length > KEPT_PAIRS) window.shift();
}
