// What a score asks, in words: its title, what the player does, where in it one is. Pure; the words are the protocol's.

/** How many pulses on a beat are called, by their number. */
export const PER_BEAT_WORDS = ["", "Quarters", "Eighths", "Triplets", "Sixteenths", "Quintuplets", "Sextuplets", "Septuplets", "Thirty-seconds"];

/** @typedef {import("./raster-geometry.js").Span} SpanAsked */

const inTenths = (/** @type {number} */ bpm) => Math.round(bpm * 10) / 10;

/** @param {SpanAsked} span */
export function titleOf(span) {
  const to = span.bpm_to === undefined ? "" : ` to ${inTenths(span.bpm_to)}`;
  const tempo = to ? `, ${inTenths(span.bpm)}${to}` : ` at ${inTenths(span.bpm)}`;
  switch (span.target.kind) {
    case "pulses":
      return `${PER_BEAT_WORDS[span.target.per_beat ?? 0] ?? "Pulses"}${tempo}`;
    case "straight":
      return `Straight${tempo}`;
    case "rest":
      return "Rest";
    case "count-in":
      return "Counting in";
    default:
      return `Free${tempo}`;
  }
}

/** @param {SpanAsked} span */
export function askOf(span) {
  switch (span.target.kind) {
    case "pulses":
      return `${span.loosely ? "about " : ""}${span.target.per_beat === 1 ? "1 on the beat" : `${span.target.per_beat} to the beat`}`;
    case "straight":
      return "straight tone";
    case "rest":
      return "rest";
    case "count-in":
      return "listen to the count";
    default:
      return "as you like";
  }
}

/**
 * Whose turn it is, from where one player sits.
 * @param {SpanAsked} span
 * @param {SpanAsked | undefined} next
 * @param {number} chair
 * @returns {{ title: string, asked: string } | null} null where everybody plays
 */
export function turnOf(span, next, chair) {
  if (!span.turn && !next?.turn) return null;
  if (span.turn?.includes(chair)) return { title: "Your turn", asked: askOf(span) };
  if (next?.turn?.includes(chair)) return { title: "You are next", asked: "get ready, still silent" };
  if (!span.turn) return null;
  return { title: "Be silent", asked: span.turn.length === 1 ? `chair ${span.turn[0]} plays` : "others play" };
}

/**
 * The players of some chairs by name, in chair order; a chair nobody is on by its number.
 * @param {number[]} chairs
 * @param {{ chair: number, name: string }[]} lanes
 */
export function namesOf(chairs, lanes) {
  const names = chairs.map((chair) => lanes.find((lane) => lane.chair === chair)?.name ?? `chair ${chair}`);
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names[names.length - 1]}`;
}

/** How the vibrato changes on the way; empty where it stays. @param {SpanAsked} span */
export function changeOf(span) {
  const { from = 1, to = 1 } = span.ease ?? {};
  if (from === to) return "";
  return from < to ? "vibrato grows" : "vibrato fades";
}

/** What is asked, with how loud, how much and how strictly. @param {SpanAsked} span */
export function fullAskOf(span) {
  const felt = span.loosely ? "the beat felt, not kept" : "";
  return [askOf(span), dynamicsOf(span), changeOf(span), felt].filter(Boolean).join(", ");
}

/** Intervals over the root in whole-number ratios, and how far they lie from equal steps: 1200 log2 of the ratio. */
const PURE = [
  { word: "second", ratio: 9 / 8, semitones: 2 },
  { word: "third", ratio: 5 / 4, semitones: 4 },
  { word: "fifth", ratio: 3 / 2, semitones: 7 },
];
const OFF_CENTS = PURE.map(({ word, ratio, semitones }) => ({ word, cents: 1200 * Math.log2(ratio) - 100 * semitones }));

/**
 * Where the tuning puts a note, in words; empty where it stays in equal temperament.
 * @param {number | null} cents from there
 */
export function tuningWords(cents) {
  if (cents === null || Math.abs(cents) < 0.05) return "";
  const pure = OFF_CENTS.find((off) => Math.abs(off.cents - cents) < 0.1);
  const whole = Math.max(Math.round(Math.abs(cents)), 1);
  const far = `${whole} ${whole === 1 ? "cent" : "cents"} ${cents < 0 ? "low" : "high"}`;
  return `${far} for ${pure ? `a pure ${pure.word}` : "the chord"}`;
}

/** Notes the dynamics from one mark to another, such as "p to f"; empty where none are written. @param {any} span */
export function dynamicsOf(span) {
  const { from, to } = span.dynamics ?? {};
  if (!from) return "";
  return from === to ? from : `${from} to ${to}`;
}

/**
 * Where in the music a beat is.
 * @param {import("./raster-geometry.js").Score} score
 * @param {import("./shared-time.js").SharedTime} time
 * @param {number} beat
 */
export function placeOf(score, time, beat) {
  if (beat < 0) return "about to start";
  const spanIdx = time.spanAt(beat);
  if (spanIdx < 0) return "at the end";
  return score.spans[spanIdx].target.kind === "count-in" ? "counting in" : `bar ${time.barAt(beat)}`;
}

/** @param {number | undefined | null} cents with sign, a true minus and no decimals */
export function centsText(cents) {
  if (cents === undefined || cents === null) return "";
  const whole = Math.round(cents);
  if (whole === 0) return "0";
  return whole > 0 ? `+${whole}` : `\u2212${-whole}`;
}
