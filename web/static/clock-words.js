// When a poor clock is told of, and how. Pure: the quality comes in as the protocol's clock words it.

/** So long it must stay poor, ms: a single late answer of the Wi-Fi is no news. */
const PATIENCE_MS = 5000;

export class ClockTrouble {
  constructor() {
    this.poorSinceMs = NaN;
  }

  /**
   * @param {{ word: string, errorMs: number }} quality
   * @param {number} nowMs
   * @returns {string} for the page; empty while there is nothing to tell
   */
  inWords(quality, nowMs) {
    if (quality.word !== "poor") {
      this.poorSinceMs = NaN;
      return "";
    }
    if (Number.isNaN(this.poorSinceMs)) this.poorSinceMs = nowMs;
    if (nowMs - this.poorSinceMs < PATIENCE_MS) return "";
    const upTo = Number.isFinite(quality.errorMs) ? `up to ${Math.max(Math.ceil(quality.errorMs), 1)} ms` : "far";
    return `The beat on this device may be ${upTo} off: the Wi-Fi is slow.`;
  }
}
