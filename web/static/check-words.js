// A check of the microphone in words: what the player is to do, what was found, and what to change. Pure; knows no page.

import { processingInWords } from "./capture-words.js";
import { asSentence } from "./sentence.js";
import { spelled, TRANSPOSITIONS } from "./written-note.js";

/** @typedef {import("./microphone-check.js").CheckResult} CheckResult */

/**
 * A sounding note as the player reads it.
 * @param {number} midi
 * @param {string} instrument slug
 */
export function writtenName(midi, instrument) {
  const transposition = TRANSPOSITIONS[/** @type {keyof typeof TRANSPOSITIONS} */ (instrument)] ?? 0;
  const { name, octave } = spelled(Math.round(midi) - transposition);
  return `${name}${octave}`;
}

/**
 * What the player is to do now.
 * @param {"quiet" | "tone" | "done"} phase
 * @param {boolean} isSounding
 * @param {number | null} expectedMidi
 * @param {string} instrument
 */
export function taskWords(phase, isSounding, expectedMidi, instrument) {
  if (phase === "quiet") return "Be silent.";
  if (isSounding) return "Keep the note, long and straight.";
  const note = expectedMidi === null ? "one note" : `your note, ${writtenName(expectedMidi, instrument)}`;
  return `Now play ${note}, long and straight.`;
}

const db = (/** @type {number} */ value) => `${String(Math.round(value)).replace("-", "−")} dB`;

/**
 * Each finding with what to change, worst first.
 * @param {CheckResult} result
 * @param {string} instrument slug
 * @returns {{ what: string, change: string }[]}
 */
export function findingWords(result, instrument) {
  const { toneDb, noiseDb, heardMidi, expectedMidi, heldS, changeDb } = result;
  const written = (/** @type {number | null} */ midi) => (midi === null ? "" : writtenName(midi, instrument));
  const fell = changeDb < 0 ? "fell" : "rose";
  const isTurned = Math.abs(changeDb) >= 6;
  /** @type {Record<import("./microphone-check.js").Finding, { what: string, change: string }>} */
  const words = {
    dead: {
      what: "Nothing at all comes from the microphone.",
      change: "Look for a switch on the device or headset, and for a microphone that is muted in its settings. Then check again.",
    },
    "no-tone": {
      what: "No tone was heard.",
      change: "Play one long, straight note, near the device, and check again.",
    },
    clipped: {
      what: "The top of your sound is cut off.",
      change: "Move the device further away, or turn its microphone away from you.",
    },
    gated: {
      what: `Your tone was gone after about ${heldS < 1.5 ? "a second" : `${Math.round(heldS)} seconds`}.`,
      change:
        "If you held it, the device takes a long tone for noise: switch off what it calls noise suppression or voice isolation, or use another device.",
    },
    "level-turned": {
      what: isTurned ? `Your tone ${fell} by ${Math.abs(Math.round(changeDb))} dB.` : "The device turns its level up and down by itself.",
      change: isTurned
        ? "If you kept it even, the device turns the level by itself, and your depth cannot be trusted: use another one if you can."
        : "Your depth cannot be trusted: use another device if you can.",
    },
    headset: {
      what: "This sounds like a headset made for speech.",
      change: "Switch Bluetooth off and use the device’s own microphone.",
    },
    noisy: {
      what: `Your tone is only ${Math.max(Math.round((toneDb ?? 0) - (noiseDb ?? 0)), 0)} dB louder than the room without it.`,
      change: "Bring the device nearer to your sound, away from fans and neighbours.",
    },
    soft: {
      what: "Your tone is faint here.",
      change: "Bring the device nearer, with its microphone free and towards you.",
    },
    "other-note": {
      what: `You played ${written(heardMidi)}; your note is ${written(expectedMidi)}.`,
      change: "If you fingered the right note, another instrument is chosen than the one you play: join again with yours.",
    },
    processed: {
      what: `The device says that it changes the sound (${processingInWords(result.stillOn)}).`,
      change: "Your pulses may look smaller than they are. Switch it off if its settings let you.",
    },
  };
  return result.findings.map((finding) => words[finding]);
}

/** Said where nothing was found. */
export const ALL_WELL = "All is well: the microphone hears you clearly.";

/**
 * The figures, quietly.
 * @param {CheckResult} result
 * @param {string} instrument slug
 */
export function factWords({ toneDb, noiseDb, heardMidi, sampleRateHz }, instrument) {
  const parts = [];
  if (toneDb !== null) parts.push(`your tone ${db(toneDb)}`);
  if (noiseDb !== null) parts.push(`without it ${db(noiseDb)}`);
  if (heardMidi !== null) parts.push(`you played ${writtenName(heardMidi, instrument)}`);
  if (sampleRateHz !== null) parts.push(`${(sampleRateHz / 1000).toFixed(1).replace(".0", "")} kHz`);
  return asSentence(parts.join(", "));
}
