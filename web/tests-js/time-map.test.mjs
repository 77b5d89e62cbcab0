// Which timestamps are believed, and what offset comes of them.

import assert from "node:assert/strict";
import test from "node:test";
import { AudioClock } from "../static/audio-clock.js";
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

/** A context as browsers have it, begun at 1000 ms of a page's clock that the test moves. */
function stagedContext() {
  const stage = { nowMs: 2000, isFrozen: false, frozenS: 0 };
  const currentTimeS = () => (stage.isFrozen ? stage.frozenS : (stage.nowMs - 1000) / 1000);
  stage.context = {
    get currentTime() {
      return currentTimeS();
    },
    outputLatency: 0.03,
    getOutputTimestamp: () => ({ contextTime: currentTimeS() - 0.04, performanceTime: stage.nowMs - 5 }),
  };
  stage.clock = new AudioClock(stage.context, () => {}, () => stage.nowMs);
  stage.clock.stop();
  stage.look = (times) => {
    for (let i = 0; i < times; i += 1) {
      stage.nowMs += 250;
      stage.clock.look();
    }
  };
  return stage;
}

test("a browser's output timestamp is what the clock goes by", () => {
  const stage = stagedContext();
  stage.look(4);
  assert.equal(stage.clock.map.source(), "output timestamp");
  // What is rendered at a moment is heard 35 ms later: 40 ms of sound are still on their way, as of 5 ms ago.
  assert.ok(Math.abs(stage.clock.offsetMs() - 1035) < 1e-6, `${stage.clock.offsetMs()}`);
  assert.ok(Math.abs(3035 - stage.clock.offsetMs() - 2000) < 1e-6);
  assert.equal(stage.clock.outputLagS(), 0.03);
});

test("a context that stands still is not believed until it runs again", () => {
  const stage = stagedContext();
  stage.look(4);
  stage.frozenS = stage.context.currentTime;
  stage.isFrozen = true;
  stage.look(1);
  assert.equal(stage.clock.offsetMs(), null);
});

/** Looks at a running stage that loses `lostMs` of its time after a while; gives the slips that were told. */
function starved(lostMs, inLooks) {
  const stage = stagedContext();
  const slips = [];
  stage.clock.slipped = (fromS, toS) => slips.push([fromS, toS]);
  stage.look(20);
  const before = stage.clock.offsetMs();
  let lost = 0;
  const running = stage.context.getOutputTimestamp;
  Object.defineProperty(stage.context, "currentTime", { get: () => (stage.nowMs - 1000 - lost) / 1000 });
  stage.context.getOutputTimestamp = () => ({ ...running(), contextTime: stage.context.currentTime - 0.04 });
  for (let i = 0; i < inLooks; i += 1) {
    lost += lostMs / inLooks;
    stage.look(1);
  }
  stage.look(4);
  return { stage, slips, shiftMs: stage.clock.offsetMs() - before };
}

test("a context that loses time is noticed, and its new place known within a second", () => {
  // 230 ms in 4 s: a context on a machine whose cores were all taken (our own measurement).
  for (const [lostMs, inLooks] of [[60, 1], [230, 16]]) {
    const { slips, shiftMs } = starved(lostMs, inLooks);
    assert.ok(Math.abs(shiftMs - lostMs) < 0.5, `${lostMs} ms: ${shiftMs}`);
    assert.ok(slips.length >= 1, "nothing was told");
    // The first look after 20 fitting ones was at 7 s of the page's clock, 6 s of the context's.
    assert.ok(slips[0][0] <= 6 && slips[0][0] > 5.7, `${slips[0]}`);
    assert.ok(slips[slips.length - 1][1] >= 6 + inLooks * 0.25 - (lostMs / 1000) - 0.001, `${slips}`);
  }
});

test("two clocks that drift apart by 100 ppm are not a context that slips", () => {
  const map = new TimeMap();
  for (let nowMs = 5000; nowMs < 605_000; nowMs += 250) {
    const pair = honest(nowMs);
    const driftMs = (nowMs - 1000) * 1e-4;
    const fit = map.add({ ...pair, performanceTimeMs: pair.performanceTimeMs + driftMs, nowMs: nowMs + driftMs });
    assert.equal(fit, "steady");
  }
  // Half of the window's five seconds behind, 0.25 ms.
  assert.ok(Math.abs(map.offsetMs() - (1000 + 60.4)) < 0.5, `${map.offsetMs()}`);
});

test("where only the current time is known, the way out that the engine tells comes on top", () => {
  const stage = stagedContext();
  delete stage.context.getOutputTimestamp;
  stage.look(4);
  assert.equal(stage.clock.map.source(), "current time");
  assert.ok(Math.abs(stage.clock.offsetMs() - 1030) < 1e-6, `${stage.clock.offsetMs()}`);
  stage.context.outputLatency = 7;
  assert.equal(stage.clock.outputLagS(), 0.5, "more than half a second is not believed");
});
