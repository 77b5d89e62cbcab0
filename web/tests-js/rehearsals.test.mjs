// Rehearsals that are over: times as the reader's clock has them, and files read rehearsal by rehearsal.

import assert from "node:assert/strict";
import { test } from "node:test";
import { dayOf, timeInWords } from "../static/local-times.js";
import { added, documentsOf } from "../static/rehearsals-page.js";

// Civil times of these zones by the IANA time zone database, as `TZ=... date -d` of GNU coreutils gives them.
test("a time is said in the reader's zone", () => {
  assert.match(timeInWords("2026-11-25T23:30:00Z", "en-GB", "medium", "Europe/Berlin"), /^26 Nov 2026, 00:30$/);
  assert.match(timeInWords("2026-07-01T17:30:00Z", "de", "long", "Europe/Berlin"), /^1\. Juli 2026 um 19:30$/);
});

test("a file is named by the reader's day", () => {
  assert.equal(dayOf("2026-11-25T23:30:00Z", "Europe/Berlin"), "2026-11-26");
  assert.equal(dayOf("2026-11-26T00:30:00Z", "America/New_York"), "2026-11-25");
});

/** @param {string} text @param {number} size of the pieces it comes in */
const cut = (text, size) =>
  new ReadableStream({
    start(stream) {
      for (let at = 0; at < text.length; at += size) stream.enqueue(text.slice(at, at + size));
      stream.close();
    },
  });

/** @param {string} text @param {number} size */
async function documents(text, size) {
  const found = [];
  for await (const one of documentsOf(cut(text, size))) found.push(JSON.parse(one));
  return found;
}

const TWO = [{ format: "windrow.session", title: "a\nb }" }, { format: "windrow.session", n: [1, { x: 2 }] }];

test("each line of a JSON Lines file is a rehearsal, however the file comes in pieces", async () => {
  const text = TWO.map((one) => `${JSON.stringify(one)}\n`).join("");
  for (const size of [1, 3, 7, 1000]) {
    assert.deepEqual(await documents(text, size), TWO);
    assert.deepEqual(await documents(text.trimEnd().replace("\n", "\r\n\n"), size), TWO);
  }
});

test("a document over many lines is one", async () => {
  for (const size of [1, 5, 1000]) assert.deepEqual(await documents(JSON.stringify(TWO[1], null, 2), size), [TWO[1]]);
  assert.deepEqual(await documents("\n \n", 2), []);
});

test("what came is added up", () => {
  const one = { new: 1, here: 0, players: 12, known: 3 };
  assert.deepEqual(added(added(one, one), { new: 0, here: 1, players: 0, known: 0 }), { new: 2, here: 1, players: 24, known: 6 });
});
