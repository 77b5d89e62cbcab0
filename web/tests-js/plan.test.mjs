// Plans on the conductor's pages: what can be done with exercises, how fields are written into the file, where a complaint is
// shown, and what is read of the plan beside the raster.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { briefWords, stepOf } from "../static/brief-words.js";
import { noteWords } from "../static/chair-notes.js";
import { begun, doubled, linesOf, moved, nameOf, nearestField, percentOf, placeOf, put, Removed, summaryOf } from "../static/plan-changes.js";
import { KINDS, OF_EXERCISE } from "../static/plan-kinds.js";
import { readPlanFile } from "../static/plans-page.js";
import { word } from "../static/words.js";

test("an exercise goes up and down, but not past the ends", () => {
  const list = ["a", "b", "c"];
  assert.deepEqual(moved(list, 2, 0), ["c", "a", "b"]);
  assert.deepEqual(moved(list, 0, 1), ["b", "a", "c"]);
  assert.deepEqual(moved(list, 0, -1), list);
  assert.deepEqual(moved(list, 2, 3), list);
});

test("what was removed comes back to its place", () => {
  const plan = { exercises: ["a", "b", "c"] };
  const removed = new Removed();
  removed.take(plan, 1);
  assert.deepEqual(plan.exercises, ["a", "c"]);
  assert.equal(removed.bringBack(plan), 1);
  assert.deepEqual(plan.exercises, ["a", "b", "c"]);
  assert.equal(removed.bringBack(plan), -1);
  removed.take(plan, 2);
  plan.exercises = ["a"];
  assert.equal(removed.bringBack(plan), 1, "as near as there is room");
});

test("a double shares nothing with the first, and begins no part anew", () => {
  const first = { part: "Days 1 to 3", play: { straight: { bpm: 60 } } };
  const second = doubled(first);
  second.play.straight.bpm = 72;
  assert.equal(first.play.straight.bpm, 60);
  assert.equal(second.part, undefined);
});

test("every kind can be begun and has a name and a summary", () => {
  for (const kind of Object.keys(KINDS)) {
    const exercise = begun(kind);
    assert.equal(nameOf(exercise), word(KINDS[kind].label));
    assert.notEqual(summaryOf(exercise), "");
    const known = new Set(KINDS[kind].fields.map((field) => field.key));
    for (const key of Object.keys(exercise.play[kind])) assert.ok(known.has(key), `${kind}: ${key}`);
  }
  // 66 / 60 x 3 = 3.3.
  assert.equal(summaryOf({ play: { pulses: { bpm: 66, values: ["triplets"] } } }), "triplets at 66, 3.30 a second");
});

test("what may be left out is left out of the file", () => {
  const [title, , say, , cautions] = OF_EXERCISE;
  const exercise = { title: "x", say: "y", cautions: ["z"] };
  put(exercise, title, "");
  put(exercise, say, "");
  put(exercise, cautions, linesOf(" \n"));
  assert.deepEqual(exercise, {});
  put(exercise, cautions, linesOf(" rest often \n\nstop when it hurts"));
  assert.deepEqual(exercise.cautions, ["rest often", "stop when it hurts"]);
  assert.equal(percentOf(0.29), 29);
});

test("a complaint is shown at its field, or at the nearest one around it", () => {
  const fields = new Set(["3:play.ladder.from_bpm", "3:play.music.note 7, beats", "3:play.music.notes", "plan:title", "3:cautions"]);
  assert.equal(nearestField(placeOf({ exercise: 3, field: "play.ladder.from_bpm" }), fields), "3:play.ladder.from_bpm");
  assert.equal(nearestField(placeOf({ exercise: 3, field: "play.music.note 7, beats" }), fields), "3:play.music.note 7, beats");
  assert.equal(nearestField(placeOf({ exercise: null, field: "title" }), fields), "plan:title");
  assert.equal(nearestField(placeOf({ exercise: 3, field: "caution 2" }), fields), "3:cautions");
  assert.equal(nearestField(placeOf({ exercise: 3, field: "play.ladder.from_bpm.x" }), fields), "3:play.ladder.from_bpm");
  assert.equal(nearestField(placeOf({ exercise: 2, field: "play.ladder.from_bpm" }), fields), null);
  assert.equal(nearestField(placeOf({ exercise: null, field: "" }), fields), null);
});

const file = (/** @type {string} */ name, /** @type {number[]} */ bytes) => ({ name, size: bytes.length, arrayBuffer: async () => new Uint8Array(bytes).buffer });

test("a compressed file is packed for the form, and UTF-16 is read", async () => {
  const zipped = await readPlanFile(file("tune.mxl", [0x50, 0x4b, 3, 255]));
  assert.deepEqual(zipped, { text: "", packed: "504b03ff", trouble: "" });
  const utf16 = await readPlanFile(file("tune.xml", [0xff, 0xfe, 0x3c, 0, 0x61, 0]));
  assert.deepEqual(utf16, { text: "<a", packed: "", trouble: "" });
  const broken = await readPlanFile(file("tune.xml", [0x3c, 0xff]));
  assert.match(broken.trouble, /letters cannot be read/);
  assert.match((await readPlanFile(file("tune.xml", []))).trouble, /tune\.xml is empty/);
});

test("the line under the say line tells cautions before the music and only the aim in it", () => {
  const exercise = {
    plan: "The first fortnight", next: "Ladder",
    brief: { say: "Let the air pulse", goal: "Three to the beat.", cautions: ["Stop when you feel dizzy"] },
    rung: { number: 2, of: 7, go_on: "when-matched" },
  };
  assert.deepEqual(briefWords(exercise, false, 0), {
    text: "Rung 2 of 7, goes on when matched. Three to the beat. Let the air pulse.",
    caution: "Stop when you feel dizzy.",
    next: "Next: Ladder",
    between: "",
  });
  assert.deepEqual(briefWords(exercise, true, 0), { text: "Rung 2 of 7, goes on when matched. Three to the beat.", caution: "", next: "Next: Ladder", between: "" });
  // 64.2 s are begun: a countdown ends when nothing is left.
  assert.equal(briefWords({ ...exercise, rest_until_us: 74.2e6 }, false, 10e6).text, "Rest, 1:05");
  assert.equal(briefWords({ plan: "x", brief: {} }, false, 0).next, "The last exercise");
  assert.deepEqual(briefWords({ brief: { name: "Triplets" } }, true, 0), { text: "", caution: "", next: "", between: "" });
  assert.equal(briefWords({ ...exercise, rest_s: 60 }, true, 0).between, "after a minute of rest");
  assert.equal(briefWords({ ...exercise, rest_s: 45 }, true, 0).between, "after 45 s of rest");
});

test("each suggestion has a button that does it", async () => {
  const says = JSON.parse(await readFile(new URL("../protocol/golden/conductor-says.json", import.meta.url), "utf8"));
  const types = new Set(says.map((/** @type {any} */ command) => command.type));
  for (const step of ["next", "again", "slower", "step-back", "down-the-line", "spread", "rest"]) {
    const { label, command } = stepOf(step, true);
    assert.ok(label && types.has(command.type), step);
  }
  assert.equal(stepOf("rest", false).command, null, "nothing is to be stopped");
});

test("a chair's note stands as it sounds, and in brackets as its player reads it", () => {
  // Written to sounding: alto saxophone 9 semitones down, flute none (orchestration tables).
  assert.equal(noteWords(65, "alto-sax"), "F4 (reads D5)");
  assert.equal(noteWords(65, "flute"), "F4");
  assert.equal(noteWords(70, null), "B♭4");
});
