// When a poor clock is told of, and how. Pure: the quality comes in as the protocol's clock words it.

import { word } from "./words.js";

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
    if (!Number.isFinite(quality.errorMs)) return word("clock-far-off");
    return word("clock-off", { ms: Math.max(Math.ceil(quality.errorMs), 1) });
  }
}
