// What comes next in the music, from where one player sits, in a few words: the own turn, another note, another target. Pure.

import { changeOf } from "./exercise-words.js";
import { noteName } from "./note-names.js";
import { nextSpan } from "./raster-geometry.js";
import { isTurnOf, noteOf } from "./shared-time.js";
import { word } from "./words.js";
import { writtenMidi } from "./written-note.js";

/** What comes is told so many beats ahead: time for a breath and a look. Our own choice. */
const AHEAD_BEATS = 8;

/** @typedef {import("./raster-geometry.js").Score} Score @typedef {import("./raster-geometry.js").Span} Span */

/**
 * @param {Score} score
 * @param {import("./raster-geometry.js").PlayTime} time
 * @param {number} nowBeat
 * @param {number} chair
 * @param {string} instrument slug
 * @returns {string} empty while nothing changes soon
 */
export function comingOf(score, time, nowBeat, chair, instrument) {
  const turnBeat = ownTurnBeat(score, time, nowBeat, chair);
  if (turnBeat !== null) return word("coming-turn", { n: inBeats(turnBeat - nowBeat) });
  const here = score.spans[time.spanAt(nowBeat)];
  const next = nextSpan(score, time, nowBeat);
  // While counting in, what is to come stands there as what is asked.
  if (!here || here.target.kind === "count-in" || !next || next.beat - nowBeat > AHEAD_BEATS) return "";
  const words = changeWords(here, next.span, chair, instrument);
  return words ? word("coming", { n: inBeats(next.beat - nowBeat), what: words }) : "";
}

/** Whole beats, at least one. @param {number} beats above nought */
const inBeats = (beats) => Math.max(Math.ceil(beats - 1e-9), 1);

/**
 * The number to count in a waiting player's own turn with, in the bar before it: 1, 2, 3, 4 as a count-in has them; 0 elsewhere.
 * @param {Score} score
 * @param {import("./raster-geometry.js").PlayTime} time
 * @param {number} nowBeat
 * @param {number} chair
 */
export function countInOf(score, time, nowBeat, chair) {
  const turnBeat = ownTurnBeat(score, time, nowBeat, chair);
  if (turnBeat === null || turnBeat - nowBeat > score.beats_per_bar) return 0;
  return Math.floor(nowBeat - (turnBeat - score.beats_per_bar)) + 1;
}

/**
 * The beat at which a player who waits is to play; null for who plays now, and where nobody takes turns.
 * @param {Score} score
 * @param {import("./raster-geometry.js").PlayTime} time
 * @param {number} nowBeat
 * @param {number} chair
 */
function ownTurnBeat(score, time, nowBeat, chair) {
  const here = time.spanAt(Math.max(nowBeat, 0));
  if (here < 0 || (score.spans[here].turn && isTurnOf(score.spans[here], chair))) return null;
  let beat = 0;
  for (const [i, span] of score.spans.entries()) {
    if (i > here && span.turn && isTurnOf(span, chair)) return beat;
    // Where all play again, waiting is over.
    if (i > here && !span.turn && span.target.kind !== "rest") return null;
    beat += span.length_beats ?? Infinity;
  }
  return null;
}

/** @param {Span} here @param {Span} next @param {number} chair @param {string} instrument */
function changeWords(here, next, chair, instrument) {
  if (next.target.kind === "rest") return word("coming-rest");
  if (!isTurnOf(next, chair)) return word("coming-silent");
  const words = [];
  const note = noteOf(next, chair);
  const midi = note !== null && note !== noteOf(here, chair) ? writtenMidi(note, instrument) : null;
  if (midi !== null) words.push(noteName(midi));
  const isSame = here.target.kind === next.target.kind && here.target.per_beat === next.target.per_beat;
  if (!isSame) words.push(targetWord(next));
  const change = changeOf(next);
  if (change) words.push(change);
  else if (isSame && changeOf(here)) words.push(word("coming-full"));
  if (next.bpm !== (here.bpm_to ?? here.bpm)) words.push(word("coming-at-tempo", { bpm: Math.round(next.bpm * 10) / 10 }));
  return words.join(", ");
}

/** @param {Span} span */
function targetWord(span) {
  if (span.target.kind === "pulses") return word("coming-pulses", { per_beat: span.target.per_beat ?? 0 });
  return word(span.target.kind === "straight" ? "coming-straight" : "coming-free");
}
