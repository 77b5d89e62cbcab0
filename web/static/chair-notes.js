// The notes that the conductor sets by hand: for everyone, or for one chair, as they sound, and in brackets as that player reads
// them. Knows no socket and no raster.

import { noteName } from "./note-names.js";
import { word } from "./words.js";
import { midiOf, writtenMidi } from "./written-note.js";

/** Sounding notes offered: F2 to F5, the middle of all the instruments' ranges. */
const LOWEST_MIDI = 41;
const HIGHEST_MIDI = 77;
const WIRE_NAMES = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];

/** @param {number} midi name on the wire */
export const wireName = (midi) => `${WIRE_NAMES[midi % 12]}${Math.floor(midi / 12) - 1}`;

/**
 * A sounding note for the conductor; what its player reads stands in brackets where that is another one.
 * @param {number} midi sounding @param {string | null} instrument slug
 */
export function noteWords(midi, instrument) {
  const written = instrument === null ? midi : writtenMidi(wireName(midi), instrument);
  if (written === null || written === midi) return noteName(midi);
  return word("note-and-reads", { note: noteName(midi), written: noteName(written) });
}

export class ChairNotes {
  /**
   * @param {Document} page
   * @param {(command: object) => void} command
   */
  constructor(page, command) {
    this.page = page;
    this.whose = /** @type {HTMLSelectElement} */ (page.getElementById("note-for"));
    this.note = /** @type {HTMLSelectElement} */ (page.getElementById("note"));
    /** @type {any} */
    this.snapshot = null;
    this.shown = { whose: "", notes: "" };
    this.fill(null);
    this.whose.addEventListener("change", () => this.snapshot && this.show(this.snapshot));
    this.note.addEventListener("change", () => {
      const chair = this.whose.value === "" ? {} : { chair: Number(this.whose.value) };
      command({ type: "set-note", note: this.note.value || null, ...chair });
      this.note.blur();
    });
  }

  /** @param {string} value @param {string} text */
  option(value, text) {
    const option = this.page.createElement("option");
    option.value = value;
    option.textContent = text;
    return option;
  }

  /** @param {string | null} instrument of one chair; none for everyone */
  fill(instrument) {
    const key = instrument ?? "everyone";
    if (key === this.shown.notes) return;
    this.shown.notes = key;
    const options = [this.option("", word(instrument === null ? "note-any" : "note-as-everyone"))];
    for (let midi = HIGHEST_MIDI; midi >= LOWEST_MIDI; midi -= 1) options.push(this.option(wireName(midi), noteWords(midi, instrument)));
    this.note.replaceChildren(...options);
  }

  /** @param {any} snapshot of the room */
  show(snapshot) {
    this.snapshot = snapshot;
    const lanes = /** @type {any[]} */ (snapshot.lanes);
    const whose = JSON.stringify(lanes.map((lane) => [lane.chair, lane.name]));
    if (whose !== this.shown.whose && this.whose !== this.page.activeElement) {
      this.shown.whose = whose;
      const chosen = this.whose.value;
      this.whose.replaceChildren(this.option("", word("note-for-all")), ...lanes.map((lane) => this.option(String(lane.chair), word("note-for", { name: lane.name }))));
      this.whose.value = lanes.some((lane) => String(lane.chair) === chosen) ? chosen : "";
    }
    if (this.note === this.page.activeElement) return;
    const lane = lanes.find((each) => String(each.chair) === this.whose.value);
    this.fill(lane?.instrument ?? null);
    const { note, notes = [] } = snapshot.settings;
    const value = lane ? notes.find((/** @type {any} */ each) => each.chair === lane.chair)?.note : note;
    this.choose(value ?? "");
  }

  /** A note set elsewhere may be spelled another way, or lie further up. @param {string} value */
  choose(value) {
    const midi = midiOf(value);
    const wire = midi === null ? value : wireName(midi);
    if (this.note.value === wire) return;
    if (![...this.note.options].some((option) => option.value === wire)) this.note.append(this.option(wire, midi === null ? wire : noteWords(midi, null)));
    this.note.value = wire;
  }
}
