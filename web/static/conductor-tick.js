// The tick on the conductor's device: whether it is heard here, which sound, how loud; kept by this browser. Knows neither
// socket nor raster.

import { AudioClock } from "./audio-clock.js";
import { keep, recall } from "./kept.js";
import { soundsHere, Tick } from "./tick.js";
import { wireTickChoices } from "./tick-choices.js";
import { TickSettings } from "./tick-settings.js";
import { word } from "./words.js";

/** Peak of the tick where nobody chose another, dB under full scale: louder than a player's, since it is for the room. */
const ROOM_VOLUME_DB = -14;

export class ConductorTick {
  /**
   * @param {Document} page
   * @param {import("./shared-time.js").SharedTime} time
   * @param {() => boolean} isPlaying
   */
  constructor(page, time, isPlaying) {
    this.page = page;
    this.time = time;
    this.isPlaying = isPlaying;
    const kept = {
      recall: (/** @type {string} */ key) => recall(`conductor-${key}`),
      keep: (/** @type {string} */ key, /** @type {string} */ value) => keep(`conductor-${key}`, value),
    };
    this.applySound = wireTickChoices(page, new TickSettings(kept, ROOM_VOLUME_DB), () => this.tick);
    this.isWanted = recall("conductor-tick") !== "silent";
    /** @type {Tick | null} */
    this.tick = null;
    this.at("tick").addEventListener("click", () => this.toggle());
    this.showLabel();
    // A page opened while the music runs may sound from the first press on, whatever is pressed.
    for (const press of ["pointerdown", "keydown"]) page.addEventListener(press, () => this.start(), { once: true });
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  /** Sound may only begin inside a press: call it in one. */
  start() {
    if (!this.isWanted) return;
    const sounds = () => this.isPlaying() && soundsHere(this.time.score, true, "follow");
    this.tick ??= new Tick(new AudioClock(new AudioContext()), this.time, sounds);
    this.applySound();
    this.tick.context.resume().catch(() => {});
    this.tick.start();
  }

  toggle() {
    this.isWanted = !this.isWanted;
    keep("conductor-tick", this.isWanted ? "heard" : "silent");
    this.showLabel();
    if (this.isWanted) this.start();
    else this.tick?.stop();
  }

  /** The music has changed: the audio thread gets it at once. */
  musicChanged() {
    this.tick?.look();
  }

  showLabel() {
    const text = word(this.isWanted ? "tick-here-heard" : "tick-here-silent");
    if (this.at("tick").textContent !== text) this.at("tick").textContent = text;
  }
}
