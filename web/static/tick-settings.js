// What a player chose for the tick: who sounds it, which sound, how loud, and whether it is felt. Kept by this browser;
// anything unreadable falls back to the defaults. Knows no page.

import { DEFAULT_VOLUME_DB, LOUDEST_DB, SOFTEST_DB, SOUNDS } from "./click-sound.js";

/** @type {import("./tick.js").TickWish[]} */
const WISHES = ["follow", "always", "never"];

export class TickSettings {
  /**
   * @param {{ recall: (key: string) => string | null, keep: (key: string, value: string) => void }} storage
   * @param {number} defaultDb loudness where none was chosen
   */
  constructor(storage, defaultDb = DEFAULT_VOLUME_DB) {
    this.storage = storage;
    const wish = /** @type {any} */ (storage.recall("tick-wish"));
    const sound = /** @type {any} */ (storage.recall("tick-sound"));
    const kept = storage.recall("tick-volume");
    const volumeDb = kept === null || kept === "" ? defaultDb : Number(kept);
    /** @type {import("./tick.js").TickWish} */
    this.wish = WISHES.includes(wish) ? wish : "follow";
    /** @type {import("./click-sound.js").SoundName} */
    this.sound = SOUNDS.includes(sound) ? sound : SOUNDS[0];
    this.volumeDb = Number.isFinite(volumeDb) ? Math.min(Math.max(volumeDb, SOFTEST_DB), LOUDEST_DB) : defaultDb;
    this.isFelt = storage.recall("tick-felt") === "on";
  }

  /** @param {string} wish */
  wishFor(wish) {
    this.wish = WISHES.find((known) => known === wish) ?? "follow";
    this.storage.keep("tick-wish", this.wish);
  }

  /** @param {string} sound */
  choose(sound) {
    this.sound = SOUNDS.find((known) => known === sound) ?? SOUNDS[0];
    this.storage.keep("tick-sound", this.sound);
  }

  /** @param {number} volumeDb */
  setVolumeDb(volumeDb) {
    this.volumeDb = volumeDb;
    this.storage.keep("tick-volume", String(volumeDb));
  }

  /** @param {boolean} isFelt */
  feel(isFelt) {
    this.isFelt = isFelt;
    this.storage.keep("tick-felt", isFelt ? "on" : "off");
  }
}
