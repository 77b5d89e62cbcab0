// How many frames of an audio context pass in a microsecond of server time, from where both stood over the last minute.
// Pure. It matters while the page cannot renew its map: two clocks 100 ppm apart part by 9 ms in 90 s.

/** Looks kept: their distance, and how many. */
const APART_US = 5e6;
const KEPT = 13;
/** Nothing is said of the pace before so much has been seen, µs: an error of 0.1 ms is 5 ppm then. */
const LEAST_SEEN_US = 20e6;
/** Quartz clocks are within 100 ppm; what differs by more is a clock that was moved, not its pace. Common practice. */
const LARGEST_SHARE = 0.0005;
/** A look that is off by more than this from the pace known so far begins a new count, µs. */
const JUMP_US = 20e3;

export class Pace {
  /** @param {number} sampleRateHz as the context says */
  constructor(sampleRateHz) {
    this.nominal = sampleRateHz / 1e6;
    /** @type {{ frame: number, serverUs: number }[]} */
    this.looks = [];
  }

  /**
   * Takes in where both stand; gives the pace as far as it is known.
   * @param {number} frame
   * @param {number} serverUs
   * @returns {number} frames per µs
   */
  add(frame, serverUs) {
    const newest = this.looks[this.looks.length - 1];
    const passedUs = newest ? serverUs - newest.serverUs : Infinity;
    if (newest && Math.abs((frame - newest.frame) / this.nominal - passedUs) > JUMP_US) this.looks = [];
    if (passedUs >= APART_US || this.looks.length === 0) {
      this.looks.push({ frame, serverUs });
      if (this.looks.length > KEPT) this.looks.shift();
    }
    const seenUs = serverUs - this.looks[0].serverUs;
    if (seenUs < LEAST_SEEN_US) return this.nominal;
    const pace = (frame - this.looks[0].frame) / seenUs;
    return Math.abs(pace / this.nominal - 1) <= LARGEST_SHARE ? pace : this.nominal;
  }
}
