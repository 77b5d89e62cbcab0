// The tick of a run that is played again, as it can be heard: the existing clicks, placed a second ahead on the audio clock.
// Off until it is wanted. Knows no page and no raster.

import { clickSamples, DEFAULT_VOLUME_DB, gainsOf, KINDS } from "./click-sound.js";
import { fetchDoor } from "./shared-time.js";
import { TickSources } from "./tick-sources.js";

/** Wanted at the first click, and by few: not named where it is asked for, so that the page's head does not fetch it for all. */
const DOOR = "./windrow.wasm";
/** Clicks are placed anew this often; they lie a second ahead. */
const LOOK_MS = 250;

export class ReplayClick {
  /** @param {import("./results-time.js").Playhead} playhead */
  constructor(playhead) {
    this.playhead = playhead;
    /** @type {[number, number][]} */
    this.ticks = [];
    this.isWanted = false;
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {Float32Array[]} */
    this.sounds = [];
    /** @type {TickSources | null} */
    this.sources = null;
    this.timer = 0;
  }

  /**
   * Call it in a press: sound may only begin there.
   * @param {boolean} isWanted
   */
  async want(isWanted) {
    this.isWanted = isWanted;
    if (isWanted) {
      this.context ??= new AudioContext();
      await this.context.resume();
      if (this.sounds.length === 0) {
        const { module } = await fetchDoor(new URL(DOOR, import.meta.url).href);
        const { exports } = await WebAssembly.instantiate(module, {});
        const rate = this.context.sampleRate;
        this.sounds = KINDS.map((kind) => clickSamples(exports, "wood", kind, rate));
      }
    }
    this.follow();
  }

  /** The playhead has begun, stopped or jumped. */
  follow() {
    clearInterval(this.timer);
    this.sources?.end();
    this.sources = null;
    if (!this.isWanted || !this.context || !this.playhead.isPlaying) return;
    this.sources = new TickSources(this.context);
    this.sources.setSounds(this.sounds);
    this.sources.setGains(gainsOf(DEFAULT_VOLUME_DB));
    this.sources.setTicks(Float64Array.from(this.ticks, ([ms]) => ms * 1000), Uint8Array.from(this.ticks, ([, weight]) => weight));
    this.look();
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  look() {
    if (!this.context || !this.sources) return;
    const rate = this.context.sampleRate;
    // Music's microseconds: at half speed one lasts for two.
    const framesPerUs = rate / 1e6 / this.playhead.speed;
    this.sources.setMap({ frame: this.context.currentTime * rate, serverUs: this.playhead.ms * 1000, framesPerUs });
  }

  end() {
    this.isWanted = false;
    this.follow();
    void this.context?.suspend();
  }
}
