// What kinds of exercise a plan may hold, which fields each has, and what may stand in them. Pure data for the editor; what makes
// a plan good is the server's to say, and a test holds the ranges here against its schema.

/** @typedef {{ value: string, label: string }} Choice */
/**
 * @typedef {object} Field
 * @property {string} key in the file
 * @property {string} label as people read it
 * @property {"number" | "share" | "choice" | "choices" | "yes" | "notes" | "line" | "text" | "lines" | "note"} is
 * @property {string} [unit]
 * @property {number} [min] @property {number} [max] @property {number} [step]
 * @property {number} [most] letters, or entries
 * @property {boolean} [optional] may be left out
 * @property {string} [none] what leaving it out means
 * @property {readonly Choice[]} [choices]
 * @property {unknown} [usual] what the file means where it says nothing
 */

/** @param {string} words "value label, value label" @returns {readonly Choice[]} */
const choices = (words) => words.split(", ").map((pair) => {
  const [value, ...label] = pair.split(" ");
  return { value, label: label.join(" ") || value.replaceAll("-", " ") };
});

export const PULSE_VALUES = choices("straight, quarters, eighths, triplets, sixteenths, quintuplets, sextuplets, free, rest");
const COUNTED = PULSE_VALUES.slice(1, 7);
export const DYNAMICS = choices("pp, p, mp, mf, f, ff");
const PASSES = choices("measured, less-measured, free");

/** Pulses in a beat of each value that is counted. */
export const PER_BEAT = Object.freeze({ quarters: 1, eighths: 2, triplets: 3, sixteenths: 4, quintuplets: 5, sextuplets: 6 });

/** @returns {Field} */
const bpm = (key = "bpm", label = "Tempo") => ({ key, label, is: "number", unit: "beats per minute", min: 20, max: 300, step: 0.1 });
/** @returns {Field} */
const beats = (/** @type {string} */ key, /** @type {string} */ label, most = 64) => ({ key, label, is: "number", unit: "beats", min: 0, max: most, step: 0.25 });
/** @type {Field} */
const BARS = { key: "bars", label: "Length", is: "number", unit: "bars", min: 1, max: 64, step: 1, optional: true, none: "until it is stopped" };
/** @type {Field} */
const DYNAMIC = { key: "dynamic", label: "How loud", is: "choice", choices: DYNAMICS, optional: true, none: "as they like" };
/** @type {Field} */
const TIMES = { key: "times", label: "How often", is: "number", unit: "times", min: 1, max: 16, step: 1, usual: 1 };
/** @type {Field} */
const REST = { ...beats("rest", "Rest between two times", 32), usual: 0 };

/** @type {Record<string, { label: string, about: string, fields: readonly Field[], begin: () => any }>} */
export const KINDS = Object.freeze({
  straight: {
    label: "Straight note",
    about: "A steady tone without vibrato.",
    fields: [bpm(), BARS, DYNAMIC],
    begin: () => ({ bpm: 60, bars: 4 }),
  },
  pulses: {
    label: "Measured pulses",
    about: "Pulse values one after another, a bar or a beat each.",
    fields: [
      bpm(),
      { ...bpm("bpm_to", "Tempo at the end"), optional: true, none: "the same" },
      { key: "values", label: "Pulse values", is: "choices", choices: PULSE_VALUES, most: 32 },
      { key: "each", label: "Each lasts", is: "choice", choices: choices("bar a bar, beat a beat"), usual: "bar" },
      { key: "times", label: "How often", is: "number", unit: "times", min: 1, max: 64, step: 1, optional: true, none: "one value until it is stopped, several once" },
      DYNAMIC,
    ],
    begin: () => ({ bpm: 60, values: ["quarters", "eighths"], times: 2 }),
  },
  ladder: {
    label: "Ladder",
    about: "The same at one metronome mark after another.",
    fields: [
      bpm("from_bpm", "First rung"),
      bpm("to_bpm", "Last rung"),
      { key: "value", label: "Pulse value", is: "choice", choices: COUNTED },
      { key: "bars_per_rung", label: "Length of a rung", is: "number", unit: "bars", min: 1, max: 32, step: 1 },
      { key: "rest_bars", label: "Rest between rungs", is: "number", unit: "bars", min: 0, max: 8, step: 1, usual: 0 },
      { key: "go_on", label: "The next rung comes", is: "choice", choices: choices("by-itself by itself, when-matched when the section is matched, by-hand when I say so"), usual: "by-itself" },
      { key: "matched", label: "Matched means", is: "share", unit: "per cent of those who can be judged", min: 1, max: 100, step: 1, usual: 0.75 },
      { key: "step_back", label: "One rung back when it falls apart", is: "yes", usual: false },
    ],
    begin: () => ({ from_bpm: 60, to_bpm: 80, value: "eighths", bars_per_rung: 4, rest_bars: 1 }),
  },
  ease: {
    label: "Ease in and out",
    about: "Straight, growing, full, fading, straight.",
    fields: [
      bpm(),
      { key: "value", label: "Pulse value", is: "choice", choices: PULSE_VALUES.filter((c) => !["straight", "rest"].includes(c.value)) },
      beats("straight", "Straight"),
      beats("growing", "Growing"),
      beats("full", "Full"),
      beats("fading", "Fading"),
      beats("straight_after", "Straight again"),
      TIMES,
      REST,
    ],
    begin: () => ({ bpm: 60, value: "triplets", straight: 4, growing: 4, full: 4, fading: 4, straight_after: 4, times: 2, rest: 4 }),
  },
  hairpin: {
    label: "Hairpin",
    about: "Loudness, depth and rate grow and shrink together.",
    fields: [
      bpm(),
      { key: "values", label: "Pulse values on the way up", is: "choices", choices: PULSE_VALUES.filter((c) => c.value !== "rest"), most: 8 },
      { key: "from", label: "Loudness at both ends", is: "choice", choices: DYNAMICS },
      { key: "to", label: "Loudness at the turn", is: "choice", choices: DYNAMICS },
      beats("growing", "Up"),
      beats("fading", "Down"),
      TIMES,
      REST,
    ],
    begin: () => ({ bpm: 60, values: ["eighths", "triplets"], from: "p", to: "f", growing: 8, fading: 8, times: 2, rest: 4 }),
  },
  music: {
    label: "Long notes of music",
    about: "A line of notes with a pulse value over each.",
    fields: [
      bpm(),
      { key: "notes", label: "The line, each note as it sounds", is: "notes", most: 200 },
      { key: "passes", label: "Played, one time after another", is: "choices", choices: PASSES, most: 8, usual: ["measured"] },
      { ...REST, label: "Rest between two passes" },
    ],
    begin: () => ({ bpm: 60, notes: [{ note: "F4", beats: 4, value: "eighths", dynamic: "mf" }, { note: "G4", beats: 4, value: "triplets" }], passes: ["measured", "free"] }),
  },
  free: {
    label: "Free vibrato",
    about: "Vibrato without a measure.",
    fields: [bpm(), BARS, DYNAMIC],
    begin: () => ({ bpm: 60, bars: 4 }),
  },
});

/** What every exercise may have beside what is played. @type {readonly Field[]} */
export const OF_EXERCISE = Object.freeze([
  { key: "title", label: "Name", is: "line", most: 80, optional: true, none: "after what it asks" },
  { key: "part", label: "A part of the plan begins here", is: "line", most: 80, optional: true, none: "such as Days 1 to 3" },
  { key: "say", label: "A sentence for the player", is: "text", most: 400 },
  { key: "goal", label: "What to reach", is: "text", most: 400 },
  { key: "cautions", label: "What to be careful about, a line each", is: "lines", most: 10 },
  { key: "rest_s", label: "Rest after it", is: "number", unit: "seconds", min: 0, max: 600, step: 1, usual: 0 },
  { key: "note", label: "Note, as it sounds", is: "note", optional: true, none: "as set in the room" },
  { key: "voicing", label: "Spread over the chairs", is: "choice", choices: choices("unison, octaves, fifth root and fifth, triad, steps three steps"), optional: true, none: "as set in the room" },
  { key: "tuning", label: "Tuning of a chord", is: "choice", choices: choices("equal, just"), optional: true, none: "as set in the room" },
  { key: "turns", label: "Who plays when", is: "choice", choices: choices("together, down-the-line, pairs in pairs"), optional: true, none: "as set in the room" },
]);

/** How close is close enough; all may be left out. @type {readonly Field[]} */
export const OF_BANDS = Object.freeze([
  { key: "rate_percent", label: "Off the pulse rate", is: "number", unit: "per cent", min: 0.5, max: 50, step: 0.5, optional: true, none: "as usual" },
  { key: "timing_ms", label: "Off the tick", is: "number", unit: "ms", min: 5, max: 500, step: 1, optional: true, none: "as usual" },
  { key: "centre_cents", label: "Off the note", is: "number", unit: "cents", min: 1, max: 100, step: 1, optional: true, none: "as usual" },
  { key: "depth_db", label: "Least depth", is: "number", unit: "dB", min: 0, max: 30, step: 0.5, optional: true, none: "as usual" },
  { key: "swing_cents", label: "Most swing of the pitch", is: "number", unit: "cents", min: 5, max: 400, step: 5, optional: true, none: "as usual" },
]);

/** The plan's own. @type {readonly Field[]} */
export const OF_PLAN = Object.freeze([
  { key: "title", label: "Title", is: "line", most: 100 },
  { key: "about", label: "What it is for", is: "text", most: 2000 },
  { key: "takes", label: "How long it takes in truth", is: "line", most: 200, optional: true, none: "such as two weeks, ten minutes a day" },
  { key: "beats_per_bar", label: "Beats in a bar", is: "number", min: 1, max: 12, step: 1, usual: 4 },
]);

/** @param {any} exercise @returns {string} the kind's key */
export const kindOf = (exercise) => Object.keys(exercise.play ?? {})[0] ?? "";
