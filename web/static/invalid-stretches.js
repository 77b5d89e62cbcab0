// Stretches of a device's sound whose place in time is not to be trusted, since the audio context fell behind while it was
// taken in, and what becomes of messages about them. Pure; frames and the protocol's objects come in and go out.

/** A stretch reaches so much further to both sides, s: the context is looked at four times a second only. */
const MARGIN_S = 0.25;
/** Stretches kept; older ones have long been told of. */
const KEPT = 32;

export class InvalidStretches {
  /** @param {number} sampleRateHz */
  constructor(sampleRateHz) {
    this.margin = MARGIN_S * sampleRateHz;
    /** @type {{ from: number, to: number }[]} in order */
    this.stretches = [];
  }

  /** @param {number} fromFrame @param {number} toFrame */
  add(fromFrame, toFrame) {
    if (!(toFrame >= fromFrame)) return;
    const from = fromFrame - this.margin;
    const to = toFrame + this.margin;
    const last = this.stretches[this.stretches.length - 1];
    if (last && from <= last.to) {
      last.from = Math.min(last.from, from);
      last.to = Math.max(last.to, to);
      return;
    }
    this.stretches.push({ from, to });
    if (this.stretches.length > KEPT) this.stretches.shift();
  }

  /** @param {number} frame */
  holds(frame) {
    return this.stretches.some(({ from, to }) => frame >= from && frame <= to);
  }

  /**
   * What may be said of a message: pulses in a stretch are left out, a reading in one speaks for nobody.
   * @param {any} message of the protocol
   * @param {(timeUs: number) => number} frameAt
   * @returns {any} null when nothing is left of it
   */
  admit(message, frameAt) {
    if (this.stretches.length === 0) return message;
    if (message.type === "reading") {
      return this.holds(frameAt(message.time_us)) ? { ...message, trusted: false } : message;
    }
    if (message.type !== "pulses") return message;
    const pulses = message.pulses.filter((/** @type {any} */ pulse) => !this.holds(frameAt(pulse.time_us)));
    if (pulses.length === message.pulses.length) return message;
    return pulses.length > 0 ? { ...message, pulses } : null;
  }
}
