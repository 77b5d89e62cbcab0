// The line of notes of an exercise, a row a note: what sounds, for how long, with which pulses, how loud, tied or not. Knows
// nothing of the rest of a plan.

import { without } from "./plan-changes.js";
import { DYNAMICS, PULSE_VALUES } from "./plan-kinds.js";
import { word } from "./words.js";

const COLUMNS = [
  "",
  "editor-column-note",
  "editor-column-beats",
  "editor-column-pulses",
  "editor-column-loudness",
  "editor-column-loudness-end",
  "editor-column-tied",
  "",
];

export class NoteRows {
  /**
   * @param {import("./plan-controls.js").Controls} controls
   * @param {any} part what is played
   * @param {import("./plan-kinds.js").Field} field
   * @param {string} place
   */
  constructor(controls, part, field, place) {
    this.controls = controls;
    this.part = part;
    this.most = field.most ?? 1;
    this.place = place;
    this.wrong = controls.make("p", { id: `notes-${(controls.n += 1)}-wrong`, className: "wrong", hidden: true });
    this.body = controls.make("tbody");
    const cells = COLUMNS.map((id) => (id ? controls.make("th", { scope: "col", textContent: word(id) }) : controls.make("td")));
    const table = controls.make("table", {}, [controls.make("thead", {}, [controls.make("tr", {}, cells)]), this.body]);
    const scroll = controls.make("div", { className: "scroll", role: "region", tabIndex: 0, "aria-label": word(field.label) }, [table]);
    this.element = controls.make("fieldset", { className: "field is-notes" }, [
      controls.make("legend", { textContent: word(field.label) }),
      scroll,
      this.wrong,
      controls.button(word("editor-add-note"), () => this.add(this.notes().length)),
    ]);
    this.draw();
  }

  /** @returns {any[]} */
  notes() {
    return this.part.notes ?? [];
  }

  draw() {
    this.body.replaceChildren(...this.notes().map((note, i) => this.row(note, i)));
    this.controls.fields.set(this.place, { control: this.element.querySelector("select") ?? this.element, wrong: this.wrong });
  }

  /** @param {any} note @param {number} i */
  row(note, i) {
    const { controls } = this;
    const named = (/** @type {HTMLElement} */ control, /** @type {string} */ key, /** @type {string} */ id) => {
      control.setAttribute("aria-label", word(id, { n: i + 1 }));
      control.setAttribute("aria-describedby", this.wrong.id);
      const place = `${this.place.replace(/notes$/, "note")} ${i + 1}`;
      controls.fields.set(`${place}, ${key}`, { control, wrong: this.wrong });
      if (key === "note") controls.fields.set(place, { control, wrong: this.wrong });
      return control;
    };
    const set = (/** @type {string} */ key) => (/** @type {any} */ value) => {
      if (value === undefined || value === "" || value === false) delete note[key];
      else note[key] = value;
      controls.changed();
    };
    const id = () => `field-${(controls.n += 1)}`;
    const beats = controls.make("input", { id: id(), type: "number", min: 0, max: 64, step: "any", inputMode: "decimal", value: String(note.beats ?? "") });
    beats.addEventListener("input", () => set("beats")(beats.value === "" ? undefined : beats.valueAsNumber));
    const tied = controls.make("input", { id: id(), type: "checkbox", checked: Boolean(note.tied) });
    tied.addEventListener("change", () => set("tied")(tied.checked));
    const choice = (/** @type {string} */ key, /** @type {string} */ none, /** @type {any} */ choices) =>
      controls.select(id(), { key, label: "", is: "choice", optional: true, none, choices }, note[key], set(key));
    const cells = [
      named(controls.noteSelect(id(), note.note, word("asks-rest"), set("note")), "note", "editor-cell-note"),
      named(beats, "beats", "editor-cell-beats"),
      named(choice("value", "asks-value-straight", PULSE_VALUES.slice(1, -1)), "value", "editor-cell-pulses"),
      named(choice("dynamic", "editor-cell-as-before", DYNAMICS), "dynamic", "editor-cell-loudness"),
      named(choice("dynamic_to", "editor-none-the-same", DYNAMICS), "dynamic_to", "editor-cell-loudness-end"),
      named(tied, "tied", "editor-cell-tied"),
    ];
    const doing = [
      controls.button(word("editor-insert"), () => this.add(i + 1), { "aria-label": word("editor-insert-after", { n: i + 1 }), disabled: this.notes().length >= this.most }),
      controls.button(word("editor-remove"), () => this.remove(i), { "aria-label": word("editor-remove-note", { n: i + 1 }), disabled: this.notes().length < 2 }),
    ];
    const number = controls.make("th", { scope: "row", textContent: String(i + 1) });
    return controls.make("tr", {}, [number, ...cells.map((cell) => controls.make("td", {}, [cell])), controls.make("td", { className: "doing" }, doing)]);
  }

  /** As long as the one before, and the same note. @param {number} at */
  add(at) {
    const before = this.notes()[at - 1] ?? { note: "F4", beats: 4 };
    const { note, beats, value } = before;
    this.controls.insert(this.part, "notes", at, JSON.parse(JSON.stringify({ note, beats, value })));
    this.draw();
    this.focus(at);
  }

  /** @param {number} at */
  remove(at) {
    this.part.notes = without(this.notes(), at);
    this.controls.changed();
    this.draw();
    this.focus(Math.min(at, this.notes().length - 1));
  }

  /** @param {number} at */
  focus(at) {
    this.body.children[at]?.querySelector("select")?.focus();
  }
}
