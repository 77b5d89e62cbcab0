// The conductor's buttons, selects and keys. Each turns into one command of the protocol; what the commands do is the
// room's business. Knows no socket and no raster.

import { ChairNotes } from "./chair-notes.js";
import { keep, recall } from "./kept.js";

export class ConductorControls {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {(command: object) => void} hooks.command
   * @param {(step: number) => void} hooks.chooseNext by so many lanes
   * @param {() => void} hooks.unchoose
   * @param {() => void} hooks.resized the controls are higher or lower than before
   * @param {() => void} hooks.wall
   * @param {() => void} hooks.plan
   */
  constructor(page, hooks) {
    this.page = page;
    this.hooks = hooks;
    this.isPlaying = false;
    this.canGoOn = false;
    this.canHold = false;
    this.notes = new ChairNotes(page, hooks.command);
    this.at("start").addEventListener("click", () => this.startOrStop());
    this.at("hold").addEventListener("click", () => this.holdOrGoOn());
    this.at("again").addEventListener("click", () => hooks.command({ type: "again" }));
    for (const id of ["back", "next", "slower", "faster"]) {
      this.at(id).addEventListener("click", () => this.change({ type: id }));
    }
    this.at("more-controls").addEventListener("click", () => this.toggleSetup());
    this.at("wall").addEventListener("click", () => hooks.wall());
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
      if (pressed && !this.dialogIsOpen()) /** @type {HTMLElement} */ (pressed).blur();
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
    this.hooks.resized();
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
    this.canGoOn = exercise.can_go_on;
    this.canHold = this.isPlaying && exercise.has_end && !exercise.held;
    this.label("start", this.isPlaying ? "Stop" : "Start", true);
    this.label("hold", this.canGoOn ? "Go on" : "Hold", this.canGoOn || this.canHold);
    this.label("back", "Back", exercise.number > 1);
    this.label("next", "Next", exercise.number < exercise.of);
    for (const [id, word] of [["slower", "Slower"], ["faster", "Faster"]]) {
      const bpm = settings[`${id}_bpm`];
      this.label(id, bpm === null ? word : `${word}, ${bpm}`, bpm !== null);
    }
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
    const run = this.keyAction(event.key, isOnButton, target.closest("#lanes") !== null);
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
    }
    if (!this.keys.checked) return null;
    switch (key) {
      case " ":
        return isOnButton ? null : () => this.startOrStop();
      case "a":
      case "A":
        return () => this.hooks.command({ type: "again" });
      case "h":
      case "H":
      case "g":
      case "G":
        return () => this.holdOrGoOn();
      case "n":
      case "N":
        return () => this.change({ type: "next" });
      case "b":
      case "B":
        return () => this.change({ type: "back" });
      case "p":
      case "P":
        return () => this.hooks.plan();
      case ".":
        return () => this.hooks.command({ type: "stop", at: "bar" });
      case "-":
      case "\u2212":
        return () => this.change({ type: "slower" });
      case "+":
      case "=":
        return () => this.change({ type: "faster" });
      default:
        return null;
    }
  }
}
