// What a screen reader reads out of sentences that change with the music: the newest, once a bar at most, and nothing twice. Pure.

/** The shortest pause between two, ms: a fast bar is no time to listen. Our own choice. */
const LEAST_MS = 2000;

export class Announcer {
  constructor() {
    this.last = "";
    this.lastMs = -Infinity;
  }

  /**
   * @param {string} text what stands there now
   * @param {number} nowMs @param {number} barMs
   * @returns {string | null} null while nothing is to be read
   */
  next(text, nowMs, barMs) {
    if (text === "" || text === this.last || nowMs - this.lastMs < Math.max(barMs, LEAST_MS)) return null;
    this.last = text;
    this.lastMs = nowMs;
    return text;
  }
}
