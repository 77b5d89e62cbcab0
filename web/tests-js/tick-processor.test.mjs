// The audio thread's tick: clicks at their frames, whatever the page does. A click is one sample here, so that its frame
// can be read off.

import assert from "node:assert/strict";
import test from "node:test";
import { openProcessor, SAMPLE_RATE_HZ } from "./audio-thread.js";

const RATE = SAMPLE_RATE_HZ / 1e6;

/** Beats of 500 ms, four in a bar, from server time 1 s on. */
function beats(n, fromUs = 1e6) {
  return {
    type: "ticks",
    timesUs: Float64Array.from({ length: n }, (_, i) => fromUs + i * 500e3),
    kinds: Uint8Array.from({ length: n }, (_, i) => (i % 4 === 0 ? 0 : 1)),
  };
}

const map = (frame, serverUs) => ({ type: "map", frame, serverUs, framesPerUs: RATE });

async function open() {
  const stage = await openProcessor("tick-processor.js", "tick");
  stage.tell({ type: "sounds", sounds: [Float32Array.of(1), Float32Array.of(1), Float32Array.of(1)] });
  stage.tell({ type: "gains", gains: [0.5, 0.25, 0.125] });
  return stage;
}

const frames = (heard) => heard.map(({ frame }) => frame);

test("each tick sounds at its frame, with the loudness of its kind", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell({ ...beats(5), kinds: Uint8Array.of(0, 1, 2, 1, 0) });
  // Server time 1 s is frame 48,000; half a second is 24,000 frames.
  assert.deepEqual(stage.runTo(160_000), [
    { frame: 48_000, height: 0.5 },
    { frame: 72_000, height: 0.25 },
    { frame: 96_000, height: 0.125 },
    { frame: 120_000, height: 0.25 },
    { frame: 144_000, height: 0.5 },
  ]);
});

test("a page that says nothing for 90 s is not missed", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell(beats(180));
  const heard = frames(stage.runTo(91 * SAMPLE_RATE_HZ));
  assert.equal(heard.length, 180);
  assert.ok(heard.every((frame, i) => frame === 48_000 + i * 24_000));
});

test("a longer click goes on over the blocks, and clicks that overlap add up", async () => {
  const stage = await open();
  stage.tell({ type: "sounds", sounds: [0, 1, 2].map(() => new Float32Array(300).fill(1)) });
  stage.tell(map(0, 0));
  stage.tell({ type: "ticks", timesUs: Float64Array.of(1e6, 1.02e6), kinds: Uint8Array.of(1, 1) });
  const heard = stage.runTo(60_000);
  assert.equal(heard.length, 600);
  assert.deepEqual([heard[0].frame, heard[299].frame, heard[300].frame], [48_000, 48_299, 48_960]);
  stage.tell({ type: "solo", frames: Float64Array.of(70_000, 70_100), gain: 0.25, sound: new Float32Array(300).fill(1), isMuted: false });
  const heights = new Set(stage.runTo(80_000).map(({ height }) => height));
  assert.deepEqual([...heights], [0.25, 0.5]);
});

/** Runs four bars; in the third beat of the second one the map moves by `lateFrames`. */
async function moved(lateFrames) {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell(beats(16));
  const before = frames(stage.runTo(48_000 + 6 * 24_000 - 6_000));
  const nowFrame = globalThis.currentFrame;
  stage.tell(map(nowFrame, (nowFrame - lateFrames) / RATE));
  return [...before, ...frames(stage.runTo(500_000))];
}

test("a map that moves within a bar shifts no tick by more than half a per cent of the time, until the bar line", async () => {
  for (const late of [960, -960]) {
    const heard = await moved(late);
    assert.equal(heard.length, 16, `${heard}`);
    const gaps = heard.slice(1).map((frame, i) => frame - heard[i]);
    // Two more beats in the bar: each may be off by 0.5 % of the time since the one before, and a frame of rounding.
    for (const i of [5, 6]) assert.ok(Math.abs(gaps[i] - 24_000) <= 0.005 * 24_000 + 2, `${late}: ${gaps}`);
    // From the bar line on all is as the map says.
    assert.ok(heard.slice(8).every((frame, i) => Math.abs(frame - (48_000 + (8 + i) * 24_000 + late)) <= 1), `${heard}`);
  }
});

test("a map that is off by more than 50 ms is taken at once", async () => {
  const heard = await moved(2_880);
  assert.ok(heard.slice(6).every((frame, i) => Math.abs(frame - (48_000 + (6 + i) * 24_000 + 2_880)) <= 1), `${heard}`);
});

test("before anything sounds the map is taken as it is", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell({ ...beats(2), kinds: Uint8Array.of(1, 1) });
  stage.runTo(40_064);
  stage.tell(map(40_064, (40_064 - 960) / RATE));
  assert.deepEqual(frames(stage.runTo(90_000)), [48_960, 72_960]);
});

test("a new list of the same ticks neither loses nor doubles one", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  const heard = [];
  for (let frame = 24_000; frame <= 240_000; frame += 4_800) {
    // Begins 0.2 s before now, as the page's lists do; a tick has often just sounded.
    const fromUs = frame / RATE - 0.2e6;
    const whole = beats(20);
    const from = whole.timesUs.findIndex((us) => us >= fromUs);
    stage.tell({ type: "ticks", timesUs: whole.timesUs.slice(from), kinds: whole.kinds.slice(from) });
    heard.push(...frames(stage.runTo(frame)));
  }
  assert.deepEqual(heard, Array.from({ length: heard.length }, (_, i) => 48_000 + i * 24_000));
  assert.equal(heard.length, 8);
});

test("an empty list silences at once, another tempo takes over", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell(beats(8));
  assert.equal(stage.runTo(100_000).length, 3);
  stage.tell({ type: "ticks", timesUs: new Float64Array(0), kinds: new Uint8Array(0) });
  assert.equal(stage.runTo(200_000).length, 0);
  stage.tell({ type: "ticks", timesUs: Float64Array.of(5e6, 5.4e6), kinds: Uint8Array.of(0, 1) });
  assert.deepEqual(frames(stage.runTo(300_000)), [240_000, 259_200]);
});

test("ticks that are over when they are heard of are left out, not bunched", async () => {
  const stage = await open();
  stage.runTo(96_000);
  stage.tell(map(globalThis.currentFrame, globalThis.currentFrame / RATE));
  stage.tell(beats(5));
  const heard = frames(stage.runTo(160_000));
  assert.deepEqual(heard, [96_000, 120_000, 144_000]);
});

test("a server that was started again is followed", async () => {
  const stage = await open();
  stage.tell(map(0, 500e6));
  stage.tell(beats(2, 501e6));
  assert.equal(stage.runTo(96_000).length, 2);
  const nowFrame = globalThis.currentFrame;
  stage.tell(map(nowFrame, 3e6));
  stage.tell(beats(1, 3.5e6));
  assert.deepEqual(frames(stage.runTo(200_000)), [nowFrame + 24_000]);
});

test("clicks asked for alone say at which frame they began, and the music's keep silent", async () => {
  const stage = await open();
  stage.tell(map(0, 0));
  stage.tell(beats(8));
  stage.tell({ type: "solo", frames: Float64Array.of(10_000, 60_000), gain: 0.75, sound: Float32Array.of(1), isMuted: true });
  assert.deepEqual(stage.runTo(100_000), [
    { frame: 10_000, height: 0.75 },
    { frame: 60_000, height: 0.75 },
  ]);
  assert.deepEqual(stage.posted, [
    { type: "solo", frame: 10_000 },
    { type: "solo", frame: 60_000 },
  ]);
  stage.tell({ type: "solo", frames: new Float64Array(0), gain: 0, isMuted: false });
  assert.deepEqual(frames(stage.runTo(130_000)), [120_000]);
});
