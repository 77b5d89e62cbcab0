// Joining, step by step: the code, then who the player is: known from last week, a name to tap, or a nickname. Says what is
// missing, remembers name and instrument. Knows neither socket nor microphone.

import { fetchNames, NameList, StrangeCode } from "./join-names.js";
import { instrumentName, partName } from "./instrument-names.js";
import { forget, keep, recall } from "./kept.js";
import { asSentence } from "./sentence.js";
import { word } from "./words.js";

/** Signs of a room's code. */
const CODE_SIGNS = 6;
const TOKEN = "device-token";
/** Between two looks at who is in, ms. */
const LOOK_MS = 5000;

/**
 * @typedef {object} Who
 * @property {string} code
 * @property {string} name
 * @property {string} instrument slug
 * @property {string} [person] the name that was tapped
 * @property {string} [token] of a device that is known
 * @property {boolean} [takes_over]
 *
 * @typedef {"code" | "known" | "names" | "nickname" | "asked" | "waiting"} Step
 */

/**
 * What is wrong with a code, in words; empty if nothing.
 * @param {string} code
 */
export function problemOfCode(code) {
  const nSigns = code.replace(/[\s-]/g, "").length;
  if (nSigns === CODE_SIGNS) return "";
  return word("join-wrong-code", { signs: CODE_SIGNS, n: nSigns });
}

/**
 * What is wrong with a nickname's form, in words.
 * @param {{ name: string, instrument: string }} who
 * @returns {{ field: "name" | "instrument", text: string } | null}
 */
export function problemOf(who) {
  if (who.name.trim() === "") return { field: "name", text: word("join-wrong-name") };
  if (who.instrument === "") return { field: "instrument", text: word("join-wrong-instrument") };
  return null;
}

/**
 * Where to begin once the room is known.
 * @param {{ name: string } | null} known who this device is
 * @param {number} nNames in the section's list
 * @returns {Step}
 */
export function firstStep(known, nNames) {
  if (known) return "known";
  return nNames > 0 ? "names" : "nickname";
}

/** @type {Record<Step, (known: { name: string } | null) => string>} */
const TITLES = {
  code: () => word("join-title"),
  known: (known) => word("join-welcome-back", { name: known?.name ?? "" }),
  names: () => word("join-who"),
  nickname: () => word("join-who"),
  asked: () => word("join-is-that-you"),
  waiting: () => word("join-moment"),
};

export class JoinForm {
  /**
   * @param {Document} page
   * @param {{ join: (who: Who) => void, stop: () => void }} doing
   */
  constructor(page, doing) {
    this.page = page;
    this.doing = doing;
    const field = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (page.getElementById(id));
    this.fields = { code: field("code"), name: field("name"), instrument: field("instrument") };
    this.button = /** @type {HTMLButtonElement} */ (page.getElementById("join"));
    this.list = new NameList(this.at("names"), () => this.trouble(""));
    /** Whom this device was last week. @type {{ name: string, instrument: string, part: string } | null} */
    this.known = null;
    /** @type {Step} */
    this.step = "code";
    /** What was asked last, for another try. @type {Who | null} */
    this.asked = null;
    this.fields.name.value ||= recall("name") ?? "";
    this.fields.instrument.value ||= recall("instrument") ?? "";
    this.on("code-form", "submit", () => this.goIn());
    this.on("join-form", "submit", () => this.submit());
    this.on("not-here", "click", () => this.show("nickname", true));
    this.on("to-names", "click", () => this.show("names", true));
    this.on("not-me", "click", () => this.isSomebodyElse());
    this.on("somebody-else", "click", () => this.isSomebodyElse());
    this.on("stop-waiting", "click", () => {
      doing.stop();
      this.isSomebodyElse();
    });
    this.on("move-here", "click", () => this.asked && this.send({ ...this.asked, takes_over: true }));
    if (problemOfCode(this.fields.code.value) === "") this.goIn();
    // Who is in meanwhile; a room that cannot be reached just now leaves the list as it is.
    setInterval(() => this.lookAgain().catch(() => {}), LOOK_MS);
  }

  async lookAgain() {
    if (this.step !== "names" || this.page.visibilityState !== "visible" || this.at("join-view").hidden) return;
    const names = await fetchNames(this.fields.code.value.trim());
    if (this.step === "names") this.list.show(names);
  }

  /** @param {string} id @returns {HTMLElement} */
  at(id) {
    return /** @type {HTMLElement} */ (this.page.getElementById(id));
  }

  /** @param {string} id @param {string} what @param {() => void} run */
  on(id, what, run) {
    this.at(id).addEventListener(what, (event) => {
      event.preventDefault();
      run();
    });
  }

  /** Looks up the room of the code, its names, and who this device is. */
  async goIn() {
    const code = this.fields.code.value.trim();
    const problem = problemOfCode(code);
    this.mark(problem ? "code" : null);
    this.trouble(problem);
    if (problem) return this.fields.code.focus();
    try {
      const asked = fetchNames(code).then((names) => ({ names, error: null }), (error) => ({ names: null, error }));
      const [{ names, error }, known] = await Promise.all([asked, this.whoIsThis()]);
      // Whoever is in may come back whatever became of the code, and without the names, which a closed room tells nobody;
      // a device that is only known needs the code.
      if (error instanceof StrangeCode && !known) return this.askCodeAgain(error.message);
      if (error && !known) throw error;
      this.known = known;
      this.list.show(names ?? []);
      this.show(firstStep(known, names?.length ?? 0), this.step !== "code" || this.page.activeElement !== this.page.body);
    } catch (error) {
      const text = error instanceof Error ? error.message : String(error);
      this.show("code", false);
      this.trouble(/fetch|network|load failed/i.test(text) ? word("join-unreachable") : asSentence(text));
    }
  }

  /** Who the server knows this device as. */
  async whoIsThis() {
    const token = recall(TOKEN);
    if (!token) return null;
    const answer = await fetch("/mine/who.json", { method: "POST", headers: { "x-windrow-device": token }, cache: "no-store" });
    return answer.ok ? answer.json() : null;
  }

  /** "That is not me": from here on this is another device, to whom nothing of the first belongs. */
  isSomebodyElse() {
    if (this.step === "known" || this.asked?.token) forget(TOKEN);
    this.known = null;
    this.asked = null;
    this.list.unmark();
    return this.goIn();
  }

  submit() {
    if (this.button.getAttribute("aria-disabled") === "true") return;
    const code = this.fields.code.value.trim();
    const { known } = this;
    if (this.step === "known" && known) {
      const token = recall(TOKEN);
      return this.send({ code, name: known.name, instrument: known.instrument, ...(token ? { token } : {}) });
    }
    if (this.step === "names") {
      const chosen = this.list.chosen();
      this.trouble(chosen ? "" : word("join-tap-first"));
      if (!chosen) return this.list.focus();
      return this.send({ code, name: chosen.name, instrument: chosen.instrument, person: chosen.person_id });
    }
    const who = { code, name: this.fields.name.value.trim(), instrument: this.fields.instrument.value };
    const problem = problemOf(who);
    this.mark(problem?.field ?? null);
    this.trouble(problem?.text ?? "");
    if (problem) return this.fields[problem.field].focus();
    keep("name", who.name);
    keep("instrument", who.instrument);
    this.send(who);
  }

  /** @param {Who} who */
  send(who) {
    this.asked = who;
    this.doing.join(who);
  }

  /** @param {Step} step @param {boolean} movesFocus whether a person has done something on this page already */
  show(step, movesFocus) {
    this.step = step;
    this.at("join-title").textContent = TITLES[step](this.known);
    const shown = {
      "code-form": step === "code",
      "join-form": step === "known" || step === "names" || step === "nickname",
      "back-step": step === "known",
      "names-step": step === "names",
      "nickname-step": step === "nickname",
      "to-names": this.list.names.length > 0,
      "not-me": step === "known",
      "asked-step": step === "asked",
      "waiting-step": step === "waiting",
    };
    for (const [id, isShown] of Object.entries(shown)) this.at(id).hidden = !isShown;
    if (step === "known" && this.known) {
      const { part, instrument } = this.known;
      this.at("back-step").textContent = part ? partName(part, instrument) : instrumentName(instrument);
    }
    // A screen reader goes on at the new heading.
    if (movesFocus) this.at("join-title").focus({ preventScroll: true });
  }

  /** The device is in: it is known from now on. @param {{ token: string }} welcome */
  welcomed(welcome) {
    keep(TOKEN, welcome.token);
    this.busy(false);
  }

  /**
   * The room said no.
   * @param {string} reason @param {string} text
   */
  refused(reason, text) {
    this.busy(false);
    // A token that cannot be read, or of somebody who is erased, must not stand in the way of a new seat.
    if (reason === "malformed" || reason === "erased") forget(TOKEN);
    if (reason === "name-taken") {
      this.trouble("");
      this.at("asked-text").textContent = text;
      return this.show("asked", true);
    }
    if (reason === "code") return this.askCodeAgain(text);
    const words = asSentence(text);
    this.trouble(words);
    if (reason === "not-you" || reason === "erased") this.isSomebodyElse().then(() => this.trouble(words));
    else if (this.step === "asked" || this.step === "waiting") this.show(firstStep(this.known, this.list.names.length), true);
  }

  /** The conductor is asked. @param {string} text */
  waiting(text) {
    this.busy(false);
    this.at("waiting-text").textContent = text;
    this.show("waiting", true);
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
    this.button.textContent = word(isBusy ? "join-listening" : "join-listen");
  }

  /** The room does not know this code: the player types it again. @param {string} text */
  askCodeAgain(text) {
    this.show("code", false);
    this.trouble(asSentence(text));
    this.mark("code");
    this.fields.code.focus();
    this.fields.code.select();
  }

  /** @param {string} text empty for none */
  trouble(text) {
    const said = this.at("join-trouble");
    said.textContent = text;
    said.hidden = text === "";
  }
}
