// The rehearsal's strip and a run played again: paths of fields, bars and pages, what stood when, the playhead.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import "./english.js";
import * as fields from "../static/results-fields.js";
import { fieldTowards } from "../static/results-strip.js";
import { barAt, barsOf, centreAt, pageOf, Playhead, standingAt, stateAt } from "../static/results-time.js";

const golden = (name) => JSON.parse(readFileSync(new URL(`../protocol/golden/${name}.json`, import.meta.url), "utf8"))[0];

/** A bar of four at 60, triplets. */
const BAR = { from_ms: 4000, to_ms: 8000, ticks: Array.from({ length: 12 }, (_, i) => [4000 + (i * 1000) / 3, i === 0 ? 0 : i % 3 === 0 ? 1 : 2]) };
const lane = (marks, heard_ms = []) => ({ marks, heard_ms });
/** The boxes of a path of marks: left, height, width. */
const boxes = (d) => [...d.matchAll(/M([\d.]+) [\d.]+v-([\d.]+)h([\d.]+)/g)].map((m) => m.slice(1).map(Number));

test("a mark stands over its moment, as high as its depth, a full field is 16 dB", () => {
  const [[left, high, wide]] = boxes(fields.fieldPaths(lane([[6000, 8, 10, 0]]), BAR).own);
  assert.ok(Math.abs(left + wide / 2 - fields.FIELD_WIDTH / 2) < 0.11, "the middle of the bar is the middle of the field");
  assert.equal(high, (fields.FIELD_HEIGHT - 2) / 2);
  const deep = boxes(fields.fieldPaths(lane([[6000, 40, 10, 0]]), BAR).own)[0];
  assert.equal(deep[1], fields.FIELD_HEIGHT - 2, "deeper ones end at the top");
});

test("marks never touch, however many there are", () => {
  for (const n of [1, 12, 48, 96]) {
    const marks = Array.from({ length: n }, (_, i) => [4000 + ((i + 0.5) * 4000) / n, 6, 0, 0]);
    const all = boxes(fields.fieldPaths(lane(marks), BAR).own);
    assert.equal(all.length, n);
    all.slice(1).forEach(([left], i) => assert.ok(left >= all[i][0] + all[i][2] - 0.11, `${n} marks`));
    all.forEach(([left, , wide]) => assert.ok(left >= 0 && left + wide <= fields.FIELD_WIDTH + 0.11));
  }
});

test("what may be a neighbour's is hollow, a choked valley breaks the floor", () => {
  const paths = fields.fieldPaths(lane([[5000, 6, 0, fields.NOT_OWN], [6000, 6, 0, 0]], [5900, 6100]), BAR);
  assert.deepEqual([boxes(paths.own).length, boxes(paths.hollow).length], [1, 1]);
  const floor = (kind) => fields.floors(lane([[5000, 6, 0, 0], [5400, 6, 0, kind]], [4900, 5200, 5500]));
  assert.deepEqual(floor(0), [[4900, 5500]]);
  assert.deepEqual(floor(fields.CHOKED).length, 2);
  assert.deepEqual(fields.floors(lane([])), [], "who is silent has no floor");
});

test("rules of a field are its beats", () => {
  assert.equal(fields.fieldPaths(lane([]), BAR).ticks.split("M").length - 1, 4);
});

test("the fold is highest where all are at one moment, in the middle where they are on the tick", () => {
  const top = (fold) => Math.min(...[...fields.foldPath(fold).matchAll(/L[\d.]+ ([\d.]+)/g)].map((m) => Number(m[1])));
  const fold = (counts) => Array.from({ length: 49 }, (_, i) => counts[i - 24] ?? 0);
  assert.equal(top(fold({ 0: 40 })), 1);
  assert.ok(top(fold({ "-6": 20, 6: 20 })) > 14, "two camps 60 ms apart are half as high");
  assert.equal(fields.foldPath(fold({})), "");
  assert.equal(fields.foldPath(golden("review").runs[0].fold).startsWith("M0 31L0 "), true);
});

test("arrow keys go to the next field there is", () => {
  const grid = [
    ["a1", null, "a3"],
    ["b1", "b2", null],
  ];
  const to = (from, key) => fieldTowards(grid, from, key);
  assert.deepEqual(
    [to("a1", "ArrowRight"), to("a3", "ArrowLeft"), to("a1", "ArrowDown"), to("b2", "ArrowUp"), to("a1", "ArrowUp"), to("b1", "End"), to("a3", "Home")],
    ["a3", "a1", "b1", null, null, "b2", "a1"],
  );
  assert.equal(to("a1", "x"), null);
});

const TICKS = Array.from({ length: 10 }, (_, i) => [i * 1000, i % 4 === 0 ? 0 : 1]);

test("bars go from line to line, the last one to the end", () => {
  const bars = barsOf(TICKS, 3, 9500);
  assert.deepEqual(
    bars.map((bar) => [bar.number, bar.fromMs, bar.toMs]),
    [[3, 0, 4000], [4, 4000, 8000], [5, 8000, 9500]],
  );
  assert.deepEqual([0, 3999, 4000, 9500, 20_000].map((ms) => barAt(bars, ms)), [0, 0, 1, 2, 2]);
  assert.deepEqual(barsOf([], 1, 0), [{ number: 1, fromMs: 0, toMs: 0 }]);
  // A run that begins within a bar.
  assert.deepEqual(barsOf([[0, 1], [1000, 0]], 0, 3000).map((bar) => bar.fromMs), [0, 1000]);
});

test("a page is full of bars, the last one keeps their width", () => {
  const bars = barsOf(TICKS, 1, 9500);
  const first = pageOf(bars, 1, 2);
  assert.deepEqual([first.first, first.fromMs, first.toMs, first.bars.length], [0, 0, 8000, 2]);
  const last = pageOf(bars, 2, 2);
  assert.deepEqual([last.first, last.fromMs, last.toMs, last.bars.length], [2, 8000, 16_000, 1]);
});

test("before there can be a verdict a run played again has none", () => {
  const states = [[0, "not-heard"], [4000, "fast"], [9000, "not-heard"]];
  assert.deepEqual([-1, 0, 3999, 4000, 9500].map((ms) => stateAt(states, ms)), [null, null, null, "fast", "not-heard"]);
  assert.equal(stateAt([[0, "not-heard"]], 500), "not-heard", "never heard at all");
  assert.equal(stateAt([], 500), "not-heard");
});

test("what stood at a moment stands until the next, a centre for a while", () => {
  const { states, centres } = golden("replay").lanes[0];
  assert.deepEqual([standingAt(states, -1), standingAt(states, 100), standingAt(states, 9000)], [null, "not-heard", "matched"]);
  assert.deepEqual([centreAt(centres, 200), centreAt(centres, 400), centreAt(centres, 1900)], [null, -2, null]);
});

test("the playhead keeps the music's time, halves it, stops at the end and begins anew", () => {
  let now = 0;
  const head = new Playhead(() => now);
  head.lastsMs = 9500;
  head.play();
  now = 3000;
  assert.equal(head.ms, 3000);
  head.setSpeed(0.5);
  now = 5000;
  assert.equal(head.ms, 4000);
  head.pause();
  now = 60_000;
  assert.equal(head.ms, 4000);
  head.setSpeed(1);
  head.play();
  now = 80_000;
  assert.deepEqual([head.ms, head.isAtEnd], [9500, true]);
  head.pause();
  head.play();
  assert.equal(head.ms, 0);
});

test("a jump goes to bar lines: back to the present one, at once again to the one before", () => {
  let now = 0;
  const head = new Playhead(() => now);
  const bars = barsOf(TICKS, 1, 9500);
  head.lastsMs = 9500;
  head.jump(bars, 1);
  assert.equal(head.ms, 4000);
  head.jump(bars, -1);
  assert.equal(head.ms, 0);
  head.jump(bars, -1);
  assert.equal(head.ms, 0);
  head.seek(6000);
  head.jump(bars, -1);
  assert.equal(head.ms, 4000);
  head.play();
  now = 300;
  head.jump(bars, -1);
  assert.equal(head.ms, 0, "pressed twice while it plays");
  head.seek(8500);
  head.jump(bars, 1);
  assert.equal(head.ms, 9500);
});
