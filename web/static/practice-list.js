// The practices that this device keeps, newest first: what each was, whether the teacher has it, and letting go of it. Knows no room; the
// shelf comes in as an argument.

import { titleOf } from "./exercise-words.js";
import { keep } from "./kept.js";
import { PageElements } from "./page-elements.js";
import { waiting } from "./hand-in.js";
import { bodyOf, higher, inOrder } from "./practice-record.js";
import { WAITING } from "./practice-waiting.js";
import { language, word } from "./words.js";

/** @typedef {import("./practice-record.js").Head} Head */

/** @param {import("./practice-record.js").Rung} rung */
export const rungInWords = (rung) => titleOf(/** @type {any} */ ({ bpm: rung.bpm, target: { kind: "pulses", per_beat: rung.per_beat } }));

/** @param {number} playedS */
export const minutesInWords = (playedS) => word("practice-minutes", { n: Math.round(playedS / 60) });

/** What has become of a practice. @param {Head} head */
export function handedInWords(head) {
  if (head.handed_in_unix_ms !== null) return word("practice-is-handed-in");
  return head.refused ? word("practice-is-refused", { why: head.refused }) : word("practice-is-here");
}

/** One practice: when, and what it came to. @param {Head} head */
export function practiceInWords(head) {
  const when = new Intl.DateTimeFormat(language(), { dateStyle: "full", timeStyle: "short" }).format(new Date(head.began_unix_ms));
  const facts = [head.plan_title, minutesInWords(head.played_s), head.rung ? word("practice-rung", { rung: rungInWords(head.rung) }) : ""];
  return { when, what: facts.filter(Boolean).join(" · ") };
}

/** What all of them came to, in a sentence. @param {Head[]} heads */
export function allInWords(heads) {
  const rung = heads.map((head) => head.rung).reduce(higher, null);
  const minutes = minutesInWords(heads.reduce((sum, head) => sum + head.played_s, 0));
  const n = heads.length;
  return rung ? word("practice-all-with-rung", { n, minutes, rung: rungInWords(rung) }) : word("practice-all", { n, minutes });
}

export class PracticeList extends PageElements {
  /**
   * @param {Document} page
   * @param {() => Promise<import("./practice-record.js").Shelf>} shelf
   */
  constructor(page, shelf) {
    super(page);
    this.shelf = shelf;
  }

  /** Reads and shows them. */
  async show() {
    const heads = inOrder(await (await this.shelf()).heads());
    keep(WAITING, String(waiting(heads).length));
    this.at("practices").replaceChildren(...heads.map((head) => this.line(head)));
    this.at("practices-none").hidden = heads.length > 0;
    this.at("practices-all").hidden = heads.length === 0;
    if (heads.length > 0) this.text("practices-all", allInWords(heads));
  }

  /** @param {Head} head */
  line(head) {
    const make = (/** @type {string} */ tag, /** @type {string} */ text, quiet = false) => {
      const element = this.page.createElement(tag);
      element.textContent = text;
      if (quiet) element.className = "quiet";
      return element;
    };
    const { when, what } = practiceInWords(head);
    const line = this.page.createElement("li");
    const doing = make("p", "");
    doing.className = "doing";
    doing.append(
      this.button(word("practice-save"), word("practice-save-of", { when }), () => this.save(head)),
      this.button(word("practice-delete"), word("practice-delete-of", { when }), (button) => this.askThenDrop(head, button)),
    );
    line.append(make("h3", when), make("p", what), make("p", handedInWords(head), true), doing);
    return line;
  }

  /** @param {string} text @param {string} spoken with the practice that it is about @param {(button: HTMLElement) => void} run */
  button(text, spoken, run) {
    const button = this.page.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.setAttribute("aria-label", spoken);
    button.addEventListener("click", () => run(button));
    return button;
  }

  /** Asks once more in the button's own place. @param {Head} head @param {HTMLElement} button */
  async askThenDrop(head, button) {
    if (button.dataset.asked !== "yes") {
      button.dataset.asked = "yes";
      button.textContent = word("practice-delete-sure");
      button.removeAttribute("aria-label");
      return;
    }
    await (await this.shelf()).drop(head.origin_id);
    await this.show();
    this.at("practices-title").focus();
  }

  /** As a file, for where this device cannot hand it in by itself. @param {Head} head */
  async save(head) {
    const link = this.page.createElement("a");
    const text = await bodyOf(await this.shelf(), head);
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `windrow-practice-${new Date(head.began_unix_ms).toISOString().slice(0, 10)}.json`;
    link.click();
    URL.revokeObjectURL(link.href);
  }
}
