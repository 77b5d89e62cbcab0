// The felt tick: the device shakes on each beat, where it can. Set off by the page's own timers, so it is best effort: a
// busy page is late with it, and a hidden one is silent. Timers and motor come in as arguments; knows no score.

/** Length of a shake, ms: short, so that it ends before the next beat is prepared. */
const SHAKE_MS = 30;
const BAR_MS = 45;
/** How far ahead the next beat is looked for, µs, and the pause when there is none, ms. */
const AHEAD_US = 4e6;
const IDLE_MS = 500;
/** A timer that is later than this lets its beat pass, ms: a shake beside the beat misleads. */
const LATEST_MS = 25;

export class Vibration {
  /**
   * @param {(ms: number) => void} shake
   * @param {{ isKnown: () => boolean, serverNowUs: () => number, ticksBetween: (fromUs: number, toUs: number) => { timeUs: number, kind: string }[] }} time
   * @param {() => boolean} isPlaying
   * @param {{ later: (run: () => void, ms: number) => any, cancel: (timer: any) => void }} timers
   */
  constructor(shake, time, isPlaying, timers) {
    this.shake = shake;
    this.time = time;
    this.isPlaying = isPlaying;
    this.timers = timers;
    /** @type {any} */
    this.timer = null;
    this.lastUs = -Infinity;
  }

  start() {
    if (this.timer === null) this.plan();
  }

  stop() {
    this.timers.cancel(this.timer);
    this.timer = null;
  }

  plan() {
    const { time } = this;
    const nowUs = time.isKnown() && this.isPlaying() ? time.serverNowUs() : NaN;
    const beats = Number.isNaN(nowUs) ? [] : time.ticksBetween(nowUs, nowUs + AHEAD_US);
    const next = beats.find((tick) => tick.kind !== "between" && tick.timeUs > this.lastUs);
    if (!next) {
      this.timer = this.timers.later(() => this.plan(), IDLE_MS);
      return;
    }
    // Looked at again on the way: the music may stop or change its tempo.
    const waitMs = (next.timeUs - nowUs) / 1000;
    if (waitMs > IDLE_MS) {
      this.timer = this.timers.later(() => this.plan(), IDLE_MS);
      return;
    }
    this.timer = this.timers.later(() => {
      const lateMs = (time.serverNowUs() - next.timeUs) / 1000;
      this.lastUs = next.timeUs;
      if (this.isPlaying() && Math.abs(lateMs) <= LATEST_MS) this.shake(next.kind === "bar" ? BAR_MS : SHAKE_MS);
      this.plan();
    }, waitMs);
  }
}
