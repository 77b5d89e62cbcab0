// The note a player reads: from the sounding note to the written one of an instrument, its name and its place on the
// staff. Pure but for the drawing at the end, which makes an SVG. Knows no room.

import { SIGNS } from "./music-signs.js";

/** Semitones from the written to the sounding note; a test holds them against the protocol's own table. */
export const TRANSPOSITIONS = Object.freeze({
  piccolo: 12,
  flute: 0,
  "alto-flute": -5,
  oboe: 0,
  "cor-anglais": -7,
  "clarinet-eb": 3,
  "clarinet-bb": -2,
  "clarinet-a": -3,
  "bass-clarinet": -14,
  bassoon: 0,
  contrabassoon: -12,
  "soprano-sax": -2,
  "alto-sax": -9,
  "tenor-sax": -14,
  "baritone-sax": -21,
  horn: -7,
});

const READ_THE_BASS_CLEF = new Set(["bassoon", "contrabassoon"]);

const STEPS = Object.freeze({ C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 });
const LETTERS = "CDEFGAB";

/**
 * The spelling wind parts use most for each of the twelve, as the protocol's `Note::spelled`: flats, but F sharp.
 * @type {readonly [letter: string, alter: -1 | 0 | 1][]}
 */
const SPELLINGS = Object.freeze([
  ["C", 0],
  ["D", -1],
  ["D", 0],
  ["E", -1],
  ["E", 0],
  ["F", 0],
  ["F", 1],
  ["G", 0],
  ["A", -1],
  ["A", 0],
  ["B", -1],
  ["B", 0],
]);

/**
 * MIDI number of a note by its name on the wire, such as "F#3" or "Bb2".
 * @param {string} name
 * @returns {number | null}
 */
export function midiOf(name) {
  const found = /^([A-G])([#b]?)(-?\d)$/.exec(name);
  if (!found) return null;
  const [, letter, sign, octave] = found;
  const alter = sign === "#" ? 1 : sign === "b" ? -1 : 0;
  return (Number(octave) + 1) * 12 + STEPS[/** @type {keyof typeof STEPS} */ (letter)] + alter;
}

/**
 * A note as players spell it.
 * @param {number} midi
 */
export function spelled(midi) {
  const [letter, alter] = SPELLINGS[((midi % 12) + 12) % 12];
  const octave = Math.floor(midi / 12) - 1;
  return { letter, alter, octave, name: `${letter}${["♭", "", "♯"][alter + 1]}`, inWords: `${letter}${[" flat", "", " sharp"][alter + 1]}` };
}

/**
 * @param {string} sounding name on the wire
 * @param {string} instrument slug
 * @returns {number | null} MIDI number of the written note
 */
export function writtenMidi(sounding, instrument) {
  const midi = midiOf(sounding);
  if (midi === null) return null;
  return midi - (TRANSPOSITIONS[/** @type {keyof typeof TRANSPOSITIONS} */ (instrument)] ?? 0);
}

/**
 * Steps of the staff above its bottom line: 0 on it, 1 in the first space, 8 on the top line.
 * @param {number} midi written note
 * @param {"treble" | "bass"} clef
 */
export function staffStep(midi, clef) {
  const { letter, octave } = spelled(midi);
  // Bottom lines: E4 in the treble clef, G2 in the bass clef.
  const bottom = clef === "treble" ? 4 * 7 + LETTERS.indexOf("E") : 2 * 7 + LETTERS.indexOf("G");
  return octave * 7 + LETTERS.indexOf(letter) - bottom;
}

/** @param {string} instrument slug @returns {"treble" | "bass"} */
export function clefOf(instrument) {
  return READ_THE_BASS_CLEF.has(instrument) ? "bass" : "treble";
}

const SVG = "http://www.w3.org/2000/svg";
const SPACE = 10;
const WIDTH = 110;
const HEAD_X = 60;
const HEAD_WIDTH = 19;
/** The head's own outline lies this far above the bottom line and to the right of nought. */
const HEAD_MIDDLE = { x: 11.7, y: -6.8 };

/** @param {string} name @param {Record<string, string | number>} attributes */
function element(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/**
 * Draws staff, clef, note and what ledger lines it needs.
 * @param {SVGSVGElement} svg
 * @param {number} midi written note
 * @param {"treble" | "bass"} clef
 */
export function drawNote(svg, midi, clef) {
  const step = staffStep(midi, clef);
  const y = (-step * SPACE) / 2;
  const top = Math.min(-4 * SPACE - 24, y - 12);
  const bottom = Math.max(22, y + 12);
  svg.setAttribute("viewBox", `0 ${top} ${WIDTH} ${bottom - top}`);

  const line = (/** @type {number} */ x1, /** @type {number} */ x2, /** @type {number} */ at) =>
    element("path", { d: `M${x1} ${at}H${x2}`, class: "staff-line" });
  const lines = [0, 1, 2, 3, 4].map((i) => line(0, WIDTH, -i * SPACE));
  for (let ledger = -2; ledger >= step; ledger -= 2) lines.push(line(HEAD_X - 4, HEAD_X + HEAD_WIDTH + 4, (-ledger * SPACE) / 2));
  for (let ledger = 10; ledger <= step; ledger += 2) lines.push(line(HEAD_X - 4, HEAD_X + HEAD_WIDTH + 4, (-ledger * SPACE) / 2));

  const sign = (/** @type {string} */ d, /** @type {number} */ dx, /** @type {number} */ dy) =>
    element("path", { d, transform: `translate(${dx} ${dy})`, class: "sign" });
  const clefSign = clef === "treble" ? SIGNS.gClef : SIGNS.fClef;
  const head = sign(SIGNS.wholeHead, HEAD_X + HEAD_WIDTH / 2 - HEAD_MIDDLE.x, y - HEAD_MIDDLE.y);
  const { alter } = spelled(midi);
  const accidental = alter === 0 ? [] : [sign(alter > 0 ? SIGNS.sharp : SIGNS.flat, HEAD_X - 20, y - (alter > 0 ? -8.8 : -6.2))];
  svg.replaceChildren(...lines, sign(clefSign, 2, 0), ...accidental, head);
}
