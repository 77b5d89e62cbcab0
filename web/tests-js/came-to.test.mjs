// What a stretch of playing came to: which word and which number, when it stands there and when it goes. Pulses are made by formula.

import assert from "node:assert/strict";
import test from "node:test";
import "./english.js";
import { Announcer } from "../static/announcer.js";
import { CameTo } from "../static/came-to.js";
import { cameToWords } from "../static/came-to-words.js";
import { openTime } from "./door-in-node.js";
import { speak } from "./english.js";

const TRIPLETS = { kind: "pulses", per_beat: 3 };
const REST = { kind: "rest" };
const COUNT = { kind: "count-in" };

/**
 * Plays a score at 60, a beat a second, and looks five times a second, as the page does.
 * @param {any[]} spans
 * @param {object} how
 * @param {(s: number) => string} [how.state] the room's word at a second
 * @param {(s: number) => boolean} [how.isListening]
 * @param {any[]} [how.pulses] time in s, depth in dB
 * @param {any[]} [how.results] span results, each told two seconds after its span's end
 * @param {{ s: number, db: number }[]} [how.levels]
 * @param {number} [how.untilS] where the music is stopped by hand
 * @param {number} [how.chair]
 */
async function play(spans, how = {}) {
  const { state = () => "matched", isListening = () => true, pulses = [], results = [], levels = [], chair = 1 } = how;
  const time = await openTime(() => 0);
  const score = /** @type {any} */ ({ version: 1, start_us: 0, beats_per_bar: 4, spans: spans.map((span) => ({ bpm: 60, ...span })) });
  time.setScore(score);
  const cameTo = new CameTo();
  const length = spans.reduce((sum, span) => sum + (span.length_beats ?? Infinity), 0);
  const { untilS = Infinity } = how;
  const ends = score.spans.map((/** @type {any} */ _, /** @type {number} */ i) =>
    score.spans.slice(0, i + 1).reduce((/** @type {number} */ sum, /** @type {any} */ span) => sum + (span.length_beats ?? 0), 0),
  );
  /** @type {[number, ReturnType<typeof cameToWords> | null][]} what stood there, from which second on */
  const stood = [];
  let isStopped = false;
  for (let s = 0.1; s < Math.min(length, untilS) + 12; s += 0.2) {
    const us = s * 1e6;
    const passed = (/** @type {number} */ at) => at > s - 0.2 && at <= s;
    if (s > untilS && !isStopped) {
      isStopped = true;
      cameTo.musicChanges(null, us);
    }
    for (const [at, depth, choked] of pulses) {
      if (passed(at + 0.4)) cameTo.take({ type: "pulses", pulses: [{ time_us: at * 1e6, depth_db: depth, choked: choked === true }] }, time, 0);
    }
    for (const level of levels) {
      if (passed(level.s)) cameTo.take({ type: "reading", time_us: level.s * 1e6, trusted: true, hearing: "pulsed", level_db: level.db }, time, 0);
    }
    for (const result of results) {
      if (passed(Math.min(ends[result.span_idx], untilS) + 1.7)) cameTo.take({ type: "span-result", ...result }, time, 0);
    }
    const music = isStopped || s > length + 2 ? null : score;
    cameTo.look({ us, score: music, time, chair, state: state(s), isListening: isListening(s) });
    const words = cameTo.outcome ? cameToWords(cameTo.outcome, false) : null;
    if (stood[stood.length - 1]?.[1]?.sentence !== words?.sentence) stood.push([s, words]);
  }
  return stood;
}

/** @param {number} fromS @param {number} toS @param {number} rateHz @param {number} [lateS] */
function evenPulses(fromS, toS, rateHz, lateS = 0) {
  const n = Math.round((toS - fromS) * rateHz);
  return Array.from({ length: n }, (_, i) => [fromS + i / rateHz + lateS, 8]);
}

const [COUNTED, PLAYED] = [{ length_beats: 4, target: COUNT }, { length_beats: 8, target: TRIPLETS }];

test("who was with the beat reads how many ticks were met, once the span's result can be there", async () => {
  const pulses = evenPulses(4, 12, 3, 0.02);
  // Five are so late that they fall out of their slots.
  for (const i of [3, 8, 11, 17, 22]) pulses[i][0] += 0.08;
  const stood = await play([COUNTED, PLAYED, { length_beats: 8, target: REST }], { pulses });
  const [[from, words]] = stood;
  assert.ok(from > 13.5 && from < 15, `${from}`);
  assert.deepEqual(words, {
    number: "19",
    unit: "of 24 on the tick",
    about: "Triplets at 60",
    sentence: "You were with the beat. Keep the air just like this.",
    shape: "matched",
  });
});

test("the fault that lasted longest is told with its own number, whatever is said of the first beats", async () => {
  const state = (/** @type {number} */ s) => (s < 6 ? "slow" : s < 10 ? "fast" : "matched");
  const results = [{ span_idx: 1, n_pulses: 26, pulse_rate_hz: 3.24, depth_db_pp: 8, centre_cents: 3 }];
  const [[, words]] = await play([COUNTED, PLAYED, { length_beats: 8, target: REST }], { state, results });
  assert.deepEqual([words?.number, words?.unit, words?.shape], ["3.2", "to the beat, 3 asked", "fast"]);
  assert.equal(words?.sentence, "Next time wait for the tick before each pulse.");
});

test("each state that can be acted on has one sentence of two lines and a number, in both languages", async () => {
  const result = {
    span_idx: 1, n_pulses: 20, pulse_rate_hz: 3.24, depth_db_pp: 2.14, swing_cents_pp: 61.2, centre_cents: -31.4, evenness_cv: 0.121, timing_ms: 60,
  };
  const numbers = {
    slow: "3.2", fast: "3.2", early: "0", late: "0", sharp: "−31", flat: "−31", "drifting-sharp": "−31", "drifting-flat": "−31", shallow: "2.1",
    "choked-valleys": "7", "pitch-led": "61", uneven: "12", straight: "20",
  };
  const pulses = evenPulses(4.17, 11, 3).map(([s, db], i) => [s, db, i < 7]);
  for (const [state, number] of Object.entries(numbers)) {
    const how = { state: () => state, results: [result], pulses };
    const [[, words]] = await play([COUNTED, PLAYED, { length_beats: 8, target: REST }], how);
    assert.equal(words?.number, number, state);
    assert.equal(words?.shape, state);
    assert.notEqual(words?.unit, "");
    // A line of 342 px takes about 28 signs of 24 px type, or 34 of 20 px.
    assert.ok((words?.sentence.length ?? 99) <= 56, words?.sentence);
    speak("de", "de");
    const [[, german]] = await play([COUNTED, PLAYED, { length_beats: 8, target: REST }], how);
    assert.ok((german?.sentence.length ?? 99) <= 60, german?.sentence);
    assert.notEqual(german?.sentence, words?.sentence);
    speak("en", "en-GB");
  }
});

test("a straight tone is told in cents, and pulses in it by their size", async () => {
  const spans = [COUNTED, { length_beats: 8, target: { kind: "straight" } }, { length_beats: 8, target: REST }];
  const results = [{ span_idx: 1, n_pulses: 0, centre_cents: 12.3 }];
  const [[, matched]] = await play(spans, { results });
  assert.deepEqual([matched?.number, matched?.unit, matched?.sentence], ["+12", "cents", "A steady, even tone. Keep it just like this."]);
  const wobble = [{ span_idx: 1, n_pulses: 20, depth_db_pp: 5 }];
  const [[, uneven]] = await play(spans, { results: wobble, state: () => "uneven" });
  assert.deepEqual([uneven?.number, uneven?.unit, uneven?.sentence], ["5", "dB of pulse", "This one is straight: let the air flow on."]);
});

test("what could not be heard is said so, with what to do, and never as silence", async () => {
  const spans = [COUNTED, PLAYED, { length_beats: 8, target: REST }];
  const said = async (/** @type {any} */ how) => (await play(spans, how))[0]?.[1];
  const blended = await said({ state: () => "blended" });
  assert.deepEqual([blended?.number, blended?.sentence], ["blended", "Others were as loud here: move the device closer."]);
  const unheard = await said({ state: () => "not-heard" });
  assert.deepEqual([unheard?.number, unheard?.sentence], ["not heard", "Put the device nearer to you, then play on."]);
  const interrupted = await said({ state: () => "not-heard", isListening: (/** @type {number} */ s) => s < 6 });
  assert.deepEqual([interrupted?.number, interrupted?.sentence], ["not measured", "The sound was interrupted, so this was not measured."]);
  assert.equal(await said({ state: () => "resting" }), undefined, "who rested is told nothing");
  const lost = await said({ state: () => "unknown", pulses: evenPulses(4, 12, 3), results: [{ span_idx: 1, n_pulses: 24, pulse_rate_hz: 3 }] });
  assert.deepEqual([lost?.number, lost?.unit], ["3.0", "to the beat, 3 asked"]);
  assert.match(lost?.sentence ?? "", /out of the room’s reach/);
});

test("growing is told in beats: little by little, or switched on", async () => {
  const spans = [COUNTED, { length_beats: 8, target: TRIPLETS, ease: { from: 0, to: 1 } }, { length_beats: 8, target: REST }];
  // A straight way from nothing to 10 dB over six of the eight beats; the first pulse that is found has 2 dB.
  const grown = evenPulses(4, 12, 3).map(([s]) => [s, Math.min(((s - 4) / 6) * 10, 10)]).filter(([, db]) => db >= 2);
  const [[, words]] = await play(spans, { pulses: grown });
  assert.deepEqual([words?.number, words?.unit], ["6", "of 8 beats of growing"]);
  assert.equal(words?.sentence, "It grew little by little. Keep it as calm as that.");
  const switched = evenPulses(6, 12, 3).map(([s]) => [s, 10]);
  const [[, abrupt]] = await play(spans, { pulses: switched });
  assert.deepEqual([abrupt?.number, abrupt?.sentence], ["0", "Let it grow more slowly, over all 8 beats."]);
});

test("a hairpin is told by where its loudest moment was", async () => {
  const half = (/** @type {string} */ from, /** @type {string} */ to) => ({ length_beats: 8, target: { kind: "free" }, dynamics: { from, to } });
  const spans = [COUNTED, half("p", "f"), half("f", "p"), { length_beats: 8, target: REST }];
  // A tent of 12 dB with its top at a beat of the hairpin, ten readings a second.
  const tent = (/** @type {number} */ top, /** @type {number} */ db) =>
    Array.from({ length: 160 }, (_, i) => ({ s: 4 + i / 10, db: -30 + db * (1 - Math.abs(i / 10 - top) / 16) }));
  const said = async (/** @type {number} */ top, db = 24) => {
    const words = (await play(spans, { levels: tent(top, db) }))[0][1];
    return [words?.number, words?.unit, words?.sentence];
  };
  assert.deepEqual(await said(8.4), ["beat 9", "was loudest, written is 9", "It turned where it is written. Keep that line."]);
  assert.deepEqual(await said(5.5), ["beat 6", "was loudest, written is 9", "Save some air: the loudest moment is on beat 9."]);
  assert.deepEqual(await said(11.2), ["beat 12", "was loudest, written is 9", "Come down sooner: the loudest moment is on beat 9."]);
  assert.equal((await said(8, 3))[2], "Begin softer, so that there is room to grow.");
});

test("it stays until the next is counted in, and at least long enough to be read", async () => {
  const counted = await play([COUNTED, PLAYED, { length_beats: 4, target: REST }, COUNTED, PLAYED]);
  assert.deepEqual(counted.map(([, words]) => words !== null), [true, false, true]);
  assert.ok(Math.abs(counted[1][0] - 16.1) < 0.3, `${counted[1][0]}`);
  // A rest of a bar, then at once on: it stands its five seconds.
  const onwards = await play([COUNTED, PLAYED, { length_beats: 4, target: REST }, { ...PLAYED, length_beats: 12 }]);
  assert.ok(onwards[1][0] - onwards[0][0] >= 5 && onwards[1][0] < 20, `${onwards[1][0]}`);
  // Another's turn: gone a bar before the own one.
  const turn = (/** @type {number} */ chair) => ({ ...PLAYED, turn: [chair] });
  const turns = await play([COUNTED, turn(1), turn(2), turn(3), turn(1)]);
  assert.ok(Math.abs(turns[1][0] - 24) < 0.4, `${turns[1][0]}`);
});

test("what was stopped by hand is told as far as it was played, and nothing of a false start", async () => {
  const endless = [COUNTED, { target: TRIPLETS }];
  const [[, words]] = await play(endless, { untilS: 9, pulses: evenPulses(4, 9, 3) });
  // The last look before lies at 8.9 s: so many ticks were surely asked.
  assert.deepEqual([words?.number, words?.unit], ["14", "of 14 on the tick"]);
  assert.deepEqual(await play(endless, { untilS: 5.5, pulses: evenPulses(4, 5.5, 3) }), []);
});

test("a screen reader hears the newest sentence, once a bar at most", () => {
  const announcer = new Announcer();
  assert.equal(announcer.next("Listen.", 0, 4000), "Listen.");
  assert.equal(announcer.next("Wait for the tick.", 1000, 4000), null);
  assert.equal(announcer.next("A touch low.", 3900, 4000), null);
  assert.equal(announcer.next("A touch low.", 4000, 4000), "A touch low.");
  assert.equal(announcer.next("A touch low.", 9000, 4000), null);
  assert.equal(announcer.next("", 9000, 4000), null);
  // A bar of a second is no time to listen.
  assert.equal(announcer.next("Again.", 10_000, 1000), "Again.");
  assert.equal(announcer.next("More.", 11_500, 1000), null);
});
