// What is said of sound that was taken in while the audio context fell behind.

import assert from "node:assert/strict";
import test from "node:test";
import { InvalidStretches } from "../static/invalid-stretches.js";

const RATE = 48_000;
/** Frame nought lies at server time nought. */
const frameAt = (timeUs) => (timeUs * RATE) / 1e6;
const reading = (timeS) => ({ type: "reading", time_us: timeS * 1e6, trusted: true, trust: 0.9 });
const pulses = (...timesS) => ({ type: "pulses", seq: 7, pulses: timesS.map((s) => ({ time_us: s * 1e6 })) });

/** Behind from 10 s to 12 s. */
function stretches() {
  const invalid = new InvalidStretches(RATE);
  invalid.add(10 * RATE, 12 * RATE);
  return invalid;
}

test("a reading within speaks for nobody, those around it are untouched", () => {
  const invalid = stretches();
  assert.equal(invalid.admit(reading(11), frameAt).trusted, false);
  assert.equal(invalid.admit(reading(11), frameAt).trust, 0.9);
  for (const timeS of [9, 13]) assert.deepEqual(invalid.admit(reading(timeS), frameAt), reading(timeS));
});

test("pulses within are not sent, their neighbours are, an empty batch is not", () => {
  const invalid = stretches();
  assert.deepEqual(invalid.admit(pulses(9.5, 10.2, 11.9, 12.5), frameAt), pulses(9.5, 12.5));
  assert.equal(invalid.admit(pulses(10.5, 11), frameAt), null);
  assert.deepEqual(invalid.admit(pulses(12.5), frameAt), pulses(12.5));
});

test("a stretch reaches to the looks before and after it", () => {
  const invalid = stretches();
  assert.equal(invalid.holds(9.8 * RATE), true);
  assert.equal(invalid.holds(12.2 * RATE), true);
  assert.equal(invalid.holds(9.7 * RATE), false);
  assert.equal(invalid.holds(12.3 * RATE), false);
});

test("stretches that touch become one, and none is for ever in the way", () => {
  const invalid = stretches();
  invalid.add(12.1 * RATE, 13 * RATE);
  assert.equal(invalid.stretches.length, 1);
  assert.equal(invalid.holds(12.9 * RATE), true);
  for (let s = 20; s < 120; s += 1) invalid.add(s * RATE, s * RATE);
  assert.ok(invalid.stretches.length <= 32);
  invalid.add(NaN, 5);
  assert.equal(invalid.holds(5), false);
});

test("messages that say no time of sound pass", () => {
  const span = { type: "span-result", seq: 3, n_pulses: 4 };
  assert.equal(stretches().admit(span, frameAt), span);
});
