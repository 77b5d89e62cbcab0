// Notes by name, as players of the reader's language spell them. The page brings the area "notes". Knows no staff and no
// instrument.

import { word } from "./words.js";

/** The ends of the ids of the twelve, from C on. */
const NOTES = Object.freeze(["c", "d-flat", "d", "e-flat", "e", "f", "f-sharp", "g", "a-flat", "a", "b-flat", "b"]);

/** @param {number} midi whole */
const ending = (midi) => NOTES[((midi % 12) + 12) % 12];
/** @param {number} midi whole */
const octaveOf = (midi) => Math.floor(midi / 12) - 1;

/** "B♭4", in German "B4". @param {number} midi whole */
export const noteName = (midi) => `${word(`note-${ending(midi)}`)}${octaveOf(midi)}`;

/** "B flat 4", for a voice that reads the page aloud. @param {number} midi whole */
export const spokenNote = (midi) => `${word(`spoken-note-${ending(midi)}`)} ${octaveOf(midi)}`;
