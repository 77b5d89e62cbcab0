// "Set my timing": the course of a measurement, what is kept of it for which devices, and what is said.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { clickSamples } from "../static/click-sound.js";
import { CalibrationRun, clickTimesS, durationS, leadIn } from "../static/calibration-run.js";
import { CalibrationTake } from "../static/calibration-take.js";
import { DeviceTiming, pairOf } from "../static/device-timing.js";
import { beforehand, outcomeWords, progressWords } from "../static/timing-words.js";

const input = (label, deviceId = "mic") => ({ kind: "audioinput", label, deviceId });
const output = (label, deviceId) => ({ kind: "audiooutput", label, deviceId });
const SPEAKER = [input("Built-in"), output("Default - Speaker", "default"), output("Speaker", "s1"), output("Earbuds", "e1")];
const EARBUDS = [input("Built-in"), output("Default - Earbuds", "default"), output("Speaker", "s1"), output("Earbuds", "e1")];
const MICROPHONE = { deviceId: "mic", label: "Built-in" };

function staged() {
  const kept = new Map();
  const changes = [];
  const storage = { recall: (key) => kept.get(key) ?? null, keep: (key, value) => void kept.set(key, value) };
  const timing = new DeviceTiming(storage, () => changes.push(timing.delayMs));
  return { timing, changes, storage, kept };
}

test("another headphone is not calibrated, and the former one has its value again", () => {
  const { timing, changes, storage } = staged();
  timing.look(SPEAKER, MICROPHONE, 48_000, "first look");
  assert.equal(timing.isCalibrated, false);
  timing.measured({ delayMs: 61.5, scatterMs: 0.4, mode: "loudspeaker" });
  assert.equal(timing.delayMs, 61.5);
  timing.look(EARBUDS, MICROPHONE, 48_000, "devices changed");
  assert.equal(timing.isCalibrated, false);
  timing.measured({ delayMs: -12, scatterMs: 14, mode: "taps" });
  timing.look(SPEAKER, MICROPHONE, 48_000, "devices changed");
  assert.equal(timing.delayMs, 61.5);
  assert.deepEqual(changes, [61.5, null, -12, 61.5]);
  // The page is opened anew.
  const later = new DeviceTiming(storage, () => {});
  later.look(EARBUDS, MICROPHONE, 48_000, "first look");
  assert.equal(later.delayMs, -12);
  later.look(EARBUDS, MICROPHONE, 16_000, "devices changed");
  assert.equal(later.isCalibrated, false, "a headset that takes the microphone over changes the rate");
});

test("a second measurement replaces the first, and forgetting forgets this pair alone", () => {
  const { timing } = staged();
  timing.look(EARBUDS, MICROPHONE, 48_000, "first look");
  timing.measured({ delayMs: 40, scatterMs: 1, mode: "taps" });
  timing.look(SPEAKER, MICROPHONE, 48_000, "devices changed");
  timing.measured({ delayMs: 60, scatterMs: 1, mode: "loudspeaker" });
  timing.measured({ delayMs: 62, scatterMs: 1, mode: "loudspeaker" });
  assert.equal(timing.all().length, 2);
  timing.forget();
  assert.equal(timing.isCalibrated, false);
  timing.look(EARBUDS, MICROPHONE, 48_000, "devices changed");
  assert.equal(timing.delayMs, 40);
});

test("a browser that does not name what is listened with is believed until devices change", () => {
  const { timing } = staged();
  const blind = [input("iPhone Microphone")];
  const microphone = { label: "iPhone Microphone" };
  timing.look(blind, microphone, 48_000, "first look");
  timing.measured({ delayMs: 80, scatterMs: 1, mode: "loudspeaker" });
  timing.look(blind, microphone, 48_000, "devices changed");
  assert.equal(timing.isCalibrated, false);
  timing.look(blind, microphone, 48_000, "first look");
  assert.equal(timing.delayMs, 80);
});

test("without names nothing is kept, and what is kept but cannot be true is not used", () => {
  const { timing, kept } = staged();
  timing.look([input("", "mic")], { label: "", deviceId: "mic" }, 48_000, "first look");
  assert.equal(timing.pair, "");
  timing.measured({ delayMs: 50, scatterMs: 1, mode: "taps" });
  assert.equal(timing.delayMs, 50);
  assert.equal(kept.size, 0);
  const pair = pairOf(SPEAKER, MICROPHONE, 48_000);
  for (const text of ["no JSON", "{}", "null", JSON.stringify([{ pair, delayMs: 4000 }, 3, null]), JSON.stringify([{ pair }])]) {
    kept.set("timing", text);
    timing.look(SPEAKER, MICROPHONE, 48_000, "first look");
    assert.equal(timing.delayMs, null, text);
  }
});

/** A run whose clicks and timers the test drives. */
function run() {
  const told = [];
  const timers = new Map();
  const stage = { told, timers, silenced: 0, frames: [], played: () => {} };
  stage.run = new CalibrationRun({
    sampleRateHz: 48_000,
    frameNow: () => 96_000,
    playAlone: async (frames, played) => {
      stage.frames = frames;
      stage.played = played;
      return () => {
        stage.silenced += 1;
      };
    },
    tellWorker: (order) => told.push(order),
    later: (act, ms) => {
      const id = timers.size + 1;
      timers.set(id, { act, ms });
      return id;
    },
    cancelLater: (id) => timers.delete(id),
  });
  return stage;
}

const settled = () => new Promise((resolve) => setImmediate(resolve));

test("eight clicks at unlike distances of at least 0.8 s, as the door asks; then the worker is asked", async () => {
  const stage = run();
  const progress = [];
  const over = stage.run.start("loudspeaker", (n, of) => progress.push([n, of]));
  await settled();
  assert.equal(stage.frames.length, 8);
  assert.ok(stage.frames[0] >= 96_000 + 0.5 * 48_000, "the background is heard first");
  const gaps = stage.frames.slice(1).map((frame, i) => frame - stage.frames[i]);
  assert.ok(Math.min(...gaps) >= 0.8 * 48_000);
  assert.equal(new Set(gaps).size, gaps.length);
  for (const frame of stage.frames) stage.played(frame);
  assert.deepEqual(progress[7], [8, 8]);
  assert.deepEqual(stage.told.map((order) => order.step), ["open", ...Array(8).fill("click")]);
  assert.deepEqual(stage.told.slice(1).map((order) => order.frame), stage.frames);
  assert.equal(stage.timers.size, 1);
  [...stage.timers.values()][0].act();
  assert.equal(stage.told[9].step, "result");
  const result = { status: "good", delay_ms: 61, scatter_ms: 0.3, n: 8 };
  stage.run.take(result);
  assert.deepEqual(await over, result);
  assert.equal(stage.silenced, 1);
});

test("a run that is stopped leaves nothing running, and a late answer is nothing to it", async () => {
  const stage = run();
  const over = stage.run.start("taps", () => {});
  await settled();
  stage.played(stage.frames[0]);
  stage.run.stop("cancelled");
  assert.deepEqual(await over, { status: "cancelled", n: 0 });
  assert.equal(stage.told[stage.told.length - 1].step, "cancel");
  assert.deepEqual([stage.silenced, stage.timers.size], [1, 0]);
  stage.run.take({ status: "good", delay_ms: 5, n: 8 });
  stage.run.stop("music");
  assert.equal(stage.silenced, 1);
});

test("a context that stands still ends it", async () => {
  const stage = run();
  const over = stage.run.start("loudspeaker", () => {});
  await settled();
  const [{ act, ms }] = [...stage.timers.values()];
  assert.ok(ms > durationS("loudspeaker") * 1000);
  act();
  assert.equal((await over).status, "interrupted");
});

test("taps come after four ticks, at 100 in a minute", () => {
  const times = clickTimesS("taps");
  assert.equal(times.length, 16);
  assert.equal(leadIn("taps"), 4);
  times.slice(1).forEach((at, i) => assert.ok(Math.abs(at - times[i] - 0.6) < 1e-9));
});

/** A door that writes down what it is given. */
function stagedDoor() {
  const memory = new WebAssembly.Memory({ initial: 1 });
  const text = new TextEncoder().encode('{"status":"nothing","n":0}');
  new Uint8Array(memory.buffer).set(text, 8192);
  const door = { memory, clicks: [], samples: [], opened: [] };
  door.input_ptr = () => 0;
  door.input_capacity = () => 100;
  door.output_ptr = () => 8192;
  door.output_len = () => text.length;
  door.calibrate_open = (...order) => (door.opened.push(order), 0);
  door.calibrate_tick = (at) => void door.clicks.push(at);
  door.calibrate_push = (n) => void door.samples.push(...new Float32Array(memory.buffer, 0, n));
  door.calibrate_result = () => 1;
  door.calibrate_close = () => void door.opened.push("closed");
  return door;
}

test("samples keep their place over lost frames, clicks are counted from the first sample", () => {
  const door = stagedDoor();
  const take = new CalibrationTake(door, 48_000, "taps");
  assert.deepEqual(door.opened, [[48_000, 1]]);
  take.click(1040);
  take.click(900);
  take.push(1000, new Float32Array(250).fill(0.5));
  take.push(1300, new Float32Array(50).fill(0.25));
  take.click(1310);
  assert.deepEqual(door.clicks, [40, 310], "a click before the first sample cannot be heard");
  assert.equal(door.samples.length, 350);
  const expected = [0.5, 0, 0, 0.25];
  assert.deepEqual([249, 250, 299, 300].map((at) => door.samples[at]), expected);
  assert.deepEqual(take.result(), { status: "nothing", n: 0 });
  assert.equal(door.opened[1], "closed");
});

test("through the wasm door clicks that come back 61 ms late are found, and silence is told as nothing", async () => {
  const bytes = await readFile(new URL("../static/windrow.wasm", import.meta.url));
  const { instance } = await WebAssembly.instantiate(bytes, {});
  const door = instance.exports;
  const click = clickSamples(door, "bright", "beat", 48_000);
  // Takes that begin at other samples fall otherwise on the door's slower rate.
  const takes = [0, 1, 2, 3, 4, 5].map((shift) => [0.1, "good", shift]);
  for (const [gain, status, shift] of [...takes, [0.01, "good", 0], [0, "nothing", 0]]) {
    const take = new CalibrationTake(door, 48_000, "loudspeaker");
    // Silence as a gated microphone has it.
    const room = new Float32Array(durationS("loudspeaker") * 48_000);
    for (const at of clickTimesS("loudspeaker").map((s) => Math.round(s * 48_000) + shift)) {
      click.forEach((x, i) => (room[at + 2928 + i] += gain * x));
      take.click(5000 + at);
    }
    for (let at = 0; at < room.length; at += 2048) take.push(5000 + at, room.subarray(at, at + 2048));
    const result = take.result();
    assert.equal(result.status, status, JSON.stringify(result));
    // 2928 samples at 48 kHz are 61 ms.
    if (status === "good") assert.ok(Math.abs(result.delay_ms - 61) < 0.1 && result.n === 8, JSON.stringify(result));
  }
});

test("each outcome has its own words, with what to do", () => {
  const said = new Set();
  for (const mode of ["loudspeaker", "taps"]) {
    assert.ok(beforehand(mode).length > 0);
    for (const status of ["nothing", "few", "scattered", "cancelled", "music", "interrupted"]) {
      const { text, isGood } = outcomeWords(mode, { status, n: 3 });
      assert.equal(isGood, false);
      said.add(text);
      assert.ok(text.length < 200, text);
    }
  }
  assert.equal(said.size, 9);
  assert.match(outcomeWords("loudspeaker", { status: "scattered", n: 8 }).text, /Bluetooth/);
});

test("a good outcome names the delay; a wireless one says why the beat is less sure", () => {
  const good = outcomeWords("loudspeaker", { status: "good", delay_ms: 61.4, scatter_ms: 0.2, n: 8 });
  assert.equal(good.isGood, true);
  assert.match(good.text, /61 ms, to within 1 ms/);
  assert.doesNotMatch(good.text, /wireless/);
  assert.match(outcomeWords("loudspeaker", { status: "good", delay_ms: 210, scatter_ms: 1, n: 8 }).text, /wireless/);
  assert.match(outcomeWords("taps", { status: "good", delay_ms: 20, scatter_ms: 12, n: 11 }).text, /less exact/);
  assert.equal(outcomeWords("taps", { status: "good", n: 11 }).isGood, false);
});

test("progress counts down to the first tap, then up", () => {
  assert.equal(progressWords("taps", 1, 16, 4), "Listen: 4 more before you tap.");
  assert.equal(progressWords("taps", 4, 16, 4), "Listen: 1 more before you tap.");
  assert.equal(progressWords("taps", 5, 16, 4), "Tap: 1 of 12.");
  assert.equal(progressWords("loudspeaker", 3, 8, 0), "Listening: click 3 of 8.");
});
