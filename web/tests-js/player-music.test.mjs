// What a player reads and sees of the music: what comes next, loudness and vibrato as they are written, the tuned note, the
// exercise.

import assert from "node:assert/strict";
import test from "node:test";
import "./english.js";
import { comingOf } from "../static/coming-words.js";
import { changeOf, fullAskOf, tuningWords } from "../static/exercise-words.js";
import { expressionOf, isPlain } from "../static/player-expression.js";
import { isShaped, loudAt, loudnessHeights } from "../static/player-ahead.js";
import { PlayerExercise } from "../static/player-exercise.js";
import { openTime } from "./door-in-node.js";

const pulses = (/** @type {number} */ n) => ({ kind: "pulses", per_beat: n });

/** @param {any[]} spans */
async function played(spans) {
  const time = await openTime(() => 0);
  const score = { version: 1, start_us: 0, beats_per_bar: 4, spans: spans.map((span) => ({ bpm: 60, ...span })) };
  time.setScore(/** @type {any} */ (score));
  return { score: /** @type {any} */ (score), time };
}

test("what comes is told from two bars ahead, and nothing while it is counted in", async () => {
  const { score, time } = await played([
    { length_beats: 4, target: { kind: "count-in" }, note: "F4" },
    { length_beats: 12, target: { kind: "straight" }, note: "F4" },
    { length_beats: 8, target: pulses(3), ease: { from: 0, to: 1 }, note: "F4" },
    { length_beats: 8, target: pulses(3), note: "F4" },
    { length_beats: 4, target: pulses(2), note: "G4", bpm: 66 },
    { target: { kind: "rest" } },
  ]);
  const coming = (/** @type {number} */ beat) => comingOf(score, time, beat, 1, "clarinet-bb");
  assert.deepEqual([coming(3.5), coming(7.9), coming(8), coming(15.2)], [
    "",
    "",
    "in 8 beats: triplets, vibrato grows",
    "in 1 beat: triplets, vibrato grows",
  ]);
  assert.equal(coming(20), "in 4 beats: full vibrato");
  // A clarinet in B flat reads A4 where G4 sounds.
  assert.equal(coming(30), "in 2 beats: A4, eighths, at 66");
  assert.equal(coming(33.5), "in 3 beats: rest");
  assert.equal(coming(40), "");
});

test("who waits is told how long, and who plays that it ends", async () => {
  const turn = (/** @type {number[]} */ ...chairs) => ({ length_beats: 8, target: pulses(2), note: "F4", turn: chairs });
  const { score, time } = await played([turn(1), turn(2), turn(3), { target: pulses(2), note: "F4" }]);
  const coming = (/** @type {number} */ chair, /** @type {number} */ beat) => comingOf(score, time, beat, chair, "flute");
  assert.deepEqual([coming(3, 0), coming(3, 14.5), coming(2, 7.2)], [
    "your turn in 16 beats",
    "your turn in 2 beats",
    "your turn in 1 beat",
  ]);
  assert.equal(coming(1, 4), "in 4 beats: silent");
  assert.equal(coming(1, 12), "in 4 beats: silent");
});

test("how it is to be played is said with what is asked", () => {
  const span = { bpm: 60, target: pulses(3), dynamics: { from: "p", to: "f" }, ease: { from: 0.3, to: 1 }, loosely: true };
  assert.equal(fullAskOf(span), "about 3 to the beat, p to f, vibrato grows, the beat felt, not kept");
  assert.equal(fullAskOf({ bpm: 60, target: pulses(3) }), "3 to the beat");
  assert.equal(changeOf({ bpm: 60, target: pulses(3), ease: { from: 1, to: 0 } }), "vibrato fades");
});

test("a tuned note is told with its interval", () => {
  // Cents from equal temperament: 5/4 -13.69, 3/2 +1.96, 9/8 +3.91 (common tables).
  assert.deepEqual([-13.69, 1.96, 3.91, -7, null, 0].map(tuningWords), [
    "14 cents low for a pure third",
    "2 cents high for a pure fifth",
    "4 cents high for a pure second",
    "7 cents low for the chord",
    "",
    "",
  ]);
});

test("hairpin and wedge are cut to the bar that is shown", async () => {
  const { score } = await played([
    { length_beats: 4, target: { kind: "count-in" } },
    { length_beats: 8, target: { kind: "free" }, dynamics: { from: "p", to: "f" }, ease: { from: 0.2, to: 1 } },
    { length_beats: 4, target: { kind: "free" }, dynamics: { from: "f", to: "f" } },
    { target: { kind: "free" }, turn: [2], dynamics: { from: "pp", to: "ff" } },
  ]);
  const near = (/** @type {any} */ way, /** @type {number[]} */ expected) =>
    [way.fromBeat, way.toBeat, way.from, way.to].forEach((found, i) => assert.ok(Math.abs(found - expected[i]) < 1e-9, `${found}`));
  const first = expressionOf(score, 4, 8, 1);
  // A hairpin is closed where it is softest, whatever the marks; half of it is seen.
  near(first.hairpins[0], [4, 8, 0, 0.5]);
  near(first.wedges[0], [4, 8, 0.2, 0.6]);
  assert.deepEqual(first.marks, [{ beat: 4, text: "p", isEnd: false }]);
  const second = expressionOf(score, 8, 12, 1);
  near(second.hairpins[0], [8, 12, 0.5, 1]);
  assert.deepEqual(second.marks, [{ beat: 12, text: "f", isEnd: true }]);
  // The f that is already written is not written again, and others' turns are theirs.
  assert.ok(isPlain(expressionOf(score, 12, 16, 1)));
  assert.ok(isPlain(expressionOf(score, 16, 20, 1)));
  assert.equal(isPlain(expressionOf(score, 16, 20, 2)), false);
});

test("a hairpin over several spans is one, with the marks at its ends; loud is what holds now", async () => {
  const way = (/** @type {string} */ from, /** @type {string} */ to) => ({ length_beats: 4, target: pulses(2), dynamics: { from, to } });
  const { score } = await played([way("p", "mf"), way("mf", "f"), way("f", "p")]);
  const { hairpins, marks } = expressionOf(score, 0, 12, 1);
  assert.deepEqual(hairpins.map(({ fromBeat, toBeat, from, to }) => [fromBeat, toBeat, from, to]), [[0, 8, 0, 1], [8, 12, 1, 0]]);
  assert.deepEqual(marks.map(({ beat, text }) => [beat, text]), [[0, "p"], [8, "f"], [12, "p"]]);
  assert.deepEqual([0, 2, 3.9, 6, 8, 10.5, 13].map((beat) => loudAt(score, beat, 1)), ["p", "mp", "mf", "f", "f", "mp", ""]);
  assert.equal(isShaped(score, 1), true);
  assert.equal(isShaped((await played([{ target: pulses(2) }])).score, 1), false);
});

test("the own loudness is drawn below the loudest of late, without the valleys of the pulses", () => {
  const levels = [-20, -32, -20, -44].map((levelDb, i) => ({ timeUs: i * 0.25e6, levelDb }));
  // Full height is 24 dB; a valley beside a peak is the peak.
  assert.deepEqual(loudnessHeights(levels).map(({ height }) => height), [1, 1, 1, 1]);
  assert.deepEqual(loudnessHeights([{ timeUs: 0, levelDb: -20 }, { timeUs: 1e6, levelDb: -32 }]).map(({ height }) => height), [1, 0.5]);
});

/** A page of elements that remember what they hold. */
function paper() {
  /** @type {Record<string, any>} */
  const elements = {};
  const made = () => ({
    hidden: false,
    textContent: "",
    /** @type {any[]} */
    children: [],
    /** @type {any} */
    parentElement: null,
    append(/** @type {any} */ child) {
      child.parentElement = this;
    },
    replaceChildren(/** @type {any[]} */ ...children) {
      this.children = children;
    },
  });
  return { getElementById: (/** @type {string} */ id) => (elements[id] ??= made()), createElement: made, elements };
}

test("the exercise is open before the music and folded away while it plays", () => {
  const page = paper();
  const exercise = new PlayerExercise(/** @type {any} */ (page));
  exercise.take({ name: "Ease in and out", say: "let the pulses grow", goal: "four beats", cautions: ["stop when light-headed"] });
  const at = (/** @type {string} */ id) => page.getElementById(id);
  assert.deepEqual([at("exercise").hidden, at("exercise-more").hidden, at("exercise-part").hidden], [false, true, true]);
  assert.deepEqual([at("exercise-say").textContent, at("exercise-goal").textContent], ["Let the pulses grow.", "Goal: four beats."]);
  assert.deepEqual(at("exercise-cautions").children.map((/** @type {any} */ c) => c.textContent), ["Stop when light-headed."]);
  assert.equal(at("exercise-block").parentElement, at("exercise"));
  exercise.musicChanged(true);
  assert.deepEqual([at("exercise").hidden, at("exercise-more").hidden], [true, false]);
  assert.equal(at("exercise-block").parentElement, at("exercise-more"));
  exercise.take({ name: "Eighths" });
  assert.equal(at("exercise-more").hidden, true, "a name alone is no more than the title");
  exercise.take(undefined);
  exercise.musicChanged(false);
  assert.equal(at("exercise").hidden, true);
});
