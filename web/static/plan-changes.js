// What can be done with a plan that is being edited: moving, doubling, removing and bringing back exercises, what they are called,
// and where a complaint of the server belongs. Pure; knows no page.

import { KINDS, PER_BEAT, PULSE_VALUES, kindOf } from "./plan-kinds.js";
import { figure, word } from "./words.js";

/** @typedef {any} Plan as in its file */

/**
 * @template T
 * @param {T[]} list @param {number} from @param {number} to
 * @returns {T[]}
 */
export function moved(list, from, to) {
  if (to < 0 || to >= list.length) return list;
  const rest = list.filter((_, i) => i !== from);
  return [...rest.slice(0, to), list[from], ...rest.slice(to)];
}

/** Puts something in at a place. @template T @param {T[]} list @param {number} at @param {T} one @returns {T[]} */
export const withAt = (list, at, one) => [...list.slice(0, at), one, ...list.slice(at)];

/** @template T @param {T[]} list @param {number} at @returns {T[]} */
export const without = (list, at) => list.filter((_, i) => i !== at);

/** A new exercise of a kind. @param {string} kind */
export const begun = (kind) => ({ play: { [kind]: KINDS[kind].begin() } });

/** Another of the same; the part it began is begun already. @param {any} exercise */
export function doubled(exercise) {
  const { part, ...copy } = structuredClone(exercise);
  return copy;
}

/** @param {any} exercise what it is called in the list */
export const nameOf = (exercise) => exercise.title || word(KINDS[kindOf(exercise)]?.label ?? "editor-exercise");

/** A pulse value as people read it; what is none stays as it is. @param {string | undefined} value */
function valueWord(value) {
  const label = PULSE_VALUES.find((choice) => choice.value === value)?.label;
  return label ? word(label) : (value ?? "");
}

/** @param {string[] | undefined} values */
const valueWords = (values) => (values ?? []).map(valueWord).join(", ");

/** @param {number} x without needless figures */
const short = (x) => Math.round(x * 100) / 100;

/** What an exercise asks, in a few words. @param {any} exercise */
export function summaryOf(exercise) {
  const kind = kindOf(exercise);
  const play = exercise.play?.[kind] ?? {};
  const { bpm, bpm_to, from, to } = play;
  switch (kind) {
    case "straight":
    case "free": {
      const asks = word(kind === "free" ? "editor-asks-free" : "editor-asks-straight", { bpm });
      return play.bars ? `${asks}, ${word("asks-bars", { n: play.bars })}` : asks;
    }
    case "pulses": {
      const values = valueWords(play.values);
      const asks = bpm_to ? word("editor-asks-pulses-changing", { values, bpm, bpm_to }) : word("editor-asks-pulses", { values, bpm });
      return `${asks}${rate(play.values, bpm)}`;
    }
    case "ladder":
      return word("editor-asks-ladder", { value: valueWord(play.value), from: play.from_bpm, to: play.to_bpm });
    case "ease": {
      const lengths = ["straight", "growing", "full", "fading", "straight_after"].map((part) => play[part] ?? 0);
      const n = short(lengths.reduce((sum, length) => sum + length, 0));
      return word("editor-asks-ease", { value: valueWord(play.value), bpm, beats: word("asks-beats", { n }) });
    }
    case "hairpin":
      return word("editor-asks-hairpin", { from, to, values: valueWords(play.values), bpm });
    case "music":
      return word("editor-asks-music", { notes: word("asks-notes", { n: (play.notes ?? []).length }), bpm });
    default:
      return "";
  }
}

/** Pulses a second of the only value: tempo / 60 x pulses in a beat. @param {string[]} values @param {number} bpm */
function rate(values, bpm) {
  const perBeat = values?.length === 1 ? PER_BEAT[/** @type {keyof typeof PER_BEAT} */ (values[0])] : undefined;
  return perBeat && bpm ? `, ${word("editor-asks-rate", { hz: figure((bpm / 60) * perBeat, 2) })}` : "";
}

/**
 * Sets or clears a field of a part of the plan, as it then stands in the file: what may be left out is left out.
 * @param {any} part @param {import("./plan-kinds.js").Field} field @param {any} value undefined clears it
 */
export function put(part, field, value) {
  const isEmpty = value === undefined || value === "" || (Array.isArray(value) && value.length === 0);
  const isLeftOut = isEmpty && (field.optional || field.is === "text" || field.is === "lines");
  if (isLeftOut) delete part[field.key];
  else part[field.key] = value;
}

/** What a field shows. @param {any} part @param {import("./plan-kinds.js").Field} field */
export const shown = (part, field) => part?.[field.key] ?? field.usual;

/**
 * What a text field of lines holds as a list.
 * @param {string} text
 */
export const linesOf = (text) => text.split("\n").map((line) => line.trim()).filter(Boolean);

/**
 * A share as per cent and back; whole per cents, so that 0.75 does not become 0.7500001.
 * @param {number} share
 */
export const percentOf = (share) => Math.round(share * 100);

/**
 * Where a complaint belongs, as the editor's fields are named: "plan:title", "3:play.ladder.from_bpm".
 * @param {{ exercise: number | null, field: string }} complaint
 */
export const placeOf = ({ exercise, field }) => `${exercise ?? "plan"}:${field.replace(/^caution \d+$/, "cautions")}`;

/**
 * The field a complaint is shown at: its own, or the nearest one around it.
 * @param {string} place @param {Set<string>} fields
 * @returns {string | null}
 */
export function nearestField(place, fields) {
  const [part, whole] = [place.slice(0, place.indexOf(":") + 1), place.slice(place.indexOf(":") + 1)];
  for (let field = whole; field !== ""; field = field.replace(/(?:^|\.|, )[^.,]*$/, "")) {
    if (fields.has(part + field)) return part + field;
  }
  return null;
}

/** The last thing removed, to be brought back. */
export class Removed {
  constructor() {
    /** @type {{ index: number, exercise: any } | null} */
    this.last = null;
  }

  /** @param {Plan} plan @param {number} index */
  take(plan, index) {
    this.last = { index, exercise: plan.exercises[index] };
    plan.exercises = without(plan.exercises, index);
  }

  /** @param {Plan} plan @returns {number} where it is again; -1 where there was nothing */
  bringBack(plan) {
    if (!this.last) return -1;
    const index = Math.min(this.last.index, plan.exercises.length);
    plan.exercises = withAt(plan.exercises, index, this.last.exercise);
    this.last = null;
    return index;
  }
}
