// Which timestamps are believed, and what offset comes of them.

import assert from "node:assert/strict";
import test from "node:test";
import { isSane, TimeMap } from "../static/time-map.js";

/** A look at a context that began at 1000 ms of the page's clock, heard 20 ms after it is rendered. */
const honest = (nowMs) => {
  const currentTimeS = Math.floor((nowMs - 1000) / 2.9) * 0.0029;
  return { nowMs, currentTimeS, contextTimeS: currentTimeS - 0.02, performanceTimeMs: 1000 + (currentTimeS - 0.02) * 1000 };
};

test("a timestamp of the near past is believed", () => {
  assert.equal(isSane(honest(5000)), true);
});

test("a timestamp two seconds ahead, a stale one and an empty one are not", () => {
  const pair = honest(5000);
  assert.equal(isSane({ ...pair, performanceTimeMs: 7070 }), false);
  assert.equal(isSane({ ...pair, performanceTimeMs: 4600 }), false);
  assert.equal(isSane({ ...pair, contextTimeS: pair.currentTimeS - 0.6 }), false);
  assert.equal(isSane({ ...pair, contextTimeS: 0, performanceTimeMs: 0 }), false);
  assert.equal(isSane({ nowMs: 5000, currentTimeS: 4 }), false);
});

test("good timestamps give the context's beginning", () => {
  const map = new TimeMap();
  for (let nowMs = 5000; nowMs < 8000; nowMs += 250) map.add(honest(nowMs));
  assert.equal(map.source(), "output timestamp");
  assert.ok(Math.abs(map.offsetMs() - 1000) < 0.001, `${map.offsetMs()}`);
});

test("one stray timestamp moves nothing", () => {
  const map = new TimeMap();
  for (let nowMs = 5000; nowMs < 8000; nowMs += 250) map.add(honest(nowMs));
  const stray = honest(8000);
  map.add({ ...stray, performanceTimeMs: stray.performanceTimeMs - 120 });
  assert.ok(Math.abs(map.offsetMs() - 1000) < 0.001, `${map.offsetMs()}`);
});

test("without timestamps the steps of the current time give it within a block", () => {
  const map = new TimeMap();
  for (let nowMs = 5000; nowMs < 10_000; nowMs += 251.7) map.add({ nowMs, currentTimeS: honest(nowMs).currentTimeS });
  assert.equal(map.source(), "current time");
  assert.ok(map.offsetMs() >= 1000 && map.offsetMs() < 1002.9, `${map.offsetMs()}`);
});

test("a source that turns to nonsense is left within seconds", () => {
  const map = new TimeMap();
  for (let nowMs = 5000; nowMs < 8000; nowMs += 250) map.add(honest(nowMs));
  for (let nowMs = 8000; nowMs < 13_000; nowMs += 250) map.add({ ...honest(nowMs), performanceTimeMs: nowMs + 2070 });
  assert.equal(map.source(), "current time");
});

test("nothing is known before the first look and after an interruption", () => {
  const map = new TimeMap();
  assert.equal(map.offsetMs(), null);
  map.add(honest(5000));
  map.clear();
  assert.equal(map.offsetMs(), null);
  map.add({ nowMs: NaN, currentTimeS: 1 });
  assert.equal(map.offsetMs(), null);
});
