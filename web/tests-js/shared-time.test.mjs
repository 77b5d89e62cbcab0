// The clock and the score through the wasm door.

import assert from "node:assert/strict";
import test from "node:test";
import { scoreNumbers } from "../static/shared-time.js";
import { golden, openTime, SCORE } from "./door-in-node.js";

/** @param {number} actual @param {number} expected @param {number} tolerance */
function near(actual, expected, tolerance) {
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} instead of ${expected}`);
}

test("server time follows the exchange of RFC 5905's definitions", async () => {
  let nowMs = 1020.5;
  const time = await openTime(() => nowMs);
  assert.equal(time.isKnown(), false);
  assert.deepEqual(time.timeQuality(), { word: "unknown", errorMs: NaN, boundMs: NaN });
  // T1 1000.0, T2 1512.5, T3 1513.0, T4 1020.5 ms: offset +502.5 ms, delay 20.0 ms, so at most 10 ms off, and the
  // browser's clock is rounded to 0.1 ms (W3C High Resolution Time).
  time.addExchange(1_000_000, 1_512_500, 1_513_000, 1_020_500);
  assert.equal(time.isKnown(), true);
  near(time.serverNowUs(), 1_523_000, 1);
  near(time.pageMsAt(1_523_000), 1020.5, 0.001);
  const { word, errorMs, boundMs } = time.timeQuality();
  assert.equal(word, "fair");
  near(boundMs, 10, 0.2);
  assert.ok(errorMs <= boundMs);
  nowMs += 10;
  near(time.serverNowUs(), 1_533_000, 2);
});

/**
 * Exchanges from `fromMs` on, one every 250 ms, with a device clock that is 2 s behind and loses 100 ppm; 3 ms there and
 * 3 ms back, and now and then 20 ms more on one way.
 */
function exchange(time, fromMs, nExchanges) {
  for (let i = 0; i < nExchanges; i += 1) {
    const deviceUs = (fromMs + 250 * i) * 1000;
    const serverUs = deviceUs * 1.0001 + 2e6;
    const out = i % 3 === 1 ? 23_000 : 3_000;
    const back = i % 3 === 2 ? 23_000 : 3_000;
    time.addExchange(deviceUs, serverUs + out, serverUs + out, deviceUs + out + back);
  }
}

test("half a minute without network is bridged by the drift learnt", async () => {
  let nowMs = 0;
  const time = await openTime(() => nowMs);
  exchange(time, 1000, 120);
  for (const lateMs of [0, 10_000, 30_000]) {
    nowMs = 31_000 + lateMs;
    near(time.serverNowUs(), nowMs * 1000.1 + 2e6, 500);
    assert.equal(time.timeQuality().word, "good");
  }
});

test("a new connection to the same server keeps the clock, another server begins a new one", async () => {
  let nowMs = 0;
  const time = await openTime(() => nowMs);
  exchange(time, 1000, 120);
  exchange(time, 61_000, 1);
  assert.equal(time.nJumps, 0);
  nowMs = 61_010;
  near(time.serverNowUs(), 61_010 * 1000.1 + 2e6, 500);
  time.addExchange(70_000_000, 5_000, 5_000, 70_000_200);
  assert.equal(time.nJumps, 1);
  nowMs = 70_001;
  near(time.serverNowUs(), 5_900, 200);
});

test("while music plays time nears a better estimate without a step, and steps when nothing plays", async () => {
  let isPlaying = true;
  const time = await openTime(() => 0, () => isPlaying);
  // As many exchanges as a clock may step in, all with 20 ms on the way out, then good ones.
  for (let i = 0; i < 20; i += 1) time.addExchange(i * 1e5, i * 1e5 + 20_000, i * 1e5 + 20_000, i * 1e5 + 20_000);
  const before = time.serverUsAt(2100) - 2_100_000;
  near(before, 10_000, 500);
  time.addExchange(2_100_000, 2_100_100, 2_100_100, 2_100_200);
  near(time.serverUsAt(2100.2) - 2_100_200, before, 20);
  // 0.5 %: 5 ms a second, and at most 500 ppm of drift.
  near(time.serverUsAt(3100.2) - 3_100_200, before - 5_000, 600);
  near(time.pageMsAt(time.serverUsAt(3100.2)), 3100.2, 0.001);
  isPlaying = false;
  time.addExchange(2_200_000, 2_200_100, 2_200_100, 2_200_200);
  near(time.serverUsAt(2200.2) - 2_200_200, 0, 200);
});

test("beats and times are each other's inverse over a change of tempo", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  for (const beat of [-4, -0.5, 0, 7.99, 12, 20.25]) {
    assert.ok(Math.abs(time.beatAt(time.timeOf(beat)) - beat) < 1e-9, `beat ${beat}`);
  }
  assert.equal(time.timeOf(14), 19e6);
  assert.deepEqual([time.spanAt(-1), time.bpmAt(3), time.bpmAt(12)], [-1, 60, 120]);
  assert.deepEqual([time.barLineAt(5), time.barAt(3), time.barAt(4)], [4, 0, 1]);
  assert.deepEqual([0, 1, 2, 3, 4].map((beat) => time.spokenAt(beat)), [1, 2, 3, 4, 0]);
});

test("every kind of span goes through the door as the row of numbers it reads", async () => {
  const { score } = (await golden("player-hears")).find((/** @type {any} */ message) => message.score);
  const [FREE, REST] = [2, 3];
  const spans = (/** @type {number} */ note, /** @type {number} */ cents, /** @type {number} */ turn) => [
    4, 66, NaN, 4, 0, 0, 65, NaN,
    8, 66, 72, 1, 3, NaN, note, cents,
    4, 66, NaN, 3, 0, NaN, NaN, NaN,
    4, 66, NaN, turn, 0, NaN, NaN, NaN,
    NaN, 72, NaN, 0, 0, NaN, NaN, NaN,
  ];
  assert.deepEqual(scoreNumbers(score, 0), [2, 9e6, 4, ...spans(65, NaN, FREE)]);
  assert.deepEqual(scoreNumbers(score, 1), [2, 9e6, 4, ...spans(65, NaN, REST)]);
  assert.deepEqual(scoreNumbers(score, 3), [2, 9e6, 4, ...spans(69, -13.7, FREE)]);
  const time = await openTime(() => 0);
  time.setScore(score);
  assert.deepEqual([0, 4, 12, 16, 20].map((beat) => time.spanAt(beat)), [0, 1, 2, 3, 4]);
});

test("a score the protocol refuses is refused with its reason", async () => {
  const time = await openTime(() => 0);
  assert.throws(() => time.setScore({ ...SCORE, version: 2, spans: [] }), /at least one span/);
});

test("ticks count in on the beat alone, then sound the subdivision", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  const kinds = (fromUs, toUs) => time.ticksBetween(fromUs, toUs).map((tick) => tick.kind);
  assert.deepEqual(kinds(6e6, 10e6), ["bar", "beat", "beat", "beat"]);
  assert.deepEqual(kinds(10e6, 11e6), ["bar", "between", "between"]);
  assert.deepEqual(kinds(0, 6e6), []);
});

test("ticks of windows that meet are neither lost nor doubled", async () => {
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  const whole = time.ticksBetween(6e6, 22e6).map((tick) => tick.timeUs);
  const pieces = [];
  for (let us = 6e6; us < 22e6; us += 40e3) pieces.push(...time.ticksBetween(us, us + 40e3).map((t) => t.timeUs));
  assert.deepEqual(pieces, whole);
  assert.equal(whole.length, 4 + 24 + 8);
});

test("a score that has ended is silent", async () => {
  const time = await openTime(() => 0);
  const short = { ...SCORE, version: 9, spans: [{ length_beats: 4, bpm: 60, target: { kind: "pulses", per_beat: 1 } }] };
  time.setScore(short);
  assert.equal(time.ticksBetween(6e6, 30e6).length, 4);
});
