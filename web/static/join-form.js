// The form a player joins with: checks what can be checked here, says what is missing, remembers name and instrument.
// Knows neither socket nor microphone.

import { keep, recall } from "./kept.js";

/** Signs of a room's code. */
const CODE_SIGNS = 6;

/**
 * What is wrong with a form, in words; empty if nothing.
 * @param {{ code: string, name: string, instrument: string }} who
 * @returns {{ field: "code" | "name" | "instrument", text: string } | null}
 */
export function problemOf(who) {
  const nSigns = who.code.replace(/[\s-]/g, "").length;
  if (nSigns !== CODE_SIGNS) {
    return { field: "code", text: `The code has ${CODE_SIGNS} signs; here are ${nSigns}. It stands on the conductor's page.` };
  }
  if (who.name.trim() === "") return { field: "name", text: "Type a name, or whatever the others call you." };
  if (who.instrument === "") return { field: "instrument", text: "Choose your instrument, so that your notes are written right." };
  return null;
}

export class JoinForm {
  /**
   * @param {Document} page
   * @param {(who: { code: string, name: string, instrument: string }) => void} submit
   */
  constructor(page, submit) {
    const field = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (page.getElementById(id));
    this.fields = { code: field("code"), name: field("name"), instrument: field("instrument") };
    this.button = /** @type {HTMLButtonElement} */ (page.getElementById("join"));
    this.troubleText = /** @type {HTMLElement} */ (page.getElementById("join-trouble"));
    this.fields.name.value ||= recall("name") ?? "";
    this.fields.instrument.value ||= recall("instrument") ?? "";
    page.getElementById("join-form")?.addEventListener("submit", (event) => {
      event.preventDefault();
      if (this.button.getAttribute("aria-disabled") === "true") return;
      const who = {
        code: this.fields.code.value.trim(),
        name: this.fields.name.value.trim(),
        instrument: this.fields.instrument.value,
      };
      const problem = problemOf(who);
      this.mark(problem?.field ?? null);
      this.trouble(problem?.text ?? "");
      if (problem) {
        this.fields[problem.field].focus();
        return;
      }
      keep("name", who.name);
      keep("instrument", who.instrument);
      submit(who);
    });
  }

  /** @param {string | null} wrong */
  mark(wrong) {
    for (const [name, field] of Object.entries(this.fields)) {
      if (name === wrong) field.setAttribute("aria-invalid", "true");
      else field.removeAttribute("aria-invalid");
    }
  }

  /** @param {boolean} isBusy */
  busy(isBusy) {
    this.button.setAttribute("aria-disabled", String(isBusy));
    this.button.textContent = isBusy ? "Joining" : "Listen and join";
  }

  /** The room does not know this code: the player types it again. */
  askCodeAgain() {
    this.mark("code");
    this.fields.code.focus();
    this.fields.code.select();
  }

  /** @param {string} text empty for none */
  trouble(text) {
    this.troubleText.textContent = text;
    this.troubleText.hidden = text === "";
  }
}
