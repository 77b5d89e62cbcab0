// Whether a device still hears its player: the audio context may be suspended or taken by a call, the microphone's track muted or
// ended. Tells when it stops and when it is back, and tries by itself to get there. Context, track and timers come in as arguments;
// knows no page and no words.

/** A context that was stopped is asked to go on so often, ms, and after so many tries only a press helps. */
const TRY_MS = 1000;
const TRIES = 3;

/** @typedef {"hears" | "stopped" | "needs a press"} Way */

export class Interruption {
  /**
   * @param {object} parts
   * @param {AudioContext} parts.context
   * @param {MediaStreamTrack} parts.track
   * @param {(way: Way) => void} parts.tell called at each change
   * @param {() => boolean} parts.isSeen whether the page is in front: a hidden one gets nothing back
   * @param {(run: () => void, ms: number) => any} parts.later
   * @param {(timer: any) => void} parts.cancel
   */
  constructor(parts) {
    this.parts = parts;
    /** @type {Way} */
    this.way = "hears";
    this.nTries = 0;
    this.timer = null;
    this.isOver = false;
    const { context, track } = parts;
    this.isMuted = track.muted;
    this.hasEnded = track.readyState === "ended";
    context.addEventListener("statechange", () => this.look());
    track.addEventListener("mute", () => this.muted(true));
    track.addEventListener("unmute", () => this.muted(false));
    track.addEventListener("ended", () => this.ended());
  }

  /** @param {boolean} isMuted */
  muted(isMuted) {
    this.isMuted = isMuted;
    this.look();
  }

  ended() {
    this.hasEnded = true;
    this.look();
  }

  get hears() {
    return this.parts.context.state === "running" && !this.isMuted && !this.hasEnded;
  }

  /** Something may have changed: an event, or the page is in front again. */
  look() {
    if (this.isOver) return;
    if (this.hears) {
      this.rest();
      this.become("hears");
      return;
    }
    // What has ended comes back with a new stream alone.
    if (this.hasEnded) {
      this.rest();
      this.become("needs a press");
      return;
    }
    if (this.way === "hears") this.become("stopped");
    if (this.timer === null) this.tryAgain();
  }

  tryAgain() {
    const { context, isSeen, later } = this.parts;
    if (isSeen()) {
      this.nTries += 1;
      // A muted track comes back by itself, when the call is over.
      if (context.state !== "running") context.resume().then(() => this.look(), () => {});
      if (this.nTries > TRIES) this.become("needs a press");
    }
    this.timer = later(() => {
      this.timer = null;
      this.look();
    }, TRY_MS);
  }

  /** @param {Way} way */
  become(way) {
    if (this.way === way) return;
    this.way = way;
    this.parts.tell(way);
  }

  rest() {
    this.parts.cancel(this.timer);
    this.timer = null;
    this.nTries = 0;
  }

  /** No longer of interest. */
  end() {
    this.isOver = true;
    this.rest();
  }
}
