// The conductor's buttons, selects and keys. Each turns into one command of the protocol; what the commands do is the
// room's business. Knows no socket and no raster.

import { keep, recall } from "./kept.js";
import { fasterBpm, slowerBpm } from "./metronome-steps.js";
import { spelled } from "./written-note.js";

/** Sounding notes offered for everyone: F2 to F5, the middle of all the instruments' ranges. */
const LOWEST_MIDI = 41;
const HIGHEST_MIDI = 77;
/** A wish stands in for the room's answer this long, ms: several presses in a row then count from each other. */
const WISH_MS = 1500;

const WIRE_NAMES = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];

/** @param {number} midi name on the wire */
const wireName = (midi) => `${WIRE_NAMES[midi % 12]}${Math.floor(midi / 12) - 1}`;

export class ConductorControls {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {(command: object) => void} hooks.command
   * @param {(step: number) => void} hooks.chooseNext by so many lanes
   * @param {() => void} hooks.unchoose
   * @param {() => void} hooks.tick
   * @param {() => void} hooks.wall
   */
  constructor(page, hooks) {
    this.page = page;
    this.hooks = hooks;
    this.isPlaying = false;
    this.bpm = NaN;
    this.wishedBpm = { bpm: NaN, untilMs: 0 };
    this.fillNotes();
    this.at("start").addEventListener("click", () => this.startOrStop());
    this.at("again").addEventListener("click", () => hooks.command({ type: "again" }));
    this.at("slower").addEventListener("click", () => this.stepTempo(slowerBpm));
    this.at("faster").addEventListener("click", () => this.stepTempo(fasterBpm));
    this.at("tick").addEventListener("click", () => hooks.tick());
    this.at("wall").addEventListener("click", () => hooks.wall());
    this.onChange("per-beat", (value) => ({ type: "set-subdivision", per_beat: Number(value) }));
    this.onChange("count-in", (value) => ({ type: "set-count-in", bars: Number(value) }));
    this.onChange("note", (value) => ({ type: "set-note", note: value || null }));
    this.help = /** @type {HTMLDialogElement} */ (this.at("help"));
    this.at("help-open").addEventListener("click", () => this.help.showModal());
    this.keys = /** @type {HTMLInputElement} */ (this.at("keys"));
    this.keys.checked = recall("keys") !== "off";
    this.keys.addEventListener("change", () => keep("keys", this.keys.checked ? "on" : "off"));
    page.addEventListener("keydown", (event) => this.key(event));
    // A control pressed by pointer gives the focus back, so that the next press of space still starts and stops.
    page.addEventListener("pointerup", (event) => {
      const pressed = /** @type {Element} */ (event.target).closest?.("button");
      if (pressed && !this.help.open) /** @type {HTMLElement} */ (pressed).blur();
    });
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  fillNotes() {
    const select = this.at("note");
    for (let midi = HIGHEST_MIDI; midi >= LOWEST_MIDI; midi -= 1) {
      const option = this.page.createElement("option");
      const { name, octave } = spelled(midi);
      option.value = wireName(midi);
      option.textContent = `${name}${octave}`;
      select.append(option);
    }
  }

  /** @param {string} id @param {(value: string) => object} command */
  onChange(id, command) {
    const select = this.at(id);
    select.addEventListener("change", () => {
      this.hooks.command(command(select.value));
      select.blur();
    });
  }

  startOrStop() {
    this.hooks.command({ type: this.isPlaying ? "stop" : "start" });
  }

  /** The tempo as the conductor last wished it. */
  presentBpm() {
    return performance.now() < this.wishedBpm.untilMs ? this.wishedBpm.bpm : this.bpm;
  }

  /** @param {(bpm: number) => number | null} step */
  stepTempo(step) {
    const bpm = step(this.presentBpm());
    if (bpm === null) return;
    this.wishedBpm = { bpm, untilMs: performance.now() + WISH_MS };
    this.hooks.command({ type: "set-tempo", bpm });
    this.labelTempo();
  }

  labelTempo() {
    for (const [id, word, step] of /** @type {const} */ ([
      ["slower", "Slower", slowerBpm],
      ["faster", "Faster", fasterBpm],
    ])) {
      const bpm = step(this.presentBpm());
      const label = bpm === null ? word : `${word}, ${bpm}`;
      if (this.at(`${id}-label`).textContent !== label) this.at(`${id}-label`).textContent = label;
      this.at(id).setAttribute("aria-disabled", String(bpm === null));
    }
  }

  /**
   * Shows the room's settings, but leaves a select alone while it is in use.
   * @param {any} settings
   * @param {boolean} isPlaying
   */
  show(settings, isPlaying) {
    this.isPlaying = isPlaying;
    if (settings.bpm === this.wishedBpm.bpm) this.wishedBpm.untilMs = 0;
    this.bpm = settings.bpm;
    this.labelTempo();
    const label = isPlaying ? "Stop" : "Start";
    if (this.at("start-label").textContent !== label) this.at("start-label").textContent = label;
    this.showSelect("per-beat", String(settings.per_beat ?? 0));
    this.showSelect("count-in", String(settings.count_in_bars));
    this.showSelect("note", settings.note ?? "");
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

  /** @param {KeyboardEvent} event */
  key(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || this.help.open) return;
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
      case "-":
      case "\u2212":
        return () => this.stepTempo(slowerBpm);
      case "+":
      case "=":
        return () => this.stepTempo(fasterBpm);
      default:
        return null;
    }
  }
}
