// The clock and the score through the wasm door.

import assert from "node:assert/strict";
import test from "node:test";
import { ticksBetween } from "../static/tick.js";
import { scoreNumbers } from "../static/shared-time.js";
import { golden, openTime, SCORE } from "./door-in-node.js";

test("server time follows the exchange of RFC 5905's definitions", async () => {
  let nowMs = 1020.5;
  const time = await openTime(() => nowMs);
  assert.equal(time.isKnown(), false);
  // T1 1000.0, T2 1512.5, T3 1513.0, T4 1020.5 ms: offset +502.5 ms.
  time.addExchange(1_000_000, 1_512_500, 1_513_000, 1_020_500);
  assert.equal(time.isKnown(), true);
  assert.equal(time.serverNowUs(), 1_523_000);
  assert.equal(time.pageMsAt(1_523_000), 1020.5);
  nowMs += 10;
  assert.equal(time.serverNowUs(), 1_533_000);
  time.forgetClock();
  assert.equal(time.isKnown(), false);
});

test("beats and times are each other's inverse over a change of tempo", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  assert.equal(time.firstBeat(), -4);
  for (const beat of [-4, -0.5, 0, 7.99, 8, 20.25]) {
    assert.ok(Math.abs(time.beatAt(time.timeOf(beat)) - beat) < 1e-9, `beat ${beat}`);
  }
  assert.equal(time.timeOf(10), 19e6);
  assert.equal(time.spanAt(-1), -1);
});

test("every kind of span goes through the door as the row of numbers it reads", async () => {
  const { score } = (await golden("player-hears")).find((/** @type {any} */ message) => message.score);
  assert.deepEqual(scoreNumbers(score), [
    2, 9e6, 4, 1,
    8, 66, 1, 3,
    4, 66, 3, 0,
    4, 66, 2, 0,
    -1, 72, 0, 0,
  ]);
  const time = await openTime(() => 0);
  time.setScore(score);
  assert.deepEqual([0, 8, 12, 16].map((beat) => time.spanAt(beat)), [0, 1, 2, 3]);
});

test("a score the protocol refuses is refused with its reason", async () => {
  const time = await openTime(() => 0);
  assert.throws(() => time.setScore({ ...SCORE, version: 2, spans: [] }), /at least one span/);
});

test("ticks count in on the beat alone, then sound the subdivision", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  const kinds = (fromUs, toUs) => ticksBetween(SCORE, time, fromUs, toUs).map((tick) => tick.kind);
  assert.deepEqual(kinds(6e6, 10e6), ["bar", "beat", "beat", "beat"]);
  assert.deepEqual(kinds(10e6, 11e6), ["bar", "between", "between"]);
  assert.deepEqual(kinds(0, 6e6), []);
});

test("ticks of windows that meet are neither lost nor doubled", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  const whole = ticksBetween(SCORE, time, 6e6, 22e6).map((tick) => tick.timeUs);
  const pieces = [];
  for (let us = 6e6; us < 22e6; us += 40e3) pieces.push(...ticksBetween(SCORE, time, us, us + 40e3).map((t) => t.timeUs));
  assert.deepEqual(pieces, whole);
  assert.equal(whole.length, 4 + 24 + 8);
});

test("a score that has ended is silent", async () => {
  const time = await openTime(() => 0);
  const short = { ...SCORE, version: 9, spans: [{ length_beats: 4, bpm: 60, target: { kind: "pulses", per_beat: 1 } }] };
  time.setScore(short);
  assert.equal(ticksBetween(short, time, 10e6, 30e6).length, 4);
});
