// The page's side of the tick: who sounds it, what the audio thread is given, what happens without one.

import assert from "node:assert/strict";
import test from "node:test";
import "./english.js";
import { gainsOf } from "../static/click-sound.js";
import { Pace } from "../static/pace.js";
import { soundsHere, Tick } from "../static/tick.js";
import { TickSettings } from "../static/tick-settings.js";
import { TickSources } from "../static/tick-sources.js";
import { Vibration } from "../static/vibration.js";
import { ClockTrouble } from "../static/clock-words.js";

test("who sounds the tick: the score says, the player may wish otherwise", () => {
  const of = (tick, isConductor, wish) => soundsHere({ tick }, isConductor, wish);
  // Score, player as set, player always, player never, conductor, conductor muted.
  for (const [tick, ...expected] of [
    ["conductor", false, true, false, true, false],
    ["devices", true, true, false, true, false],
    ["nobody", false, true, false, false, false],
    [undefined, false, true, false, true, false],
  ]) {
    const got = [of(tick, false, "follow"), of(tick, false, "always"), of(tick, false, "never")];
    assert.deepEqual([...got, of(tick, true, "follow"), of(tick, true, "never")], expected, String(tick));
  }
  assert.equal(soundsHere(null, true, "always"), false);
});

test("between the beats the tick is 8 dB softer", () => {
  const [bar, beat, between] = gainsOf(-20);
  assert.equal(beat, 0.1);
  assert.equal(bar, beat);
  assert.ok(Math.abs(20 * Math.log10(between / beat) + 8) < 1e-9);
});

test("what a player chose comes back, and nonsense falls back to a soft tick as the conductor set", () => {
  const kept = new Map([["tick-wish", "loudly"], ["tick-sound", "gong"], ["tick-volume", "99"], ["tick-felt", "yes"]]);
  const storage = { recall: (key) => kept.get(key) ?? null, keep: (key, value) => void kept.set(key, value) };
  const settings = new TickSettings(storage);
  assert.deepEqual([settings.wish, settings.sound, settings.volumeDb, settings.isFelt], ["follow", "wood", -2, false]);
  assert.equal(new TickSettings({ ...storage, recall: () => null }).volumeDb, -20);
  settings.wishFor("always");
  settings.choose("bright");
  settings.setVolumeDb(-32);
  settings.feel(true);
  const again = new TickSettings(storage);
  assert.deepEqual([again.wish, again.sound, again.volumeDb, again.isFelt], ["always", "bright", -32, true]);
});

/** Ticks every half second from server time nought, a bar every two seconds; server time is 7 s ahead of the page's. */
function stagedTime() {
  const memory = new WebAssembly.Memory({ initial: 1 });
  const door = { memory, click_ptr: () => 0, click_sound: () => 2 };
  new Float32Array(memory.buffer).set([1, -1]);
  const time = {
    door,
    nowMs: 1000,
    score: { version: 1 },
    isKnown: () => true,
    serverNowUs: () => (time.nowMs + 7000) * 1000,
    pageMsAt: (us) => us / 1000 - 7000,
    ticksBetween(fromUs, toUs) {
      const ticks = [];
      for (let i = Math.ceil(fromUs / 500e3); i * 500e3 < toUs; i += 1) {
        ticks.push({ timeUs: i * 500e3, kind: i % 4 === 0 ? "bar" : "beat" });
      }
      return ticks;
    },
  };
  return time;
}

/** A context of 48 kHz whose time nought leaves the loudspeaker at 200 ms of the page's. */
function stagedClock(time) {
  const made = [];
  const param = { value: 0 };
  const joint = { connect: () => joint, disconnect() {}, gain: param };
  const context = {
    sampleRate: 48_000,
    state: "running",
    destination: joint,
    get currentTime() {
      return (time.nowMs - 230) / 1000;
    },
    createBuffer: (_channels, n) => {
      const samples = new Float32Array(n);
      return { getChannelData: () => samples };
    },
    createGain: () => ({ ...joint, gain: { value: 0 } }),
    createBufferSource: () => {
      const source = { connect: () => joint, start: (at) => void (source.at = at), stop: () => void (source.isStopped = true) };
      made.push(source);
      return source;
    },
  };
  return { clock: { context, offsetMs: () => 200 }, made };
}

const settled = () => new Promise((resolve) => setImmediate(resolve));

test("the audio thread gets the ticks of the next minute and where they lie, and nothing where the tick is not heard", async () => {
  const time = stagedTime();
  const { clock } = stagedClock(time);
  const posted = [];
  globalThis.AudioWorkletNode = class {
    constructor() {
      this.port = { postMessage: (message) => posted.push(message) };
    }
    connect() {}
    disconnect() {}
  };
  clock.context.audioWorklet = { addModule: async () => {} };
  let isHeard = true;
  const told = [];
  const tick = new Tick(clock, time, () => isHeard);
  tick.heardChanged = (heard) => told.push(heard);
  tick.start();
  await settled();
  const last = (type) => posted.filter((message) => message.type === type).pop();
  // Now, 1000 ms of the page's clock, leaves the loudspeaker 800 ms after the context's nought.
  assert.deepEqual(last("map"), { type: "map", frame: 38_400, serverUs: 8e6, framesPerUs: 0.048 });
  const { timesUs, kinds } = last("ticks");
  assert.ok(timesUs[0] >= 7.8e6 && timesUs[0] <= 8e6 && timesUs[timesUs.length - 1] >= 8e6 + 85e6);
  assert.deepEqual([...kinds.slice(0, 5)], [0, 1, 1, 1, 0]);
  assert.deepEqual([...last("sounds").sounds[2]], [1, -1]);

  const n = posted.length;
  time.nowMs += 250;
  tick.look();
  assert.deepEqual(posted.slice(n).map((message) => message.type), ["map"], "the list still reaches far enough");
  isHeard = false;
  tick.look();
  assert.equal(last("ticks").timesUs.length, 0);
  isHeard = true;
  time.score = { version: 2 };
  tick.look();
  assert.ok(last("ticks").timesUs.length > 100);
  tick.stop();
  assert.equal(last("ticks").timesUs.length, 0);
  assert.deepEqual(told, [true, false, true, false], "who listens is told whether the tick sounds here");
  delete globalThis.AudioWorkletNode;
});

test("without an audio worklet clicks are placed ahead on the audio clock, once each", async () => {
  const time = stagedTime();
  const { clock, made } = stagedClock(time);
  const tick = new Tick(clock, time, () => true);
  tick.start();
  await settled();
  for (let i = 0; i < 12; i += 1) {
    time.nowMs += 250;
    tick.look();
  }
  tick.stop();
  // Server 8 s is the context's 0.8 s; it was there already when the tick began, and 1 s ahead is placed.
  const expected = made.map((_, i) => 0.8 + i * 0.5);
  made.forEach((source, i) => assert.ok(Math.abs(source.at - expected[i]) < 1e-9, `${source.at}`));
  assert.equal(made.length, 8);
  assert.equal(made.filter((source) => source.isStopped).length, 2, "what has not sounded is taken back");
});

test("another score takes back what was placed for the former one", () => {
  const time = stagedTime();
  const { clock, made } = stagedClock(time);
  const sources = new TickSources(clock.context);
  sources.setSounds([0, 1, 2].map(() => Float32Array.of(1)));
  sources.setGains([1, 1, 1]);
  const map = { frame: 38_400, serverUs: 8e6, framesPerUs: 0.048 };
  sources.setTicks(Float64Array.of(8.5e6, 9e6), Uint8Array.of(1, 1));
  sources.setMap(map);
  assert.equal(made.length, 1, "the second is more than a second ahead");
  sources.setTicks(Float64Array.of(8.5e6, 9e6, 9.5e6), Uint8Array.of(1, 1, 1));
  sources.setMap(map);
  assert.equal(made.length, 1, "the same ticks are not placed twice");
  sources.setTicks(Float64Array.of(8.4e6, 8.8e6), Uint8Array.of(1, 1));
  sources.setMap(map);
  assert.equal(made[0].isStopped, true);
  assert.ok(made.slice(1).some((source) => Math.abs(source.at - 1.6) < 1e-9), `${made.map(({ at }) => at)}`);
});

test("a hidden page's clicks are placed much further ahead", () => {
  const time = stagedTime();
  const { clock, made } = stagedClock(time);
  globalThis.document = { visibilityState: "hidden" };
  const sources = new TickSources(clock.context);
  sources.setSounds([0, 1, 2].map(() => Float32Array.of(1)));
  sources.setTicks(Float64Array.from({ length: 60 }, (_, i) => 8.5e6 + i * 500e3), new Uint8Array(60));
  sources.setMap({ frame: 38_400, serverUs: 8e6, framesPerUs: 0.048 });
  delete globalThis.document;
  assert.ok(made.length >= 28, `${made.length}`);
});

test("the pace of two clocks 80 ppm apart is known after a while, and a jump is no pace", () => {
  const pace = new Pace(48_000);
  const true80 = 0.048 * (1 + 80e-6);
  let got = 0;
  for (let us = 0; us <= 60e6; us += 250e3) {
    // The map's scatter on a quiet machine, 0.05 ms.
    const scatter = Math.sin(us) * 0.05 * 48;
    got = pace.add(1000 + us * true80 + scatter, us);
    if (us < 19e6) assert.equal(got, 0.048);
  }
  assert.ok(Math.abs(got / true80 - 1) < 3e-6, `${got / true80 - 1}`);
  assert.equal(pace.add(1000 + 61e6 * true80 + 4800, 61e6), 0.048, "the context lost 100 ms");
});

test("the shake comes on beats alone, and not beside them", () => {
  const shakes = [];
  const waiting = [];
  const time = { ...stagedTime(), nowMs: 0 };
  time.serverNowUs = () => time.nowMs * 1000;
  time.ticksBetween = () => [100, 350, 600].map((ms, i) => ({ timeUs: ms * 1000, kind: ["bar", "between", "beat"][i] }));
  let isPlaying = true;
  const timers = { later: (run, ms) => waiting.push({ run, ms }), cancel: () => {} };
  const vibration = new Vibration((ms) => shakes.push([time.nowMs, ms]), time, () => isPlaying, timers);
  const next = (lateMs) => {
    const { run, ms } = waiting.pop();
    time.nowMs += ms + lateMs;
    run();
  };
  vibration.start();
  next(3);
  assert.deepEqual(shakes, [[103, 45]]);
  next(0);
  assert.equal(shakes.length, 2);
  assert.equal(shakes[1][0], 600);
  time.nowMs = 90;
  vibration.lastUs = -Infinity;
  vibration.plan();
  next(60);
  assert.equal(shakes.length, 2, "60 ms beside the beat");
  time.nowMs = 90;
  vibration.lastUs = -Infinity;
  vibration.plan();
  isPlaying = false;
  next(0);
  assert.equal(shakes.length, 2, "the music stopped meanwhile");
});

test("a clock is told of once it has been poor for a while, with how far off it may be", () => {
  const trouble = new ClockTrouble();
  const poor = { word: "poor", errorMs: 41.2 };
  assert.equal(trouble.inWords(poor, 0), "");
  assert.equal(trouble.inWords(poor, 4000), "");
  assert.equal(trouble.inWords(poor, 5000), "The beat on this device may be up to 42 ms off: the Wi-Fi is slow.");
  assert.equal(trouble.inWords({ word: "fair", errorMs: 9 }, 6000), "");
  assert.equal(trouble.inWords(poor, 7000), "");
  assert.match(trouble.inWords({ word: "poor", errorMs: NaN }, 13_000), /may be far off/);
});
