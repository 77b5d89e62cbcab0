// A check of the microphone in words: what the player is to do, what was found, and what to change. Pure; knows no page.

import { processingInWords } from "./capture-words.js";
import { noteName } from "./note-names.js";
import { asSentence } from "./sentence.js";
import { figure, word } from "./words.js";
import { TRANSPOSITIONS } from "./written-note.js";

/** @typedef {import("./microphone-check.js").CheckResult} CheckResult */

/**
 * A sounding note as the player reads it.
 * @param {number} midi
 * @param {string} instrument slug
 */
export function writtenName(midi, instrument) {
  const transposition = TRANSPOSITIONS[/** @type {keyof typeof TRANSPOSITIONS} */ (instrument)] ?? 0;
  return noteName(Math.round(midi) - transposition);
}

/**
 * What the player is to do now.
 * @param {"quiet" | "tone" | "done"} phase
 * @param {boolean} isSounding
 * @param {number | null} expectedMidi
 * @param {string} instrument
 */
export function taskWords(phase, isSounding, expectedMidi, instrument) {
  if (phase === "quiet") return word("check-be-silent");
  if (isSounding) return word("check-keep");
  return expectedMidi === null ? word("check-play-one") : word("check-play", { note: writtenName(expectedMidi, instrument) });
}

/** Whole decibels with a true minus. @param {number} value */
const decibels = (value) => `${value < -0.5 ? "\u2212" : ""}${figure(Math.abs(Math.round(value)))} dB`;

/**
 * Each finding with what to change, worst first.
 * @param {CheckResult} result
 * @param {string} instrument slug
 * @returns {{ what: string, change: string }[]}
 */
export function findingWords(result, instrument) {
  const { toneDb, noiseDb, heardMidi, expectedMidi, heldS, changeDb } = result;
  const written = (/** @type {number | null} */ midi) => (midi === null ? "" : writtenName(midi, instrument));
  const isTurned = Math.abs(changeDb) >= 6;
  const turned = isTurned ? (changeDb < 0 ? "fell" : "rose") : "turned";
  /** @type {Record<import("./microphone-check.js").Finding, { what: string, change: string }>} */
  const words = {
    dead: { what: word("found-dead"), change: word("change-dead") },
    "no-tone": { what: word("found-no-tone"), change: word("change-no-tone") },
    clipped: { what: word("found-clipped"), change: word("change-clipped") },
    gated: { what: word("found-gated", { s: Math.max(Math.round(heldS), 1) }), change: word("change-gated") },
    "level-turned": {
      what: word(`found-level-${turned}`, { db: Math.abs(Math.round(changeDb)) }),
      change: word(isTurned ? "change-level-turned-by" : "change-level-turned"),
    },
    headset: { what: word("found-headset"), change: word("change-headset") },
    noisy: { what: word("found-noisy", { db: Math.max(Math.round((toneDb ?? 0) - (noiseDb ?? 0)), 0) }), change: word("change-noisy") },
    soft: { what: word("found-soft"), change: word("change-soft") },
    "other-note": {
      what: word("found-other-note", { heard: written(heardMidi), asked: written(expectedMidi) }),
      change: word("change-other-note"),
    },
    processed: { what: word("found-processed", { how: processingInWords(result.stillOn) }), change: word("change-processed") },
  };
  return result.findings.map((finding) => words[finding]);
}

/**
 * The figures, quietly.
 * @param {CheckResult} result
 * @param {string} instrument slug
 */
export function factWords({ toneDb, noiseDb, heardMidi, sampleRateHz }, instrument) {
  const parts = [];
  if (toneDb !== null) parts.push(word("check-fact-tone", { db: decibels(toneDb) }));
  if (noiseDb !== null) parts.push(word("check-fact-noise", { db: decibels(noiseDb) }));
  if (heardMidi !== null) parts.push(word("check-fact-note", { note: writtenName(heardMidi, instrument) }));
  if (sampleRateHz !== null) parts.push(word("check-fact-rate", { khz: Math.round(sampleRateHz / 100) / 10 }));
  return asSentence(parts.join(", "));
}
