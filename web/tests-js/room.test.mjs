// The room before the music: rows of seats, words of findings, the scale of levels.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { chairInWords, dbText, findingWord, inText, placeOnScale, reachedText, rowsOf } from "../static/room-words.js";
import { golden } from "./door-in-node.js";

test("chairs sit in even rows, in order, the front row first and never the longest", () => {
  for (const [n, lengths] of [[0, []], [1, [1]], [5, [5]], [8, [4, 4]], [9, [4, 5]], [12, [4, 4, 4]], [40, [5, 5, 5, 5, 5, 5, 5, 5]], [17, [4, 4, 4, 5]]]) {
    const chairs = Array.from({ length: /** @type {number} */ (n) }, (_, i) => i + 1);
    const rows = rowsOf(chairs);
    assert.deepEqual(rows.map((row) => row.length), lengths);
    assert.deepEqual(rows.flat(), chairs);
  }
});

test("every finding of the protocol has a word", async () => {
  const rust = await readFile(new URL("../protocol/src/messages/room_check.rs", import.meta.url), "utf8");
  const variants = [...rust.split("enum Finding {")[1].matchAll(/^ {4}([A-Z]\w+),$/gm)].map((found) => found[1]);
  assert.ok(variants.length >= 9, `${variants}`);
  for (const variant of variants) {
    const slug = variant.replace(/(?<!^)([A-Z])/g, "-$1").toLowerCase();
    assert.notEqual(findingWord(slug), slug.includes("-") ? slug : "", `${slug} has no word`);
    assert.ok(/^[a-z ]+$/.test(findingWord(slug)), slug);
  }
});

test("a chair is told in words with what it is compared with", async () => {
  const [found] = await golden("room-check");
  assert.equal(chairInWords(found.chairs[0]), "1, Imogen, clear, 17 dB over chair 2");
  assert.equal(chairInWords(found.chairs[1]), "2, Tobias, not checked");
  assert.equal(chairInWords({ ...found.chairs[0], loudest: undefined }), "1, Imogen, clear, 17 dB over the noise");
});

test("levels stand on one scale, and those outside at its ends", () => {
  assert.equal(placeOnScale(0), 0);
  assert.equal(placeOnScale(-120), 1);
  assert.ok(Math.abs(placeOnScale(-41) - 0.5) < 1e-9);
  assert.deepEqual([dbText(-28.6), dbText(4), dbText(-0.2), dbText(undefined)], ["\u221229", "4", "0", "\u2013"]);
});

test("who is in and who found the computer is told with the right numbers", () => {
  assert.deepEqual([inText(0, undefined), inText(1, 0), inText(8, 9), inText(9, 8)], [
    "Nobody is in yet",
    "1 player is in",
    "8 of 9 are in",
    "9 of 9 are in",
  ]);
  assert.equal(reachedText({}), "No other device has reached this computer yet.");
  assert.equal(reachedText({ reached_http: 3, reached_https: 1 }), "3 devices reached this computer, 1 of them over https.");
});
