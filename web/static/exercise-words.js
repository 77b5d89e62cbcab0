// What a score asks, in words: its title, what the player does, where in it one is. Pure; the words are the protocol's.

import { figure, listed, word } from "./words.js";

/** @typedef {import("./raster-geometry.js").Span} SpanAsked */

/** A tempo with a decimal only where it has one. @param {number} bpm */
function tempoText(bpm) {
  const tenths = Math.round(bpm * 10) / 10;
  return figure(tenths, Number.isInteger(tenths) ? 0 : 1);
}

/** @param {SpanAsked} span */
export function titleOf(span) {
  switch (span.target.kind) {
    case "rest":
      return word("target-rest");
    case "count-in":
      return word("counting-in");
    default: {
      const what = { id: `target-${span.target.kind}`, args: { per_beat: span.target.per_beat ?? 0 } };
      const bpm = tempoText(span.bpm);
      if (span.bpm_to === undefined) return word("title-steady", { what, bpm });
      return word("title-changing", { what, bpm, bpm_to: tempoText(span.bpm_to) });
    }
  }
}

/** @param {SpanAsked} span */
export function askOf(span) {
  switch (span.target.kind) {
    case "pulses": {
      const what = word("ask-pulses", { n: span.target.per_beat ?? 0 });
      return span.loosely ? word("ask-about", { what }) : what;
    }
    case "straight":
      return word("ask-straight");
    case "rest":
      return word("ask-rest");
    case "count-in":
      return word("ask-count-in");
    default:
      return word("ask-free");
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
  if (span.turn?.includes(chair)) return { title: word("turn-yours"), asked: askOf(span) };
  if (next?.turn?.includes(chair)) return { title: word("turn-next"), asked: word("turn-next-ask") };
  if (!span.turn) return null;
  return {
    title: word("turn-silent"),
    asked: span.turn.length === 1 ? word("turn-chair-plays", { chair: span.turn[0] }) : word("turn-others-play"),
  };
}

/**
 * The players of some chairs by name, in chair order; a chair nobody is on by its number.
 * @param {number[]} chairs
 * @param {{ chair: number, name: string }[]} lanes
 */
export function namesOf(chairs, lanes) {
  const names = chairs.map((chair) => lanes.find((lane) => lane.chair === chair)?.name ?? word("chair-numbered", { chair }));
  return listed(names);
}

/** How the vibrato changes on the way; empty where it stays. @param {SpanAsked} span */
export function changeOf(span) {
  const { from = 1, to = 1 } = span.ease ?? {};
  if (from === to) return "";
  return word(from < to ? "change-grows" : "change-fades");
}

/** What is asked, with how loud, how much and how strictly. @param {SpanAsked} span */
export function fullAskOf(span) {
  const felt = span.loosely ? word("ask-felt") : "";
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
  const what = word(`tuned-${pure ? pure.word : "chord"}`);
  return word(cents < 0 ? "tuned-low" : "tuned-high", { cents: whole, what });
}

/** Notes the dynamics from one mark to another, such as "p to f"; empty where none are written. @param {any} span */
export function dynamicsOf(span) {
  const { from, to } = span.dynamics ?? {};
  if (!from) return "";
  return from === to ? from : word("from-to", { from, to });
}

/**
 * Where in the music a beat is.
 * @param {import("./raster-geometry.js").Score} score
 * @param {import("./shared-time.js").SharedTime} time
 * @param {number} beat
 */
export function placeOf(score, time, beat) {
  if (beat < 0) return word("place-about-to-start");
  const spanIdx = time.spanAt(beat);
  if (spanIdx < 0) return word("place-at-the-end");
  return score.spans[spanIdx].target.kind === "count-in" ? word("place-counting-in") : word("place-bar", { bar: time.barAt(beat) });
}

/** @param {number | undefined | null} cents with sign, a true minus and no decimals */
export function centsText(cents) {
  if (cents === undefined || cents === null) return "";
  const whole = Math.round(cents);
  if (whole === 0) return "0";
  return whole > 0 ? `+${whole}` : `\u2212${-whole}`;
}
