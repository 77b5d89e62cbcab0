// The editor's fields: each shows one value of a plan and writes it back as the file has it. Labels, units, ranges and the place
// a complaint is shown at; no rule of plans, and no server.

import { linesOf, percentOf, put, shown, withAt, without } from "./plan-changes.js";
import { noteName } from "./note-names.js";
import { NoteRows } from "./plan-notes.js";
import { word } from "./words.js";
import { midiOf } from "./written-note.js";

/** @typedef {import("./plan-kinds.js").Field} Field */

/** Notes that are offered: F2 to C6, what the staffs of all instruments hold as they sound. */
const LOWEST_MIDI = 41;
const HIGHEST_MIDI = 84;
const WIRE_NAMES = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];

export class Controls {
  /**
   * @param {Document} page
   * @param {() => void} changed something was typed or chosen
   */
  constructor(page, changed) {
    this.page = page;
    this.changed = changed;
    /** By the place a complaint names. @type {Map<string, { control: HTMLElement, wrong: HTMLElement }>} */
    this.fields = new Map();
    this.n = 0;
  }

  /**
   * @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [children]
   * @returns {any}
   */
  make(name, properties = {}, children = []) {
    const made = this.page.createElement(name);
    for (const [key, value] of Object.entries(properties)) {
      if (key in made) /** @type {any} */ (made)[key] = value;
      else made.setAttribute(key, String(value));
    }
    made.append(...children);
    return made;
  }

  /** @param {string} text @param {() => void} press @param {Record<string, any>} [properties] */
  button(text, press, properties = {}) {
    const made = this.make("button", { type: "button", textContent: text, ...properties });
    made.addEventListener("click", press);
    return made;
  }

  /**
   * A field with its label, its unit, and room for what is wrong.
   * @param {any} part of the plan that has it @param {Field} field @param {string} place
   */
  field(part, field, place) {
    if (field.is === "choices") return this.row(part, field, place);
    if (field.is === "notes") return new NoteRows(this, part, field, place).element;
    const id = `field-${(this.n += 1)}`;
    const control = this.control(part, field, id);
    const wrong = this.make("p", { id: `${id}-wrong`, className: "wrong", hidden: true });
    const described = [`${id}-wrong`];
    const unit = field.unit ? [this.make("span", { id: `${id}-unit`, className: "unit quiet", textContent: word(field.unit) })] : [];
    if (field.unit) described.unshift(`${id}-unit`);
    control.setAttribute("aria-describedby", described.join(" "));
    this.fields.set(place, { control, wrong });
    const label = this.make("label", { htmlFor: id, textContent: word(field.label) });
    const inside = field.is === "yes" ? [control, label] : [label, control, ...unit];
    return this.make("div", { className: `field is-${field.is}` }, [...inside, wrong]);
  }

  /** @param {any} part @param {Field} field @param {string} id @returns {any} */
  control(part, field, id) {
    const value = shown(part, field);
    const write = (/** @type {any} */ now) => {
      put(part, field, now);
      this.changed();
    };
    switch (field.is) {
      case "number":
      case "share": {
        const isShare = field.is === "share";
        const input = this.make("input", { id, type: "number", inputMode: "decimal", min: field.min, max: field.max, step: "any", placeholder: field.none ? word(field.none) : "" });
        input.value = value === undefined ? "" : String(isShare ? percentOf(value) : value);
        input.addEventListener("input", () => {
          const number = input.value === "" ? undefined : input.valueAsNumber;
          write(isShare && number !== undefined ? number / 100 : number);
        });
        return input;
      }
      case "choice":
        return this.select(id, field, value, (now) => write(now || undefined));
      case "note":
        return this.noteSelect(id, value, word(field.none ?? "editor-none-note"), write);
      case "yes": {
        const box = this.make("input", { id, type: "checkbox", checked: Boolean(value) });
        box.addEventListener("change", () => write(box.checked));
        return box;
      }
      case "line": {
        const input = this.make("input", { id, type: "text", maxLength: field.most, value: value ?? "", placeholder: field.none ? word(field.none) : "", autocomplete: "off" });
        input.addEventListener("input", () => write(input.value));
        return input;
      }
      default: {
        const isLines = field.is === "lines";
        const text = this.make("textarea", { id, rows: 2, value: isLines ? (value ?? []).join("\n") : (value ?? "") });
        if (!isLines) text.maxLength = field.most;
        text.addEventListener("input", () => write(isLines ? linesOf(text.value) : text.value));
        return text;
      }
    }
  }

  /**
   * @param {string} id @param {Field} field @param {string | undefined} value @param {(value: string) => void} chosen
   * @returns {HTMLSelectElement}
   */
  select(id, field, value, chosen) {
    const select = this.make("select", { id });
    if (field.optional) select.append(this.make("option", { value: "", textContent: word(field.none ?? "editor-none") }));
    for (const choice of field.choices ?? []) select.append(this.make("option", { value: choice.value, textContent: choice.label ? word(choice.label) : choice.value }));
    this.choose(select, value ?? "");
    select.addEventListener("change", () => chosen(select.value));
    return select;
  }

  /** What is not among the choices, such as a note far up, is shown as it is. @param {HTMLSelectElement} select @param {string} value */
  choose(select, value) {
    select.value = value;
    if (select.value === value) return;
    select.append(this.make("option", { value, textContent: value || word("editor-none-choose") }));
    select.value = value;
  }

  /**
   * @param {string} id @param {string | undefined} value @param {string} none @param {(value: string | undefined) => void} chosen
   * @returns {HTMLSelectElement}
   */
  noteSelect(id, value, none, chosen) {
    const select = this.make("select", { id });
    select.append(this.make("option", { value: "", textContent: none }));
    for (let midi = HIGHEST_MIDI; midi >= LOWEST_MIDI; midi -= 1) {
      const wire = `${WIRE_NAMES[midi % 12]}${Math.floor(midi / 12) - 1}`;
      // A note the file spells another way stays as it is written there.
      const isThis = value !== undefined && midiOf(value) === midi;
      select.append(this.make("option", { value: isThis ? value : wire, textContent: noteName(midi) }));
    }
    this.choose(select, value ?? "");
    select.addEventListener("change", () => chosen(select.value || undefined));
    return select;
  }

  /** A row of choices, such as pulse values in playing order. @param {any} part @param {Field} field @param {string} place */
  row(part, field, place) {
    const wrong = this.make("p", { id: `field-${(this.n += 1)}-wrong`, className: "wrong", hidden: true });
    const chosen = this.make("div", { className: "row" });
    const set = this.make("fieldset", { className: "field is-choices" }, [
      this.make("legend", { textContent: word(field.label) }),
      chosen,
      wrong,
    ]);
    const list = () => /** @type {string[]} */ (shown(part, field) ?? []);
    /** @param {string[]} now @param {number} focused */
    const change = (now, focused) => {
      put(part, field, now);
      draw();
      this.changed();
      const selects = chosen.querySelectorAll("select");
      selects[Math.min(Math.max(focused, 0), selects.length - 1)]?.focus();
    };
    const draw = () => {
      const one = place.replace(/s$/, "").replace(/passe$/, "pass");
      const selects = list().map((value, i) => {
        const select = this.select(`field-${(this.n += 1)}`, field, value, (now) => {
          if (now === "") change(without(list(), i), i - 1);
          else put(part, field, list().map((was, k) => (k === i ? now : was)));
          this.changed();
        });
        if (list().length > 1) select.prepend(this.make("option", { value: "", textContent: word("editor-none-take-away") }));
        select.value = value;
        select.setAttribute("aria-label", word("editor-row-place", { label: word(field.label), n: i + 1 }));
        select.setAttribute("aria-describedby", wrong.id);
        this.fields.set(`${one} ${i + 1}`, { control: select, wrong });
        return select;
      });
      const last = list()[list().length - 1] ?? field.choices?.[0].value ?? "";
      const add = this.button(word("editor-add-one"), () => change([...list(), last], list().length), { disabled: list().length >= (field.most ?? 1) });
      add.setAttribute("aria-label", word("editor-add-one-of", { label: word(field.label) }));
      chosen.replaceChildren(...selects, add);
      this.fields.set(place, { control: selects[0] ?? add, wrong });
    };
    draw();
    return set;
  }

  /** Puts one into a list of the plan. @param {any} part @param {string} key @param {number} at @param {any} one */
  insert(part, key, at, one) {
    part[key] = withAt(part[key] ?? [], at, one);
    this.changed();
  }

  clearWrong() {
    for (const { control, wrong } of this.fields.values()) {
      control.removeAttribute("aria-invalid");
      wrong.hidden = true;
      wrong.textContent = "";
    }
  }

  /** @param {string} place @param {string} text */
  showWrong(place, text) {
    const field = this.fields.get(place);
    if (!field) return;
    field.control.setAttribute("aria-invalid", "true");
    field.wrong.hidden = false;
    field.wrong.textContent = [field.wrong.textContent, text].filter(Boolean).join(". ");
  }
}
