// The list of exercises in the editor: each with its name, what it asks, the buttons that move it, and its fields once it is
// opened. Knows no server.

import { begun, doubled, moved, nameOf, Removed, summaryOf, withAt } from "./plan-changes.js";
import { KINDS, kindOf, OF_BANDS, OF_EXERCISE } from "./plan-kinds.js";
import { word } from "./words.js";

/** What the buttons of an exercise are called, and with its name. */
const BUTTONS = Object.freeze({
  up: ["editor-up", "editor-up-of"],
  down: ["editor-down", "editor-down-of"],
  again: ["editor-duplicate", "editor-duplicate-of"],
  off: ["editor-remove", "editor-remove-of"],
});

export class ExerciseList {
  /**
   * @param {import("./plan-controls.js").Controls} controls
   * @param {any} plan
   * @param {HTMLElement} list an ordered list of the page
   * @param {object} hooks
   * @param {() => void} hooks.changed
   * @param {(text: string) => void} hooks.say what was done, for those who do not see it
   */
  constructor(controls, plan, list, hooks) {
    this.controls = controls;
    this.plan = plan;
    this.list = list;
    this.hooks = hooks;
    this.removed = new Removed();
    /** Exercises whose fields are shown. @type {Set<any>} */
    this.open = new Set();
    /** @type {{ fill: () => void, details: HTMLDetailsElement, item: HTMLElement, retitle: () => void }[]} */
    this.items = [];
  }

  draw() {
    // The plan's own fields stay; those of exercises are made anew with their new numbers.
    for (const place of this.controls.fields.keys()) {
      if (!place.startsWith("plan:")) this.controls.fields.delete(place);
    }
    this.items = this.plan.exercises.map((/** @type {any} */ exercise, /** @type {number} */ i) => this.item(exercise, i));
    this.list.replaceChildren(...this.items.map((item) => item.item));
  }

  /** @param {any} exercise @param {number} i */
  item(exercise, i) {
    const { controls } = this;
    const name = controls.make("h3");
    const asks = controls.make("p", { className: "quiet" });
    const buttons = {
      up: controls.button(word(BUTTONS.up[0]), () => this.move(i, i - 1, "up"), { disabled: i === 0 }),
      down: controls.button(word(BUTTONS.down[0]), () => this.move(i, i + 1, "down"), { disabled: i === this.plan.exercises.length - 1 }),
      again: controls.button(word(BUTTONS.again[0]), () => this.insert(i + 1, doubled(exercise), "editor-is-doubled")),
      off: controls.button(word(BUTTONS.off[0]), () => this.remove(i), { disabled: this.plan.exercises.length === 1 }),
    };
    for (const [what, button] of Object.entries(buttons)) button.dataset.does = what;
    const fields = controls.make("div", { className: "fields" });
    const spoken = controls.make("span", { className: "spoken" });
    const details = controls.make("details", {}, [controls.make("summary", {}, [word("editor-what-it-asks"), spoken]), fields]);
    const retitle = () => {
      const its = { n: i + 1, name: nameOf(exercise) };
      name.textContent = word("editor-numbered", its);
      const summary = summaryOf(exercise);
      asks.textContent = exercise.part ? word("editor-with-part", { part: exercise.part, asks: summary }) : summary;
      spoken.textContent = word("editor-what-it-asks-of", its);
      for (const [what, button] of Object.entries(buttons)) {
        button.setAttribute("aria-label", word(BUTTONS[/** @type {keyof typeof BUTTONS} */ (what)][1], its));
      }
    };
    retitle();
    const fill = () => {
      if (!fields.hasChildNodes()) fields.append(...this.fields(exercise, i));
    };
    details.addEventListener("toggle", () => {
      if (details.open) fill();
      if (details.open) this.open.add(exercise);
      else this.open.delete(exercise);
    });
    if (this.open.has(exercise)) {
      fill();
      details.open = true;
    }
    const head = controls.make("div", { className: "exercise-head" }, [
      controls.make("div", {}, [name, asks]),
      controls.make("div", { className: "doing" }, Object.values(buttons)),
    ]);
    return { item: controls.make("li", { className: "exercise" }, [head, details]), details, fill, retitle };
  }

  /** @param {any} exercise @param {number} i @returns {Node[]} */
  fields(exercise, i) {
    const { controls } = this;
    const kind = kindOf(exercise);
    const group = (/** @type {string} */ title, /** @type {readonly any[]} */ fields, /** @type {any} */ part, /** @type {string} */ before) =>
      controls.make("section", {}, [
        controls.make("h4", { textContent: word(title) }),
        controls.make("div", { className: "grid" }, fields.map((field) => controls.field(part, field, `${i}:${before}${field.key}`))),
      ]);
    const bands = exercise.bands ?? {};
    const made = [
      group(KINDS[kind]?.label ?? "editor-exercise", KINDS[kind]?.fields ?? [], exercise.play[kind], `play.${kind}.`),
      group("editor-group-words", OF_EXERCISE.slice(0, 6), exercise, ""),
      group("editor-group-notes", OF_EXERCISE.slice(6), exercise, ""),
      group("editor-group-bands", OF_BANDS, bands, "bands."),
    ];
    // Bands that say nothing are left out of the file.
    made[3].addEventListener("input", () => {
      if (Object.keys(bands).length > 0) exercise.bands = bands;
      else delete exercise.bands;
      this.hooks.changed();
    });
    return made;
  }

  retitle() {
    for (const item of this.items) item.retitle();
  }

  /** @param {number} i @param {string} does which of its buttons has the keyboard now */
  focus(i, does) {
    const button = /** @type {HTMLButtonElement | null} */ (this.items[i]?.item.querySelector(`[data-does=${does}]`));
    const other = /** @type {HTMLButtonElement | null} */ (this.items[i]?.item.querySelector("[data-does]:enabled"));
    (button?.disabled ? other : button)?.focus();
  }

  /** @param {number} from @param {number} to @param {"up" | "down"} does */
  move(from, to, does) {
    this.plan.exercises = moved(this.plan.exercises, from, to);
    this.changed(word("editor-is-moved", { name: nameOf(this.plan.exercises[to]), n: to + 1 }));
    this.focus(to, does);
  }

  /** @param {number} at @param {any} exercise @param {string} done id of what is said */
  insert(at, exercise, done) {
    this.plan.exercises = withAt(this.plan.exercises, at, exercise);
    this.open.add(exercise);
    this.changed(word(done, { name: nameOf(exercise), n: at + 1 }));
    this.items[at].item.scrollIntoView({ block: "nearest" });
    this.items[at].item.querySelector("summary")?.focus();
  }

  /** @param {string} kind */
  add(kind) {
    this.insert(this.plan.exercises.length, begun(kind), "editor-is-added");
  }

  /** @param {number} i */
  remove(i) {
    const name = nameOf(this.plan.exercises[i]);
    this.removed.take(this.plan, i);
    this.changed(word("editor-is-removed", { name }));
    this.focus(Math.min(i, this.plan.exercises.length - 1), "off");
  }

  bringBack() {
    const at = this.removed.bringBack(this.plan);
    if (at < 0) return;
    this.changed(word("editor-is-back", { name: nameOf(this.plan.exercises[at]), n: at + 1 }));
    this.focus(at, "off");
  }

  /** @param {string} said */
  changed(said) {
    this.draw();
    this.hooks.changed();
    this.hooks.say(said);
  }

  /** Shows an exercise's fields, so that what is wrong in them can be seen. @param {number} i */
  reveal(i) {
    const item = this.items[i];
    if (!item) return;
    item.fill();
    item.details.open = true;
  }
}
