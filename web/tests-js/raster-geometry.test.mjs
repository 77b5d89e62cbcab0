// Pages, rules, marks, floors and densities of the raster, with the protocol's own score behind them.

import assert from "node:assert/strict";
import test from "node:test";
import * as geometry from "../static/raster-geometry.js";
import { openTime, SCORE } from "./door-in-node.js";

const time = await openTime(() => 0);
time.setScore(SCORE);

test("the present bar is the page's last, and the page turns at the bar line", () => {
  const at = (beat) => geometry.pageStart(time.barLineAt(beat), 4, 2);
  assert.equal(at(4), 0);
  assert.equal(at(7.999), 0);
  assert.equal(at(8), 4);
  assert.equal(at(3.5), -4);
  assert.equal(geometry.pageStart(0, 4, 2, 0), 0, "never before the count-in");
});

test("rules are bars, beats and the subdivision of the span they stand in", () => {
  const rules = geometry.rulesBetween(SCORE, time, 7, 9);
  assert.deepEqual(
    rules.map((rule) => [Number(rule.beat.toFixed(3)), rule.kind]),
    [
      [7, "beat"],
      [7.333, "subdivision"],
      [7.667, "subdivision"],
      [8, "bar"],
      [8.333, "subdivision"],
      [8.667, "subdivision"],
      [9, "beat"],
    ],
  );
});

test("count-in and straight spans have no subdivision", () => {
  const kinds = (from, to) => geometry.rulesBetween(SCORE, time, from, to).map((rule) => rule.kind);
  assert.deepEqual(kinds(0, 3), ["bar", "beat", "beat", "beat"]);
  assert.deepEqual(kinds(12, 15), ["bar", "beat", "beat", "beat"]);
});

test("the offset from the tick is signed, in time, and absent where no pulses are asked", () => {
  const near = (value, expected) => assert.ok(Math.abs(value - expected) < 1e-9, `${value} is not ${expected}`);
  near(geometry.offsetFromTickS(SCORE, time, 10e6 + 80e3), 0.08);
  near(geometry.offsetFromTickS(SCORE, time, 11e6 - 30e3), -0.03);
  near(geometry.offsetFromTickS(SCORE, time, 10e6 + 1e6 / 3 + 10e3), 0.01);
  assert.equal(geometry.offsetFromTickS(SCORE, time, 19e6), null);
});

test("a mark's height is linear in dB up to a full lane", () => {
  assert.deepEqual(geometry.markHeight(8, 48), { height: 24, isClipped: false });
  assert.deepEqual(geometry.markHeight(16, 48), { height: 48, isClipped: false });
  assert.deepEqual(geometry.markHeight(20, 48), { height: 48, isClipped: true });
  assert.equal(geometry.markHeight(0, 48).height, 1, "the shallowest pulse is still seen");
});

test("the floor stands while the tone sounds and is left out in a rest", () => {
  const heard = [1e6, 1.2e6, 1.4e6, 3e6, 3.2e6];
  assert.deepEqual(geometry.floorStretches(heard, []), [
    [1e6, 1.4e6],
    [3e6, 3.2e6],
  ]);
});

test("a choked valley breaks the floor between its two pulses", () => {
  const pulses = [
    { time_us: 1e6, choked: false },
    { time_us: 1.3e6, choked: true },
    { time_us: 1.6e6, choked: false },
  ];
  const stretches = geometry.floorStretches([], pulses);
  assert.equal(stretches.length, 2);
  assert.ok(stretches[0][1] < 1.15e6 && stretches[1][0] > 1.15e6, JSON.stringify(stretches));
  assert.equal(stretches[1][1], 1.6e6);
});

test("pulses at one moment pile up in the density, pulses apart do not", () => {
  const together = geometry.density([1, 1, 1], 0.9, 1.1, 201);
  const apart = geometry.density([0.95, 1, 1.05], 0.9, 1.1, 201);
  assert.ok(Math.abs(Math.max(...together) - 3) < 1e-6);
  assert.ok(Math.max(...apart) < 1.01);
  assert.equal(Math.max(...geometry.density([5], 0.9, 1.1, 201)), 0);
});

test("lanes share the height, stand in two columns where one is too low, and never grow over the roomy height", () => {
  const { lanePlaces } = geometry;
  assert.deepEqual(lanePlaces(392, 8, 64, true), { nColumns: 1, nRows: 8, laneHeight: 49 });
  assert.deepEqual(lanePlaces(392, 2, 64, true), { nColumns: 1, nRows: 2, laneHeight: 64 });
  assert.deepEqual(lanePlaces(392, 40, 64, false), { nColumns: 1, nRows: 40, laneHeight: 28 });
  assert.deepEqual(lanePlaces(480, 40, 64, true), { nColumns: 2, nRows: 20, laneHeight: 24 });
  assert.deepEqual(lanePlaces(480, 39, 64, true).nRows, 20);
  assert.deepEqual(lanePlaces(300, 60, 64, true).laneHeight, 18, "the rest scrolls");
  assert.deepEqual(lanePlaces(480, 14, 64, true, 1.25), { nColumns: 2, nRows: 7, laneHeight: 64 }, "larger type needs higher lanes");
});
