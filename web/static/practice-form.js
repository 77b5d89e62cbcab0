// Who practises on this device: known from a rehearsal or from last time, or typed. Stands where a rehearsal has its form to join. Knows
// neither room nor microphone.

import { instrumentName } from "./instrument-names.js";
import { problemOf } from "./join-form.js";
import { keep, recall } from "./kept.js";
import { PageElements } from "./page-elements.js";
import { word } from "./words.js";

/** Where the name of a known device is kept, since nobody can be asked at home. */
const KNOWN = "practice-who";

/** @returns {{ name: string, instrument: string } | null} */
export function whoPractised() {
  try {
    const who = JSON.parse(recall(KNOWN) ?? "null");
    return who?.name && who?.instrument ? { name: who.name, instrument: who.instrument } : null;
  } catch {
    return null;
  }
}

export class PracticeForm extends PageElements {
  /**
   * @param {Document} page
   * @param {{ begin: (who: { name: string, instrument: string }) => void }} doing
   */
  constructor(page, doing) {
    super(page);
    this.doing = doing;
    /** @type {{ name: string, instrument: string } | null} */
    this.known = whoPractised();
    this.at("name").value = recall("name") ?? "";
    this.at("instrument").value = recall("instrument") ?? "";
    this.at("begin-form").addEventListener("submit", (/** @type {Event} */ event) => {
      event.preventDefault();
      this.submit();
    });
    this.at("not-me").addEventListener("click", () => {
      this.known = null;
      this.show();
      this.at("name").focus();
    });
    this.show();
  }

  /** Who the rehearsal says this device is. @param {{ name: string, instrument: string }} who */
  isKnownAs({ name, instrument }) {
    this.known = { name, instrument };
    keep(KNOWN, JSON.stringify(this.known));
    this.show();
  }

  show() {
    const { known } = this;
    this.at("known").hidden = known === null;
    this.at("typed").hidden = known !== null;
    if (known) this.text("known-as", word("practice-known", { name: known.name, instrument: instrumentName(known.instrument) }));
  }

  submit() {
    if (this.at("begin").getAttribute("aria-disabled") === "true") return;
    const typed = { name: this.at("name").value.trim(), instrument: this.at("instrument").value };
    const who = this.known ?? typed;
    const problem = problemOf(who);
    for (const field of ["name", "instrument"]) {
      if (problem?.field === field) this.at(field).setAttribute("aria-invalid", "true");
      else this.at(field).removeAttribute("aria-invalid");
    }
    this.trouble(problem?.text ?? "");
    if (problem) return this.at(problem.field).focus();
    if (!this.known) {
      keep("name", who.name);
      keep("instrument", who.instrument);
      this.isKnownAs(who);
    }
    this.doing.begin(who);
  }

  /** @param {boolean} isBusy */
  busy(isBusy) {
    this.at("begin").setAttribute("aria-disabled", String(isBusy));
    this.text("begin", word(isBusy ? "practice-beginning" : "practice-begin"));
  }

  /** @param {string} text empty for none */
  trouble(text) {
    this.text("begin-trouble", text);
    this.at("begin-trouble").hidden = text === "";
  }

  /** @param {string} text */
  waiting(text) {
    this.refused("", text);
  }

  /** @param {string} _reason @param {string} text */
  refused(_reason, text) {
    this.busy(false);
    this.trouble(text);
  }

  /** The device's token is a rehearsal's; here it gets none. */
  welcomed() {
    this.busy(false);
  }
}
