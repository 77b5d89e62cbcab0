// The plan on the conductor's page: the line that says what the present exercise is about, the room's suggestion, and the dialog
// with all exercises. Each press is one command; what it does is the room's business.

import { briefWords, restSeconds, stepOf } from "./brief-words.js";
import { PageElements } from "./page-elements.js";
import { asSentence } from "./sentence.js";
import { phrase, word } from "./words.js";

export class ConductorPlan extends PageElements {
  /**
   * @param {Document} page
   * @param {(command: object) => void} command
   * @param {() => number} nowUs server time
   */
  constructor(page, command, nowUs) {
    super(page);
    this.command = command;
    this.nowUs = nowUs;
    this.dialog = /** @type {HTMLDialogElement} */ (this.at("plan"));
    this.shownKey = "";
    this.shownNames = "";
    /** A suggestion that was let go. */
    this.letGo = "";
    /** @type {any} */
    this.snapshot = null;
    this.at("plan-open").addEventListener("click", () => this.open());
    this.at("step-back").addEventListener("click", () => command({ type: "step-back" }));
    this.at("suggestion-do").addEventListener("click", () => this.follow());
    this.at("flow").addEventListener("change", () => command({ type: "set-flow", flow: this.at("flow").value }));
  }

  open() {
    if (!this.dialog.open) this.dialog.showModal();
    this.at("exercises").querySelector("[aria-current]")?.scrollIntoView({ block: "center" });
  }

  follow() {
    const suggestion = this.snapshot?.suggestion;
    if (!suggestion) return;
    const { command } = stepOf(suggestion.step, Boolean(this.snapshot.score));
    if (command) this.command(command);
    this.letGo = JSON.stringify(suggestion);
    this.showSuggestion(this.snapshot);
  }

  /** @param {any} snapshot of the room */
  show(snapshot) {
    this.snapshot = snapshot;
    const { exercise, settings } = snapshot;
    const isPlaying = Boolean(snapshot.score);
    const left = restSeconds(exercise.rest_until_us, this.nowUs());
    const key = JSON.stringify([exercise, settings.flow, isPlaying, left, snapshot.suggestion, snapshot.results]);
    if (key === this.shownKey) return;
    this.shownKey = key;
    const { text, caution, next, between } = briefWords(exercise, isPlaying, this.nowUs());
    this.text("brief-text", text);
    this.text("brief-caution", caution);
    this.text("brief-next", next);
    this.text("brief-rest", between);
    this.at("step-back").hidden = !exercise.rung || exercise.rung.number < 2;
    this.showSuggestion(snapshot);
    this.showExercises(exercise);
    const flow = this.at("flow");
    if (flow !== this.page.activeElement && flow.value !== settings.flow) flow.value = settings.flow;
    this.at("results-link").hidden = !(snapshot.results > 0);
  }

  /** @param {any} snapshot */
  showSuggestion({ suggestion, score }) {
    const isShown = Boolean(suggestion) && JSON.stringify(suggestion) !== this.letGo;
    this.at("suggestion").hidden = !isShown;
    if (!isShown) return;
    this.text("suggestion-text", asSentence(phrase(suggestion.text)));
    this.text("suggestion-reason", asSentence(phrase(suggestion.reason)));
    this.text("suggestion-do", stepOf(suggestion.step, Boolean(score)).label);
  }

  /** @param {any} exercise */
  showExercises(exercise) {
    const { plan = "", names = [], number, brief = {} } = exercise;
    this.text("plan-title", phrase(plan) || word("plan-warm-up"));
    this.text("plan-say", asSentence(phrase(brief.say)));
    this.text("plan-goal", brief.goal ? word("plan-goal", { goal: asSentence(phrase(brief.goal)) }) : "");
    this.text("plan-cautions", (brief.cautions ?? []).map((/** @type {any} */ caution) => asSentence(phrase(caution))).join(" "));
    // Drawn only when it changes, so that the button under a finger stays.
    const now = JSON.stringify([names, number]);
    if (now === this.shownNames) return;
    this.shownNames = now;
    const items = names.map((/** @type {import("./words.js").Phrase} */ name, /** @type {number} */ i) => {
      const item = this.page.createElement("li");
      const button = this.page.createElement("button");
      button.type = "button";
      button.textContent = `${i + 1}. ${phrase(name)}`;
      if (i + 1 === number) button.setAttribute("aria-current", "true");
      button.addEventListener("click", () => {
        this.command({ type: "choose", exercise: i + 1 });
        this.dialog.close();
      });
      item.append(button);
      return item;
    });
    const hadFocus = this.at("exercises").contains(this.page.activeElement);
    this.at("exercises").replaceChildren(...items);
    if (hadFocus) this.at("exercises").querySelector("[aria-current]")?.focus();
  }
}
