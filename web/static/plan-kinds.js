// What kinds of exercise a plan may hold, which fields each has, and what may stand in them. Pure data for the editor; what makes
// a plan good is the server's to say, and a test holds the ranges here against its schema.

/** @typedef {{ value: string, label?: string }} Choice a value of the file and the id of what it is called; none where it is read as it stands */
/**
 * Labels, units and what stands for nothing are ids of the catalogue.
 * @typedef {object} Field
 * @property {string} key in the file
 * @property {string} label
 * @property {"number" | "share" | "choice" | "choices" | "yes" | "notes" | "line" | "text" | "lines" | "note"} is
 * @property {string} [unit]
 * @property {number} [min] @property {number} [max] @property {number} [step]
 * @property {number} [most] letters, or entries
 * @property {boolean} [optional] may be left out
 * @property {string} [none] what leaving it out means
 * @property {readonly Choice[]} [choices]
 * @property {unknown} [usual] what the file means where it says nothing
 */

/** @param {string[]} values that are read as they stand @returns {readonly Choice[]} */
const plain = (...values) => values.map((value) => ({ value }));
/** @param {Record<string, string>} labels by value @returns {readonly Choice[]} */
const choices = (labels) => Object.entries(labels).map(([value, label]) => ({ value, label }));

export const PULSE_VALUES = choices({
  straight: "asks-value-straight",
  quarters: "asks-value-quarters",
  eighths: "asks-value-eighths",
  triplets: "asks-value-triplets",
  sixteenths: "asks-value-sixteenths",
  quintuplets: "asks-value-quintuplets",
  sextuplets: "asks-value-sextuplets",
  free: "asks-value-free",
  rest: "asks-value-rest",
});
const COUNTED = PULSE_VALUES.slice(1, 7);
export const DYNAMICS = plain("pp", "p", "mp", "mf", "f", "ff");
const PASSES = choices({ measured: "asks-pass-measured", "less-measured": "asks-pass-less-measured", free: "asks-pass-free" });

/** Pulses in a beat of each value that is counted. */
export const PER_BEAT = Object.freeze({ quarters: 1, eighths: 2, triplets: 3, sixteenths: 4, quintuplets: 5, sextuplets: 6 });

/** @returns {Field} */
const bpm = (key = "bpm", label = "editor-tempo") => ({ key, label, is: "number", unit: "editor-unit-bpm", min: 20, max: 300, step: 0.1 });
/** @returns {Field} */
const beats = (/** @type {string} */ key, /** @type {string} */ label, most = 64) => ({ key, label, is: "number", unit: "editor-unit-beats", min: 0, max: most, step: 0.25 });
/** @type {Field} */
const BARS = { key: "bars", label: "editor-length", is: "number", unit: "editor-unit-bars", min: 1, max: 64, step: 1, optional: true, none: "editor-none-until-stopped" };
/** @type {Field} */
const DYNAMIC = { key: "dynamic", label: "editor-loudness", is: "choice", choices: DYNAMICS, optional: true, none: "editor-none-as-they-like" };
/** @type {Field} */
const TIMES = { key: "times", label: "editor-times", is: "number", unit: "editor-unit-times", min: 1, max: 16, step: 1, usual: 1 };
/** @type {Field} */
const REST = { ...beats("rest", "editor-rest-between-times", 32), usual: 0 };

/** @type {Record<string, { label: string, about: string, fields: readonly Field[], begin: () => any }>} */
export const KINDS = Object.freeze({
  straight: {
    label: "editor-straight",
    about: "editor-straight-about",
    fields: [bpm(), BARS, DYNAMIC],
    begin: () => ({ bpm: 60, bars: 4 }),
  },
  pulses: {
    label: "editor-pulses",
    about: "editor-pulses-about",
    fields: [
      bpm(),
      { ...bpm("bpm_to", "editor-tempo-end"), optional: true, none: "editor-none-the-same" },
      { key: "values", label: "editor-values", is: "choices", choices: PULSE_VALUES, most: 32 },
      { key: "each", label: "editor-each", is: "choice", choices: choices({ bar: "editor-each-bar", beat: "editor-each-beat" }), usual: "bar" },
      { key: "times", label: "editor-times", is: "number", unit: "editor-unit-times", min: 1, max: 64, step: 1, optional: true, none: "editor-none-times" },
      DYNAMIC,
    ],
    begin: () => ({ bpm: 60, values: ["quarters", "eighths"], times: 2 }),
  },
  ladder: {
    label: "editor-ladder",
    about: "editor-ladder-about",
    fields: [
      bpm("from_bpm", "editor-first-rung"),
      bpm("to_bpm", "editor-last-rung"),
      { key: "value", label: "editor-value", is: "choice", choices: COUNTED },
      { key: "bars_per_rung", label: "editor-rung-length", is: "number", unit: "editor-unit-bars", min: 1, max: 32, step: 1 },
      { key: "rest_bars", label: "editor-rung-rest", is: "number", unit: "editor-unit-bars", min: 0, max: 8, step: 1, usual: 0 },
      { key: "go_on", label: "editor-go-on", is: "choice", choices: choices({ "by-itself": "editor-go-on-by-itself", "when-matched": "editor-go-on-when-matched", "by-hand": "editor-go-on-by-hand" }), usual: "by-itself" },
      { key: "matched", label: "editor-matched", is: "share", unit: "editor-unit-share", min: 1, max: 100, step: 1, usual: 0.75 },
      { key: "step_back", label: "editor-step-back", is: "yes", usual: false },
    ],
    begin: () => ({ from_bpm: 60, to_bpm: 80, value: "eighths", bars_per_rung: 4, rest_bars: 1 }),
  },
  ease: {
    label: "editor-ease",
    about: "editor-ease-about",
    fields: [
      bpm(),
      { key: "value", label: "editor-value", is: "choice", choices: PULSE_VALUES.filter((c) => !["straight", "rest"].includes(c.value)) },
      beats("straight", "editor-phase-straight"),
      beats("growing", "editor-phase-growing"),
      beats("full", "editor-phase-full"),
      beats("fading", "editor-phase-fading"),
      beats("straight_after", "editor-phase-straight-after"),
      TIMES,
      REST,
    ],
    begin: () => ({ bpm: 60, value: "triplets", straight: 4, growing: 4, full: 4, fading: 4, straight_after: 4, times: 2, rest: 4 }),
  },
  hairpin: {
    label: "editor-hairpin",
    about: "editor-hairpin-about",
    fields: [
      bpm(),
      { key: "values", label: "editor-values-up", is: "choices", choices: PULSE_VALUES.filter((c) => c.value !== "rest"), most: 8 },
      { key: "from", label: "editor-loudness-ends", is: "choice", choices: DYNAMICS },
      { key: "to", label: "editor-loudness-turn", is: "choice", choices: DYNAMICS },
      beats("growing", "editor-way-up"),
      beats("fading", "editor-way-down"),
      TIMES,
      REST,
    ],
    begin: () => ({ bpm: 60, values: ["eighths", "triplets"], from: "p", to: "f", growing: 8, fading: 8, times: 2, rest: 4 }),
  },
  music: {
    label: "editor-music",
    about: "editor-music-about",
    fields: [
      bpm(),
      { key: "notes", label: "editor-line", is: "notes", most: 200 },
      { key: "passes", label: "editor-passes", is: "choices", choices: PASSES, most: 8, usual: ["measured"] },
      { ...REST, label: "editor-rest-between-passes" },
    ],
    begin: () => ({ bpm: 60, notes: [{ note: "F4", beats: 4, value: "eighths", dynamic: "mf" }, { note: "G4", beats: 4, value: "triplets" }], passes: ["measured", "free"] }),
  },
  free: {
    label: "editor-free",
    about: "editor-free-about",
    fields: [bpm(), BARS, DYNAMIC],
    begin: () => ({ bpm: 60, bars: 4 }),
  },
});

/** What every exercise may have beside what is played. @type {readonly Field[]} */
export const OF_EXERCISE = Object.freeze([
  { key: "title", label: "editor-name", is: "line", most: 80, optional: true, none: "editor-none-name" },
  { key: "part", label: "editor-part", is: "line", most: 80, optional: true, none: "editor-none-part" },
  { key: "say", label: "editor-say", is: "text", most: 400 },
  { key: "goal", label: "editor-goal", is: "text", most: 400 },
  { key: "cautions", label: "editor-cautions", is: "lines", most: 10 },
  { key: "rest_s", label: "editor-rest-after", is: "number", unit: "editor-unit-seconds", min: 0, max: 600, step: 1, usual: 0 },
  { key: "note", label: "editor-note", is: "note", optional: true, none: "editor-none-room" },
  { key: "voicing", label: "editor-voicing", is: "choice", choices: choices({ unison: "asks-voicing-unison", octaves: "asks-voicing-octaves", fifth: "editor-voicing-fifth", triad: "asks-voicing-triad", steps: "editor-voicing-steps" }), optional: true, none: "editor-none-room" },
  { key: "tuning", label: "editor-tuning", is: "choice", choices: choices({ equal: "editor-tuning-equal", just: "editor-tuning-just" }), optional: true, none: "editor-none-room" },
  { key: "turns", label: "editor-turns", is: "choice", choices: choices({ together: "editor-turns-together", "down-the-line": "editor-turns-down-the-line", pairs: "asks-turns-pairs" }), optional: true, none: "editor-none-room" },
]);

/** How close is close enough; all may be left out. @type {readonly Field[]} */
export const OF_BANDS = Object.freeze([
  { key: "rate_percent", label: "editor-band-rate", is: "number", unit: "editor-unit-percent", min: 0.5, max: 50, step: 0.5, optional: true, none: "editor-none-usual" },
  { key: "timing_ms", label: "editor-band-timing", is: "number", unit: "editor-unit-ms", min: 5, max: 500, step: 1, optional: true, none: "editor-none-usual" },
  { key: "centre_cents", label: "editor-band-centre", is: "number", unit: "editor-unit-cents", min: 1, max: 100, step: 1, optional: true, none: "editor-none-usual" },
  { key: "depth_db", label: "editor-band-depth", is: "number", unit: "editor-unit-db", min: 0, max: 30, step: 0.5, optional: true, none: "editor-none-usual" },
  { key: "swing_cents", label: "editor-band-swing", is: "number", unit: "editor-unit-cents", min: 5, max: 400, step: 5, optional: true, none: "editor-none-usual" },
]);

/** The plan's own. @type {readonly Field[]} */
export const OF_PLAN = Object.freeze([
  { key: "title", label: "editor-title", is: "line", most: 100 },
  { key: "about", label: "editor-about", is: "text", most: 2000 },
  { key: "takes", label: "editor-takes", is: "line", most: 200, optional: true, none: "editor-none-takes" },
  { key: "beats_per_bar", label: "editor-beats-per-bar", is: "number", min: 1, max: 12, step: 1, usual: 4 },
]);

/** @param {any} exercise @returns {string} the kind's key */
export const kindOf = (exercise) => Object.keys(exercise.play ?? {})[0] ?? "";
