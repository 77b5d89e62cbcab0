// Notes, instruments and parts by name, in both languages; the same expectations as the server's.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { instrumentName, partName } from "../static/instrument-names.js";
import { noteName, spokenNote } from "../static/note-names.js";
import { speak } from "./english.js";

test("notes are named as in each language", () => {
  const names = () => Array.from({ length: 12 }, (_, i) => noteName(58 + i));
  assert.deepEqual(names(), ["B♭3", "B3", "C4", "D♭4", "D4", "E♭4", "E4", "F4", "F♯4", "G4", "A♭4", "A4"]);
  assert.equal(spokenNote(70), "B flat 4");
  speak("de", "de");
  // As German school books have them: from memory.
  assert.deepEqual(names(), ["B3", "H3", "C4", "Des4", "D4", "Es4", "E4", "F4", "Fis4", "G4", "As4", "A4"]);
  assert.equal(spokenNote(66), "Fis 4");
  speak("en", "en-GB");
});

test("a part that nobody named is said in the reader's language, one that a person typed stays", async () => {
  const source = await readFile(new URL("../protocol/src/instrument.rs", import.meta.url), "utf8");
  const table = [...source.matchAll(/^ {4}[A-Z]\w+ "([^"]+)" "([^"]+)" -?\d/gm)];
  assert.equal(table.length, 16);
  for (const [, slug, label] of table) {
    assert.equal(instrumentName(slug), label);
    assert.equal(partName(`${label} 3`, slug), `${label} 3`);
  }
  speak("de", "de");
  assert.equal(partName("flute 2", "flute"), "Flöte 2");
  for (const [, slug, label] of table) assert.equal(partName(`${label} 3`, slug), `${instrumentName(slug)} 3`);
  for (const typed of ["solo", "flute", "flute two", "flute 2nd", "oboe 1", ""]) assert.equal(partName(typed, "flute"), typed);
  speak("en", "en-GB");
});
