// The few controls of a player who is alone: start and stop, again, next, slower and faster, which exercise, and whether the plan goes on
// by itself. Each says one command of a conductor to the room of one. Knows no room and no storage.

import { openedByButtons } from "./dialog-openers.js";
import { PageElements } from "./page-elements.js";
import { phrase, word } from "./words.js";

/** @typedef {import("./practice-room.js").Picture} Picture */

/** What is said of a next step, where there is something to say to somebody who is alone. @param {Picture} picture */
export function stepInWords({ suggestion, settings, exercise }) {
  if (suggestion?.text?.id === "suggest-microphones") return word("practice-step-microphone");
  switch (suggestion?.step) {
    case "next":
      return exercise.next ? word("practice-step-next", { next: phrase(exercise.next) }) : word("practice-step-last");
    case "again":
      return word("practice-step-again");
    case "slower":
      return settings.slower_bpm === null ? word("practice-step-again") : word("practice-step-slower", { bpm: settings.slower_bpm });
    case "step-back":
      return word("practice-step-back");
    case "rest":
      return word("practice-step-rest");
    default:
      return "";
  }
}

/**
 * What happens now, or what could come next.
 * @param {Picture} picture @param {number} nowUs
 */
export function nowInWords(picture, nowUs) {
  const { exercise } = picture;
  if (exercise.rest_until_us && exercise.rest_until_us > nowUs) {
    const s = Math.ceil((exercise.rest_until_us - nowUs) / 1e6);
    return word("practice-resting", { s, name: phrase(exercise.next ?? exercise.name) });
  }
  return picture.is_playing ? "" : stepInWords(picture);
}

/** A notice in the words for somebody who is alone. @param {{ text: import("./words.js").Phrase }} notice */
export function noticeInWords({ text }) {
  if (typeof text === "object" && text.id === "care-rest") return word("practice-care-rest", text.args);
  if (typeof text === "object" && text.id === "care-breath") return word("practice-care-breath");
  return phrase(text);
}

export class PracticeControls extends PageElements {
  /**
   * @param {Document} page
   * @param {{ command: (command: object) => void, done: () => void }} hooks
   */
  constructor(page, { command, done }) {
    super(page);
    this.isOn = false;
    this.canGoOn = false;
    const dialog = /** @type {HTMLDialogElement} */ (this.at("practice-dialog"));
    openedByButtons(page, "practice", dialog, () => dialog.showModal());
    const press = (/** @type {string} */ id, /** @type {() => void} */ run) =>
      this.at(id).addEventListener("click", () => {
        if (this.at(id).getAttribute("aria-disabled") !== "true") run();
      });
    press("practice-start", () => command({ type: this.isOn ? "stop" : this.canGoOn ? "go-on" : "start" }));
    press("practice-again", () => command({ type: "again" }));
    press("practice-next", () => command({ type: this.isOn && this.canGoOn ? "go-on" : "next" }));
    press("practice-slower", () => command({ type: "slower" }));
    press("practice-faster", () => command({ type: "faster" }));
    for (const id of ["practice-done", "practice-done-too"]) {
      press(id, () => {
        dialog.close();
        done();
      });
    }
    this.at("practice-exercise").addEventListener("change", () =>
      command({ type: "choose", exercise: Number(this.at("practice-exercise").value) }),
    );
    this.at("practice-flow").addEventListener("change", () =>
      command({ type: "set-flow", flow: this.at("practice-flow").checked ? "go-on" : "wait" }),
    );
  }

  /** @param {string} id @param {string} text @param {boolean} isPossible */
  label(id, text, isPossible) {
    this.text(id, text);
    this.at(id).setAttribute("aria-disabled", String(!isPossible));
  }

  /** @param {Picture} picture @param {number} nowUs */
  show(picture, nowUs) {
    const { exercise, settings } = picture;
    const rests = Boolean(exercise.rest_until_us && exercise.rest_until_us > nowUs);
    this.isOn = picture.is_playing || rests;
    this.canGoOn = exercise.can_go_on;
    const start = this.isOn ? "practice-stop" : this.canGoOn ? "practice-go-on" : "practice-start";
    this.label("practice-start", word(start), true);
    this.label("practice-again", word("practice-again"), true);
    const isHeld = picture.is_playing && this.canGoOn;
    this.label("practice-next", word(isHeld ? "practice-go-on" : "practice-next"), isHeld || exercise.number < exercise.of);
    const { slower_bpm: slower, faster_bpm: faster } = settings;
    this.label("practice-slower", slower === null ? word("practice-slower") : word("practice-slower-to", { bpm: slower }), slower !== null);
    this.label("practice-faster", faster === null ? word("practice-faster") : word("practice-faster-to", { bpm: faster }), faster !== null);
    this.text("practice-now", nowInWords(picture, nowUs));
    this.page.body.dataset.practice = this.isOn ? "on" : "off";
    this.showExercises(exercise);
    this.at("practice-flow").checked = settings.flow === "go-on";
  }

  /** @param {any} exercise */
  showExercises(exercise) {
    const select = this.at("practice-exercise");
    if (select === this.page.activeElement) return;
    const names = exercise.names.map(phrase);
    if (select.options.length !== names.length) {
      select.replaceChildren(
        ...names.map((/** @type {string} */ name, /** @type {number} */ i) => {
          const option = this.page.createElement("option");
          option.value = String(i + 1);
          option.textContent = `${i + 1}. ${name}`;
          return option;
        }),
      );
    }
    select.value = String(exercise.number);
  }
}
