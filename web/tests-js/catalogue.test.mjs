// The pages' half of the catalogue: texts, gaps, numbers and lists come out as on the server.

import assert from "node:assert/strict";
import { test } from "node:test";
import { figure, listed, phrase, word } from "../static/words.js";
import { speak } from "./english.js";

test("texts, gaps, phrases of the room and lists, in both languages", () => {
  assert.equal(word("state-matched"), "matched");
  assert.equal(phrase({ id: "evidence-to-the-beat", args: { n: 3.2 } }), "3.2 to the beat");
  assert.equal(phrase("First lesson"), "First lesson");
  assert.equal(phrase(undefined), "");
  assert.equal(listed(["Wren", "Tobias", "Piers"]), "Wren, Tobias and Piers");
  assert.equal(listed(["Wren"]), "Wren");
  assert.equal(figure(0.8, 2), "0.80");
  speak("de", "de");
  assert.equal(word("state-matched"), "passt");
  assert.equal(phrase({ id: "evidence-to-the-beat", args: { n: 3.2 } }), "3,2 auf den Schlag");
  assert.equal(listed(["Wren", "Tobias"]), "Wren und Tobias");
  assert.equal(figure(0.8, 2), "0,80");
  speak("en", "en-GB");
});
