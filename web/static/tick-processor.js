// The audio thread's part of the tick: renders clicks from a list of ticks in server time, so that neither a busy page
// nor a hidden one is heard. The page renews the list and the map from server time to frames; in between both go on by
// themselves. Must not know the score, nor who else sounds.
//
// The map is slewed: a tick is moved by at most SLEW of the time that passes, since a displaced tick is noticed from
// 6 ms or 2.5 % of the interval on (Friberg & Sundberg 1995) and a change of tempo from 1.5 % on (Drake & Botte 1993). A
// bar's first tick takes the map as it is, and so does everything while nothing has sounded for a while, and a map that
// is off by so much that waiting for the bar line would be worse.

/** Share of the passing time by which ticks are moved. A third of the least tempo change that is noticed. */
const SLEW = 0.005;
/** A map off by more is taken at once, s. */
const LARGEST_SLEWED_S = 0.05;
/** Nothing plays where no click has sounded for so long, s: a beat at 30 bpm. */
const QUIET_S = 2;
/** A tick that is late by more is left out, s: a list or a map that came too late must not bunch its clicks. */
const LATEST_S = 0.03;
/** Ticks of a new list up to so long after the last that sounded are taken for the same, µs. */
const SAME_TICK_US = 10_000;
/** A server clock that is so far behind the last tick is another one, µs. */
const SERVER_BEGAN_ANEW_US = 1e6;
/** Clicks that may ring at once. */
const MAX_RINGING = 8;

/** Kinds as the page numbers them. */
const KIND_BAR = 0;
const KIND_BETWEEN = 2;

class TickProcessor extends AudioWorkletProcessor {
  constructor() {
    super();
    /** @type {Float64Array} server times in order, µs */
    this.timesUs = new Float64Array(0);
    this.kinds = new Uint8Array(0);
    /** Place of the next tick in the list. */
    this.next = 0;
    /** Server time of the last tick that sounded or was left out, µs. */
    this.passedUs = -Infinity;
    this.lastSoundedFrame = -Infinity;
    /** @type {{ frame: number, serverUs: number, framesPerUs: number } | null} */
    this.map = null;
    /** How much later than by the map ticks sound for now, frames. */
    this.excess = 0;
    /** @type {Float32Array[]} samples of each kind of click */
    this.sounds = [];
    this.gains = [0, 0, 0];
    /** @type {Float64Array} frames of clicks asked for by themselves, in order */
    this.soloFrames = new Float64Array(0);
    this.nextSolo = 0;
    this.soloGain = 0;
    /** @type {Float32Array | undefined} */
    this.soloSound = undefined;
    this.isMuted = false;
    /** @type {{ samples: Float32Array, gain: number, at: number }[]} at: first sample not yet played, or minus frames to wait */
    this.ringing = [];
    this.port.onmessage = (event) => this.obey(event.data);
  }

  /** @param {any} order */
  obey(order) {
    switch (order.type) {
      case "ticks":
        this.timesUs = order.timesUs;
        this.kinds = order.kinds;
        this.next = 0;
        break;
      case "map":
        this.takeMap(order);
        break;
      case "sounds":
        this.sounds = order.sounds;
        break;
      case "gains":
        this.gains = order.gains;
        break;
      case "solo":
        this.soloFrames = order.frames;
        this.soloGain = order.gain;
        this.soloSound = order.sound;
        this.nextSolo = 0;
        this.isMuted = order.isMuted;
        break;
    }
  }

  /** @param {{ frame: number, serverUs: number, framesPerUs: number }} map */
  takeMap(map) {
    // A server that was started again counts from nought: what was passed by its former clock says nothing any more.
    if (map.serverUs < this.passedUs - SERVER_BEGAN_ANEW_US) this.passedUs = -Infinity;
    const shown = this.map === null ? null : this.frameOf(map.serverUs);
    this.map = map;
    this.excess = shown === null ? 0 : shown - map.frame;
    const isQuiet = currentFrame - this.lastSoundedFrame > QUIET_S * sampleRate;
    if (isQuiet || Math.abs(this.excess) > LARGEST_SLEWED_S * sampleRate) this.excess = 0;
  }

  /** @param {number} serverUs */
  frameOf(serverUs) {
    const { frame, serverUs: fromUs, framesPerUs } = /** @type {NonNullable<typeof this.map>} */ (this.map);
    return frame + (serverUs - fromUs) * framesPerUs + this.excess;
  }

  /** @param {Float32Array[][]} _inputs @param {Float32Array[][]} outputs */
  process(_inputs, outputs) {
    const out = outputs[0]?.[0];
    if (!out) return true;
    const most = SLEW * out.length;
    this.excess -= Math.min(Math.max(this.excess, -most), most);
    this.beginTicks(out.length);
    this.beginSolos(out.length);
    this.render(out);
    return true;
  }

  /** @param {number} n frames of this block */
  beginTicks(n) {
    if (this.map === null) return;
    for (; this.next < this.timesUs.length; this.next += 1) {
      const timeUs = this.timesUs[this.next];
      if (timeUs < this.passedUs + SAME_TICK_US) continue;
      const kind = this.kinds[this.next];
      const shown = this.frameOf(timeUs);
      const frame = Math.round(kind === KIND_BAR ? shown - this.excess : shown);
      if (frame >= currentFrame + n) break;
      if (kind === KIND_BAR) this.excess = 0;
      this.passedUs = timeUs;
      if (frame < currentFrame - LATEST_S * sampleRate) continue;
      this.lastSoundedFrame = Math.max(frame, currentFrame);
      if (!this.isMuted) this.ring(this.sounds[kind], this.gains[Math.min(kind, KIND_BETWEEN)], frame);
    }
  }

  /** @param {number} n frames of this block */
  beginSolos(n) {
    for (; this.nextSolo < this.soloFrames.length; this.nextSolo += 1) {
      const frame = this.soloFrames[this.nextSolo];
      if (frame >= currentFrame + n) break;
      // Told to the page as played, at the frame where it began: a click asked for too late begins at once.
      this.port.postMessage({ type: "solo", frame: Math.max(frame, currentFrame) });
      this.ring(this.soloSound, this.soloGain, frame);
    }
  }

  /** @param {Float32Array | undefined} samples @param {number} gain @param {number} frame */
  ring(samples, gain, frame) {
    if (!samples || gain === 0 || this.ringing.length >= MAX_RINGING) return;
    this.ringing.push({ samples, gain, at: -Math.max(frame - currentFrame, 0) });
  }

  /** @param {Float32Array} out */
  render(out) {
    for (const click of this.ringing) {
      const { samples, gain } = click;
      for (let i = Math.max(-click.at, 0); i < out.length && click.at + i < samples.length; i += 1) {
        out[i] += gain * samples[click.at + i];
      }
      click.at += out.length;
    }
    // Only a click's end changes the list, so that most blocks allocate nothing.
    if (this.ringing.some((click) => click.at >= click.samples.length)) {
      this.ringing = this.ringing.filter((click) => click.at < click.samples.length);
    }
  }
}

registerProcessor("tick", TickProcessor);
