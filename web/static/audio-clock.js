// An audio context's clock against the page's: looked at a few times a second, mapped by time-map.js. Says when the
// context fell behind. Knows neither microphone nor score.

import { TimeMap } from "./time-map.js";

/** How often the two clocks are compared, ms. */
const LOOK_MS = 250;
/** A context whose time advances by less than this share of the page's has stood still or been starved. */
const STARVED_SHARE = 0.5;
/** A device that claims a longer way out than this is not believed, s. */
const LONGEST_OUTPUT_LAG_S = 0.5;

export class AudioClock {
  /**
   * @param {AudioContext} context
   * @param {() => void} looked called after each comparison that brought a usable offset
   * @param {() => number} nowMs the page's clock
   */
  constructor(context, looked = () => {}, nowMs = () => performance.now()) {
    this.context = context;
    this.looked = looked;
    /** @type {(fromS: number, toS: number) => void} the context fell behind between these audio times */
    this.slipped = () => {};
    this.map = new TimeMap();
    this.nowMs = nowMs;
    this.lastLook = { nowMs: nowMs(), currentTimeS: context.currentTime };
    /** Audio time of the last look that fitted what was known, s. */
    this.lastSteadyS = context.currentTime;
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  look() {
    const { context, map } = this;
    // The page's clock is read last: a timestamp that lies ahead of it is nonsense.
    const stamp = context.getOutputTimestamp?.();
    const currentTimeS = context.currentTime;
    const nowMs = this.nowMs();
    const passedMs = nowMs - this.lastLook.nowMs;
    const advancedMs = (currentTimeS - this.lastLook.currentTimeS) * 1000;
    this.lastLook = { nowMs, currentTimeS };
    if (advancedMs < passedMs * STARVED_SHARE) {
      // Interrupted, hidden or starved: what was known says nothing about the time after it.
      if (map.source() !== "none") this.slipped(this.lastSteadyS, currentTimeS);
      map.clear();
      return;
    }
    const fit = map.add({ nowMs, currentTimeS, contextTimeS: stamp?.contextTime, performanceTimeMs: stamp?.performanceTime });
    if (fit === "slipped") this.slipped(this.lastSteadyS, currentTimeS);
    if (fit !== "stray") this.lastSteadyS = currentTimeS;
    this.looked();
  }

  /** @returns {number | null} page time at which audio time nought left the loudspeaker, ms; null while unknown */
  offsetMs() {
    const offsetMs = this.map.offsetMs();
    if (offsetMs === null || this.map.source() === "output timestamp") return offsetMs;
    // The current time is that of rendering: what the engine says of the way out comes on top.
    return offsetMs + this.outputLagS() * 1000;
  }

  /**
   * How long a frame takes from the context to the loudspeaker, s, as far as the engine says; it may change while the
   * context runs.
   */
  outputLagS() {
    const lagS = this.context.outputLatency || this.context.baseLatency || 0;
    return Number.isFinite(lagS) ? Math.min(Math.max(lagS, 0), LONGEST_OUTPUT_LAG_S) : 0;
  }

  stop() {
    clearInterval(this.timer);
  }
}
