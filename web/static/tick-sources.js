// The tick where a page has no audio worklet: clicks as buffer sources, scheduled ahead of time on the audio clock, further
// ahead while the page is hidden and its timers are slow. Placed at once and not moved afterwards, so a change of the
// score takes back what has not sounded. Knows no score.

/** How far ahead clicks are placed, s: four looks of the page; while hidden, when timers come once a second at best. */
const AHEAD_S = 1;
const AHEAD_HIDDEN_S = 15;

export class TickSources {
  /** @param {AudioContext} context */
  constructor(context) {
    this.context = context;
    /** @type {AudioBuffer[]} */
    this.buffers = [];
    /** @type {[number, number, number]} */
    this.gains = [0, 0, 0];
    this.timesUs = new Float64Array(0);
    this.kinds = new Uint8Array(0);
    /** Server time up to which ticks are placed, µs. */
    this.placedToUs = -Infinity;
    /** @type {{ source: AudioBufferSourceNode, at: number, timeUs: number }[]} */
    this.placed = [];
  }

  /** @param {Float32Array[]} sounds */
  setSounds(sounds) {
    this.buffers = sounds.map((samples) => {
      const buffer = this.context.createBuffer(1, samples.length, this.context.sampleRate);
      buffer.getChannelData(0).set(samples);
      return buffer;
    });
  }

  /** @param {[number, number, number]} gains */
  setGains(gains) {
    this.gains = gains;
  }

  /** @param {Float64Array} timesUs @param {Uint8Array} kinds */
  setTicks(timesUs, kinds) {
    const isGoingOn = this.placed.every(({ timeUs, at }) => at <= this.context.currentTime || timesUs.includes(timeUs));
    this.timesUs = timesUs;
    this.kinds = kinds;
    if (!isGoingOn) this.takeBack();
  }

  /** @param {{ frame: number, serverUs: number, framesPerUs: number }} map */
  setMap(map) {
    const { currentTime, sampleRate } = this.context;
    this.placed = this.placed.filter(({ at }) => at > currentTime);
    const ahead = globalThis.document?.visibilityState === "hidden" ? AHEAD_HIDDEN_S : AHEAD_S;
    for (let i = 0; i < this.timesUs.length; i += 1) {
      const timeUs = this.timesUs[i];
      if (timeUs <= this.placedToUs) continue;
      const at = (map.frame + (timeUs - map.serverUs) * map.framesPerUs) / sampleRate;
      if (at > currentTime + ahead) break;
      this.placedToUs = timeUs;
      if (at > currentTime) this.place(this.kinds[i], at, timeUs);
    }
    // A server that was started again counts from nought.
    if (this.placedToUs > map.serverUs + 2e6 * AHEAD_HIDDEN_S) this.placedToUs = -Infinity;
  }

  /** @param {number} kind @param {number} at audio time, s @param {number} timeUs */
  place(kind, at, timeUs) {
    if (!this.buffers[kind]) return;
    const source = this.context.createBufferSource();
    const gain = this.context.createGain();
    source.buffer = this.buffers[kind];
    gain.gain.value = this.gains[kind];
    source.connect(gain).connect(this.context.destination);
    source.start(at);
    this.placed.push({ source, at, timeUs });
  }

  /** Takes back what has not sounded yet. */
  takeBack() {
    const waiting = this.placed.filter(({ at }) => at > this.context.currentTime);
    for (const { source } of waiting) source.stop();
    if (waiting.length > 0) this.placedToUs = Math.min(...waiting.map(({ timeUs }) => timeUs)) - 1;
    this.placed = [];
  }

  end() {
    this.setTicks(new Float64Array(0), new Uint8Array(0));
  }
}
