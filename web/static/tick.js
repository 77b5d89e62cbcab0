// The heard tick: keeps the audio thread supplied with the score's ticks and with where server time lies in its frames.
// Rendering is tick-processor.js's; where a page may have no audio worklet (plain http), tick-sources.js schedules instead.
// Must not know where the score comes from or who listens.

import { clickSamples, DEFAULT_VOLUME_DB, gainsOf, KINDS, SOUNDS } from "./click-sound.js";
import { Pace } from "./pace.js";
import { TickSources } from "./tick-sources.js";
import { word } from "./words.js";

/** How often changes are looked for and the map is renewed, ms. */
const LOOK_MS = 250;
/** How far ahead the list of ticks reaches, and after which time it is made anew, µs: longer than the minute to which
 * browsers slow the timers of hidden pages. */
const LIST_US = 90e6;
const RENEW_US = 5e6;
/** A list begins so much before now, µs: a tick whose moment falls between two lists must be in one of them. */
const BEFORE_US = 0.2e6;

/**
 * Who sounds a tick: the score says "conductor", "devices" or "nobody".
 * @typedef {"follow" | "always" | "never"} TickWish a player's own wish: as the conductor set, always here, never here
 *
 * @typedef {object} TickVoice
 * @property {(sounds: Float32Array[]) => void} setSounds
 * @property {(gains: [number, number, number]) => void} setGains
 * @property {(timesUs: Float64Array, kinds: Uint8Array) => void} setTicks
 * @property {(map: { frame: number, serverUs: number, framesPerUs: number }) => void} setMap
 * @property {() => void} end
 */

/**
 * Whether this device sounds the ticks of a score.
 * @param {{ tick?: string } | null} score
 * @param {boolean} isConductor
 * @param {TickWish} ownWish
 */
export function soundsHere(score, isConductor, ownWish) {
  if (!score || ownWish === "never") return false;
  if (ownWish === "always") return true;
  const who = score.tick ?? "conductor";
  return who === "devices" || (isConductor && who === "conductor");
}

/** The audio thread's end of the tick. */
class WorkletVoice {
  /** @param {AudioContext} context with tick-processor.js loaded */
  constructor(context) {
    this.node = new AudioWorkletNode(context, "tick", { numberOfInputs: 0, numberOfOutputs: 1, outputChannelCount: [1] });
    this.node.connect(context.destination);
  }

  /** @param {Float32Array[]} sounds */
  setSounds(sounds) {
    this.node.port.postMessage({ type: "sounds", sounds });
  }

  /** @param {[number, number, number]} gains */
  setGains(gains) {
    this.node.port.postMessage({ type: "gains", gains });
  }

  /** @param {Float64Array} timesUs @param {Uint8Array} kinds */
  setTicks(timesUs, kinds) {
    this.node.port.postMessage({ type: "ticks", timesUs, kinds });
  }

  /** @param {{ frame: number, serverUs: number, framesPerUs: number }} map */
  setMap(map) {
    this.node.port.postMessage({ type: "map", ...map });
  }

  end() {
    this.setTicks(new Float64Array(0), new Uint8Array(0));
    this.node.disconnect();
  }
}

export class Tick {
  /**
   * @param {import("./audio-clock.js").AudioClock} clock
   * @param {import("./shared-time.js").SharedTime} time
   * @param {() => boolean} sounds whether ticks are to be heard here now; asked several times a second
   */
  constructor(clock, time, sounds) {
    this.clock = clock;
    this.context = clock.context;
    this.time = time;
    this.sounds = sounds;
    /** @type {import("./click-sound.js").SoundName} */
    this.sound = SOUNDS[0];
    this.volumeDb = DEFAULT_VOLUME_DB;
    /** @type {TickVoice | null} */
    this.voice = null;
    this.isOpening = false;
    this.timer = 0;
    this.pace = new Pace(this.context.sampleRate);
    /** What the voice was last given. */
    this.given = { score: /** @type {object | null} */ (null), sounds: false, atUs: -Infinity };
    /** @type {(isHeard: boolean) => void} whether this device makes the tick heard has changed */
    this.heardChanged = () => {};
    this.renew = () => this.look();
  }

  /** @param {import("./click-sound.js").SoundName} sound */
  setSound(sound) {
    this.sound = sound;
    this.voice?.setSounds(this.clicks());
  }

  /** @param {number} volumeDb peak on the beat, dB under full scale */
  setVolumeDb(volumeDb) {
    this.volumeDb = volumeDb;
    this.voice?.setGains(gainsOf(volumeDb));
  }

  clicks() {
    return KINDS.map((kind) => clickSamples(this.time.door, this.sound, kind, this.context.sampleRate));
  }

  start() {
    if (this.timer) return;
    this.given.atUs = -Infinity;
    this.timer = setInterval(this.renew, LOOK_MS);
    // A page that is being hidden gets its last look in time.
    globalThis.document?.addEventListener("visibilitychange", this.renew);
    this.open();
    this.look();
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
    globalThis.document?.removeEventListener("visibilitychange", this.renew);
    this.voice?.end();
    this.voice = null;
    this.tell(false);
  }

  /** @param {boolean} sounds */
  tell(sounds) {
    if (this.given.sounds !== sounds) this.heardChanged(sounds);
    this.given.sounds = sounds;
  }

  /** @returns {Promise<TickVoice | null>} null when it was stopped meanwhile */
  async open() {
    if (this.voice || this.isOpening) return this.voice;
    this.isOpening = true;
    const voice = await openVoice(this.context);
    this.isOpening = false;
    if (!this.timer) {
      voice.end();
      return null;
    }
    voice.setSounds(this.clicks());
    voice.setGains(gainsOf(this.volumeDb));
    this.voice = voice;
    this.look();
    return voice;
  }

  look() {
    const { voice, time, given } = this;
    if (!voice || !time.isKnown() || this.context.state !== "running") return;
    const nowUs = time.serverNowUs();
    const sounds = this.sounds();
    const isSame = given.score === time.score && given.sounds === sounds;
    if (!isSame || Math.abs(nowUs - given.atUs) >= RENEW_US) {
      this.tell(sounds);
      this.given = { score: time.score, sounds, atUs: nowUs };
      const ticks = sounds && time.score ? time.ticksBetween(nowUs - BEFORE_US, nowUs + LIST_US) : [];
      voice.setTicks(
        Float64Array.from(ticks, (tick) => tick.timeUs),
        Uint8Array.from(ticks, (tick) => KINDS.indexOf(tick.kind)),
      );
    }
    const offsetMs = this.clock.offsetMs();
    if (offsetMs === null) return;
    const frame = ((time.pageMsAt(nowUs) - offsetMs) * this.context.sampleRate) / 1000;
    voice.setMap({ frame, serverUs: nowUs, framesPerUs: this.pace.add(frame, nowUs) });
  }

  /** One click at once, so that sound and volume can be judged. */
  async tryOut() {
    const voice = await this.open();
    if (!(voice instanceof WorkletVoice)) return;
    const [, gain] = gainsOf(this.volumeDb);
    const [, sound] = this.clicks();
    voice.node.port.postMessage({ type: "solo", frames: new Float64Array(1), gain, sound, isMuted: false });
  }

  /**
   * Plays clicks at given frames of the context, apart from the music's ticks, which are silent until it is over.
   * @param {number[]} frames in order
   * @param {import("./click-sound.js").SoundName} name
   * @param {number} volumeDb peak, dB under full scale
   * @param {(frame: number) => void} played called for each as it begins, with the frame at which it did
   * @returns {Promise<() => void>} ends it
   */
  async playAlone(frames, name, volumeDb, played) {
    const voice = await this.open();
    if (!(voice instanceof WorkletVoice)) throw new Error(word("timing-inexact"));
    const { port } = voice.node;
    port.onmessage = (event) => played(event.data.frame);
    const sound = clickSamples(this.time.door, name, "beat", this.context.sampleRate);
    const [, gain] = gainsOf(volumeDb);
    const order = (/** @type {number[]} */ which, /** @type {boolean} */ isMuted) =>
      port.postMessage({ type: "solo", frames: Float64Array.from(which), gain, sound, isMuted });
    order(frames, true);
    return () => {
      port.onmessage = null;
      order([], false);
    };
  }
}

/** @param {AudioContext} context @returns {Promise<TickVoice>} */
async function openVoice(context) {
  if (context.audioWorklet) {
    try {
      await context.audioWorklet.addModule(new URL("./tick-processor.js", import.meta.url).href);
      return new WorkletVoice(context);
    } catch {
      // An engine that cannot load it still has sources.
    }
  }
  return new TickSources(context);
}
