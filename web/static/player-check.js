// "Check my microphone" on the player's page: the dialog, the offer at the first join, and what "This device" says. The rules
// are microphone-check.js's, the words check-words.js's. Knows no socket; who must know is told.

import { factWords, findingWords, taskWords } from "./check-words.js";
import { openedByButtons } from "./dialog-openers.js";
import { keep, recall } from "./kept.js";
import { checkMessage, MicrophoneCheck } from "./microphone-check.js";
import { word } from "./words.js";

/** The dialog is drawn anew this often while it checks, ms. */
const LOOK_MS = 100;

export class PlayerCheck {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {() => boolean} hooks.isListening
   * @param {() => any} hooks.report the microphone's last report
   * @param {() => number | null} hooks.expectedMidi sounding note that is asked of this player
   * @param {() => boolean} hooks.isPlaying whether music runs
   * @param {() => string} hooks.instrument slug
   * @param {(message: object) => void} hooks.done for the room
   */
  constructor(page, hooks) {
    this.page = page;
    this.hooks = hooks;
    /** @type {MicrophoneCheck | null} */
    this.check = null;
    /** @type {any} */
    this.timer = null;
    /** @type {object | null} the last check, told again after a break */
    this.message = null;
    this.dialog = /** @type {HTMLDialogElement} */ (this.at("check-dialog"));
    openedByButtons(page, "check", this.dialog, () => this.open());
    this.at("check-start").addEventListener("click", () => this.start());
    this.at("check-later").addEventListener("click", () => this.settle());
    this.dialog.addEventListener("close", () => this.stop());
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  /** Offers the check to whoever has not made it on this device; call once the player is in. */
  offer() {
    this.at("check-offer").hidden = Boolean(recall("checked")) || !this.hooks.isListening();
  }

  /** The offer is taken or declined. */
  settle() {
    keep("checked", "yes");
    this.at("check-offer").hidden = true;
  }

  open() {
    this.settle();
    const isListening = this.hooks.isListening();
    this.say(word(isListening ? "check-beforehand" : "check-not-listening"));
    this.at("check-start").disabled = !isListening;
    this.at("check-start").textContent = word("check-start");
    this.showFindings([]);
    this.text("check-facts", "");
    this.dialog.showModal();
  }

  start() {
    const { hooks } = this;
    const isMusicOn = hooks.isPlaying();
    const setting = { expectedMidi: hooks.expectedMidi(), isMusicOn, report: hooks.report() ?? {} };
    this.check = new MicrophoneCheck(setting, performance.now());
    this.showFindings([]);
    this.text("check-facts", isMusicOn ? word("check-music") : "");
    this.at("check-start").disabled = true;
    this.at("check-progress").hidden = false;
    this.timer = setInterval(() => this.look(), LOOK_MS);
    this.look();
  }

  /** @param {any} reading */
  take(reading) {
    this.check?.take(reading, performance.now());
  }

  look() {
    const { check } = this;
    if (!check) return;
    const nowMs = performance.now();
    check.pass(nowMs);
    if (check.phase === "done") {
      this.finish(check);
      return;
    }
    this.say(taskWords(check.phase, check.isSounding, check.setting.expectedMidi, this.hooks.instrument()));
    this.at("check-progress").value = Math.round(100 * check.share(nowMs));
  }

  /** @param {MicrophoneCheck} check */
  finish(check) {
    this.stop();
    const result = check.result();
    const instrument = this.hooks.instrument();
    const found = findingWords(result, instrument);
    this.say(found.length === 0 ? word("check-all-well") : "");
    this.showFindings(found);
    this.text("check-facts", factWords(result, instrument));
    this.at("check-start").textContent = word("check-again");
    this.text("about-check", found.length === 0 ? word("check-was-well") : word("check-was", { what: found[0].what }));
    this.message = checkMessage(result);
    this.hooks.done(this.message);
  }

  stop() {
    clearInterval(this.timer);
    this.check = null;
    this.at("check-progress").hidden = true;
    this.at("check-start").disabled = !this.hooks.isListening();
  }

  /** @param {{ what: string, change: string }[]} found */
  showFindings(found) {
    const list = this.at("check-findings");
    list.replaceChildren(
      ...found.map(({ what, change }) => {
        const item = this.page.createElement("li");
        const strong = this.page.createElement("strong");
        strong.textContent = what;
        item.append(strong, ` ${change}`);
        return item;
      }),
    );
    list.hidden = found.length === 0;
  }

  /** @param {string} text */
  say(text) {
    this.text("check-said", text);
  }

  /** @param {string} id @param {string} text */
  text(id, text) {
    const element = this.at(id);
    if (element.textContent !== text) element.textContent = text;
  }
}
