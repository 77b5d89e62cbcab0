// The conductor's buttons, selects and keys. Each turns into one command of the protocol; what the commands do is the
// room's business. Knows no socket and no raster.

import { ChairNotes } from "./chair-notes.js";
import { keep, recall } from "./kept.js";
import { word } from "./words.js";

/** Controls that stay as they are are looked at again so often, ms. */
const REFRESHED_MS = 1000;

export class ConductorControls {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {(command: object) => void} hooks.command
   * @param {(step: number) => void} hooks.chooseNext by so many lanes
   * @param {() => void} hooks.unchoose
   * @param {() => void} hooks.openChosen the lane that is chosen
   * @param {() => void} hooks.order another order of the lanes
   * @param {() => void} hooks.wall
   * @param {import("./wall-choices.js").WallChoices} hooks.choices
   * @param {() => void} hooks.plan
   */
  constructor(page, hooks) {
    this.page = page;
    this.hooks = hooks;
    this.isPlaying = false;
    this.canGoOn = false;
    this.canHold = false;
    this.shown = { key: "", ms: -Infinity };
    this.notes = new ChairNotes(page, hooks.command);
    this.at("start").addEventListener("click", () => this.startOrStop());
    this.at("hold").addEventListener("click", () => this.holdOrGoOn());
    this.at("again").addEventListener("click", () => hooks.command({ type: "again" }));
    for (const id of ["back", "next", "slower", "faster"]) {
      this.at(id).addEventListener("click", () => this.change({ type: id }));
    }
    this.at("more-controls").addEventListener("click", () => this.toggleSetup());
    this.at("wall").addEventListener("click", () => hooks.wall());
    this.at("order").addEventListener("click", () => hooks.order());
    this.at("full").addEventListener("click", () => this.turnFull());
    this.at("far").addEventListener("click", () => this.turnFar());
    this.at("wall-tally").addEventListener("click", () => this.turnTally());
    this.at("wall-labels").addEventListener("change", () => {
      hooks.choices.labels = this.at("wall-labels").value;
    });
    this.showChoices();
    window.addEventListener("storage", () => this.showChoices());
    this.onChange("per-beat", (value) => ({ type: "set-subdivision", per_beat: Number(value), at: this.at("when").value }));
    this.onChange("count-in", (value) => ({ type: "set-count-in", bars: Number(value) }));
    this.onChange("turns", (value) => ({ type: "set-turns", turns: value }));
    this.onChange("voicing", (value) => ({ type: "set-voicing", voicing: value }));
    this.onChange("tuning", (value) => ({ type: "set-tuning", tuning: value }));
    this.onChange("bpm", (value) => ({ type: "set-tempo", bpm: Number(value), at: this.at("when").value }));
    this.onChange("tick-from", (value) => ({ type: "set-tick", from: value }));
    this.help = /** @type {HTMLDialogElement} */ (this.at("help"));
    this.at("help-open").addEventListener("click", () => this.help.showModal());
    this.keys = /** @type {HTMLInputElement} */ (this.at("keys"));
    this.keys.checked = recall("keys") !== "off";
    this.keys.addEventListener("change", () => keep("keys", this.keys.checked ? "on" : "off"));
    page.addEventListener("keydown", (event) => this.key(event));
    // A control pressed by pointer gives the focus back, so that the next press of space still starts and stops.
    page.addEventListener("pointerup", (event) => {
      const pressed = /** @type {Element} */ (event.target).closest?.("button");
      if (pressed && !pressed.closest("#opened") && !this.dialogIsOpen()) /** @type {HTMLElement} */ (pressed).blur();
    });
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  /** @param {string} id @param {(value: string) => object} command */
  onChange(id, command) {
    const select = this.at(id);
    select.addEventListener("change", () => {
      // A value that only shows what the exercise has, such as a free one, commands nothing.
      if (id === "per-beat" && !/^\d$/.test(select.value)) return;
      // A number outside its range stays in the field, marked by the browser, and is not sent.
      if (!select.reportValidity()) return;
      this.hooks.command(command(select.value));
      select.blur();
    });
  }

  toggleSetup() {
    const setup = this.at("setup");
    setup.hidden = !setup.hidden;
    this.at("more-controls").setAttribute("aria-expanded", String(!setup.hidden));
  }

  turnFull() {
    if (this.page.fullscreenElement) this.page.exitFullscreen();
    else this.page.documentElement.requestFullscreen?.().catch(() => {});
  }

  turnFar() {
    this.hooks.choices.isFar = !this.hooks.choices.isFar;
    this.showChoices();
  }

  turnTally() {
    this.hooks.choices.isTallied = !this.hooks.choices.isTallied;
    this.showChoices();
  }

  /** What the buttons and selects of the wall say. */
  showChoices() {
    const { choices } = this.hooks;
    this.at("far").setAttribute("aria-pressed", String(choices.isFar));
    this.at("wall-tally").setAttribute("aria-pressed", String(choices.isTallied));
    this.at("wall-labels").value = choices.labels;
  }

  startOrStop() {
    this.hooks.command({ type: this.isPlaying ? "stop" : "start" });
  }

  /** A change of the music, at the moment chosen. @param {object} command */
  change(command) {
    this.hooks.command({ ...command, at: this.at("when").value });
  }

  holdOrGoOn() {
    if (this.canGoOn) this.hooks.command({ type: "go-on" });
    else if (this.canHold) this.hooks.command({ type: "hold" });
  }

  /** @param {string} id @param {string} text @param {boolean} isPossible */
  label(id, text, isPossible) {
    if (this.at(`${id}-label`).textContent !== text) this.at(`${id}-label`).textContent = text;
    this.at(id).setAttribute("aria-disabled", String(!isPossible));
  }

  /**
   * Shows the room's settings, but leaves a select alone while it is in use.
   * @param {any} snapshot of the room
   */
  show(snapshot) {
    const { settings, exercise } = snapshot;
    this.isPlaying = Boolean(snapshot.score);
    // What was set here and refused is put back within a second.
    const [key, nowMs] = [JSON.stringify([settings, exercise, this.isPlaying, snapshot.lanes.length]), performance.now()];
    if (key === this.shown.key && nowMs - this.shown.ms < REFRESHED_MS) return;
    this.shown = { key, ms: nowMs };
    this.canGoOn = exercise.can_go_on;
    this.canHold = this.isPlaying && exercise.has_end && !exercise.held;
    this.label("start", word(this.isPlaying ? "control-stop" : "control-start"), true);
    this.label("hold", word(this.canGoOn ? "control-go-on" : "control-hold"), this.canGoOn || this.canHold);
    this.label("back", word("control-back"), exercise.number > 1);
    this.label("next", word("control-next"), exercise.number < exercise.of);
    const { slower_bpm: slower, faster_bpm: faster } = settings;
    this.label("slower", slower === null ? word("control-slower") : word("control-slower-to", { bpm: slower }), slower !== null);
    this.label("faster", faster === null ? word("control-faster") : word("control-faster-to", { bpm: faster }), faster !== null);
    this.showSelect("tick-from", settings.tick);
    if (this.at("bpm") !== this.page.activeElement) this.at("bpm").value = String(Math.round(settings.bpm * 10) / 10);
    const { kind, per_beat: perBeat } = settings.target;
    this.showSelect("per-beat", kind === "pulses" ? String(perBeat) : kind === "straight" ? "0" : kind);
    this.showSelect("count-in", String(settings.count_in_bars));
    this.notes.show(snapshot);
    this.showSelect("voicing", settings.voicing);
    this.showSelect("tuning", settings.tuning);
    this.showSelect("turns", settings.turns);
  }

  /** @param {string} id @param {string} value */
  showSelect(id, value) {
    const select = this.at(id);
    if (select === this.page.activeElement || select.value === value) return;
    if (![...select.options].some((option) => option.value === value)) {
      // A value set elsewhere that this page does not offer is shown as it is.
      const option = this.page.createElement("option");
      option.value = value;
      option.textContent = value;
      select.append(option);
    }
    select.value = value;
  }

  dialogIsOpen() {
    return this.page.querySelector("dialog[open]") !== null;
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || this.dialogIsOpen()) return;
    if (target.closest("select, input, textarea")) return;
    const isOnButton = target.closest("button, a, summary") !== null;
    const run = this.keyAction(event.key, isOnButton, target.closest("#lanes, #opened") !== null);
    if (!run) return;
    event.preventDefault();
    run();
  }

  /**
   * @param {string} key
   * @param {boolean} isOnButton space and enter then belong to the button
   * @param {boolean} isOnLanes arrows work there even with the keys switched off
   * @returns {(() => void) | null}
   */
  keyAction(key, isOnButton, isOnLanes) {
    if (!this.keys.checked && !isOnLanes) return null;
    switch (key) {
      case "ArrowUp":
        return () => this.hooks.chooseNext(-1);
      case "ArrowDown":
        return () => this.hooks.chooseNext(1);
      case "Escape":
        return () => this.hooks.unchoose();
      case "Enter":
        return isOnButton ? null : () => this.hooks.openChosen();
      case " ":
        return isOnButton || !this.keys.checked ? null : () => this.startOrStop();
    }
    return this.keys.checked ? (this.letterActions()[key.toLowerCase()] ?? null) : null;
  }

  /** @returns {Record<string, () => void>} what a key does, by its lower-case sign */
  letterActions() {
    const { hooks } = this;
    return {
      a: () => hooks.command({ type: "again" }),
      h: () => this.holdOrGoOn(),
      g: () => this.holdOrGoOn(),
      n: () => this.change({ type: "next" }),
      b: () => this.change({ type: "back" }),
      p: () => hooks.plan(),
      m: () => this.toggleSetup(),
      o: () => hooks.order(),
      w: () => hooks.wall(),
      d: () => this.turnFar(),
      f: () => this.turnFull(),
      ".": () => hooks.command({ type: "stop", at: "bar" }),
      "-": () => this.change({ type: "slower" }),
      "\u2212": () => this.change({ type: "slower" }),
      "+": () => this.change({ type: "faster" }),
      "=": () => this.change({ type: "faster" }),
    };
  }
}
