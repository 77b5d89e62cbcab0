// The tick on the player's page: heard, seen and felt as the player chose, in the dialog where it is chosen. What is wired
// here is the music's; the device's delay is player-timing.js's. Knows no socket and no microphone.

import { AudioClock } from "./audio-clock.js";
import { BeatView } from "./beat-view.js";
import { openedByButtons } from "./dialog-openers.js";
import { keep, recall } from "./kept.js";
import { soundsHere, Tick } from "./tick.js";
import { wireTickChoices } from "./tick-choices.js";
import { TickSettings } from "./tick-settings.js";
import { Vibration } from "./vibration.js";
import { word } from "./words.js";

export class PlayerTick {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {() => any} hooks.scoreNow the music, or null
   * @param {(isHeard: boolean) => void} hooks.heardChanged whether this device makes the tick heard is another matter now
   * @param {() => number} hooks.countNow a number that counts this player in, where the music has none; 0 for none
   */
  constructor(page, { scoreNow, heardChanged, countNow }) {
    this.heardChanged = heardChanged;
    this.page = page;
    this.scoreNow = scoreNow;
    this.countNow = countNow;
    this.settings = new TickSettings({ recall, keep });
    this.beat = new BeatView(page);
    /** @type {Tick | null} */
    this.tick = null;
    /** @type {AudioClock | null} of this file's own making, where no microphone brought one */
    this.ownClock = null;
    /** @type {Vibration | null} */
    this.vibration = null;
    this.dialog = /** @type {HTMLDialogElement} */ (this.at("tick-dialog"));
    this.wire();
    this.show();
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  wire() {
    const { settings } = this;
    openedByButtons(this.page, "tick", this.dialog, () => this.dialog.showModal());
    this.at("tick-wish").addEventListener("change", (/** @type {any} */ event) => {
      settings.wishFor(event.target.value);
      this.show();
      this.tick?.look();
    });
    this.applySound = wireTickChoices(this.page, settings, () => this.tick);
    // Browsers of desktops have the function without a motor.
    this.canShake = typeof navigator.vibrate === "function" && matchMedia("(pointer: coarse)").matches;
    this.at("felt").hidden = !this.canShake;
    this.at("tick-felt").addEventListener("change", (/** @type {any} */ event) => {
      settings.feel(event.target.checked);
      this.feel();
    });
  }

  /** The choices as they are. */
  show() {
    const { settings } = this;
    this.at("tick").textContent = word(`tick-is-${settings.wish}`);
    for (const input of this.at("tick-wish").querySelectorAll("input")) input.checked = input.value === settings.wish;
    this.at("tick-felt").checked = settings.isFelt;
  }

  /**
   * Begins, or begins anew with another context. Call inside the press that joins, since sound may only begin in one.
   * @param {import("./shared-time.js").SharedTime} time
   * @param {AudioClock | null} clock the microphone's context, so that both share one
   */
  start(time, clock) {
    this.tick?.stop();
    if (!clock && !this.ownClock) this.ownClock = new AudioClock(new AudioContext());
    const using = clock ?? /** @type {AudioClock} */ (this.ownClock);
    using.context.resume().catch(() => {});
    this.tick = new Tick(using, time, () => soundsHere(this.scoreNow(), false, this.settings.wish));
    this.tick.heardChanged = this.heardChanged;
    this.applySound();
    this.tick.start();
    this.beat.start(time, this.scoreNow, this.countNow);
    if (this.canShake) {
      this.vibration ??= new Vibration((ms) => void navigator.vibrate(ms), time, () => this.scoreNow() !== null, {
        later: (run, ms) => setTimeout(run, ms),
        cancel: (timer) => clearTimeout(timer),
      });
      this.feel();
    }
  }

  /** The music is another one: the audio thread is told at once. */
  musicChanged() {
    this.tick?.look();
  }

  feel() {
    if (this.settings.isFelt) this.vibration?.start();
    else this.vibration?.stop();
  }

  /** The page is in front again: a context made here may have been suspended meanwhile. */
  wake() {
    if (this.ownClock && this.ownClock.context.state !== "running") this.ownClock.context.resume().catch(() => {});
  }

  stop() {
    this.tick?.stop();
    this.tick = null;
    this.vibration?.stop();
  }
}
