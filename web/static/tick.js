// The heard tick: clicks scheduled ahead of time on the audio clock, from the score's beats. Soft, and softer between
// the beats. Must not know where the score comes from or who listens.

/** How far ahead clicks are scheduled, ms, and how often: a late timer then still finds its clicks in the future. */
const AHEAD_MS = 250;
const LOOK_MS = 50;
/** Length of a click, s, and its pitches, Hz: short and high, so that it is never taken for a wind tone's pulse. */
const CLICK_S = 0.03;
const BAR_HZ = 2093;
const BEAT_HZ = 1568;
/** Peak of the amplitude: about 20 dB below full scale on the beat, 28 dB between. */
const BEAT_GAIN = 0.1;
const BETWEEN_GAIN = 0.04;

export class Tick {
  /**
   * @param {import("./audio-clock.js").AudioClock} clock
   * @param {import("./shared-time.js").SharedTime} time
   * @param {() => boolean} isPlaying
   */
  constructor(clock, time, isPlaying) {
    this.clock = clock;
    this.context = clock.context;
    this.time = time;
    this.isPlaying = isPlaying;
    this.timer = 0;
    this.scheduledToUs = 0;
  }

  start() {
    if (this.timer) return;
    this.scheduledToUs = 0;
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
  }

  look() {
    const { time } = this;
    if (!time.score || !time.isKnown() || !this.isPlaying() || this.context.state !== "running") return;
    const nowUs = time.serverNowUs();
    const toUs = nowUs + AHEAD_MS * 1000;
    const fromUs = Math.max(this.scheduledToUs, nowUs);
    if (fromUs >= toUs) return;
    for (const tick of time.ticksBetween(fromUs, toUs)) {
      const at = this.clock.audioTimeAt(time.pageMsAt(tick.timeUs));
      if (at !== null && at > this.context.currentTime) this.click(at, tick.kind);
    }
    this.scheduledToUs = toUs;
  }

  /** @param {number} at audio time, s @param {"bar" | "beat" | "between"} kind */
  click(at, kind) {
    const oscillator = this.context.createOscillator();
    const gain = this.context.createGain();
    oscillator.frequency.value = kind === "bar" ? BAR_HZ : BEAT_HZ;
    const peak = kind === "between" ? BETWEEN_GAIN : BEAT_GAIN;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(peak, at + 0.001);
    gain.gain.exponentialRampToValueAtTime(0.0001, at + CLICK_S);
    oscillator.connect(gain).connect(this.context.destination);
    oscillator.start(at);
    oscillator.stop(at + CLICK_S);
  }
}
