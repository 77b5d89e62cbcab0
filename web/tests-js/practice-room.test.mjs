// A room of one behind what looks like a socket, with the committed wasm: the rules of every room, without a server.

import "./english.js";
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { nowInWords, noticeInWords, stepInWords } from "../static/practice-controls.js";
import { PracticeRoom } from "../static/practice-room.js";
import { RoomSocket } from "../static/room-socket.js";

/** Four bars of triplets at 60, then straight tones, as a plan compiles. */
const LESSON = {
  title: "Evenings",
  text: "{}",
  beats_per_bar: 4,
  pieces: [
    piece("Triplets", { kind: "pulses", per_beat: 3 }, 20),
    piece("Straight", { kind: "straight" }, 0),
  ],
};

/** @param {string} name @param {object} target @param {number} restS */
function piece(name, target, restS) {
  return {
    brief: { name },
    spans: [{ length_beats: 16, bpm: 60, target, note: "F4" }],
    wishes: {},
    bands: { rate: 0.03, timing_good_ms: 25, timing_fair_ms: 50, centre_good_cents: 10, centre_off_cents: 25, shallow_db: 3, choked_db: -24, pitch_led_cents: 30 },
    rest_s: restS,
    ladder: null,
  };
}

/** As a device says it; the protocol's written samples have another. */
const READING = {
  type: "reading", hearing: "pulsed", level_db: -20, note: "F4", cents: 2, pulse_rate_hz: 3, depth_db_pp: 6, swing_cents_pp: 4,
  n_pulses: 12, trust: 0.9, trusted: true,
};

async function practise() {
  const bytes = await readFile(new URL("../static/windrow-room.wasm", import.meta.url));
  const { instance } = await WebAssembly.instantiate(bytes, {});
  const all = { nowMs: 5000, kept: /** @type {any[]} */ ([]), heard: /** @type {any[]} */ ([]), picture: /** @type {any} */ (null), cannot: "", exchanges: 0 };
  let look = () => {};
  const room = new PracticeRoom(
    /** @type {any} */ (instance.exports),
    { nowMs: () => all.nowMs, every: (run) => void (look = run), stop: () => {} },
    { kept: (kept) => all.kept.push(...kept), pictured: (picture) => (all.picture = picture), cannot: (text) => (all.cannot = text) },
  );
  room.open({ section: "Larkmoor Youth Winds", a4_hz: 440, lesson: LESSON });
  const around = { open: () => /** @type {any} */ (room.connect()), nowMs: () => all.nowMs, later: () => 0, cancel: () => {}, random: () => 0.5 };
  const socket = new RoomSocket("", around, {
    hello: () => ({ type: "hello", version: 5, code: "", name: "Imogen", instrument: "flute", calibrated: false }),
    hear: (message) => all.heard.push(message),
    exchange: (t1, t2, t3, t4) => {
      all.exchanges += 1;
      assert.equal(t2, t3);
      // The room's time is counted from when it was opened.
      assert.equal(t2, t1 - 5e6);
      assert.ok(t4 >= t1);
      return false;
    },
    status: () => {},
  });
  socket.start();
  await settled();
  /** @param {number} s @param {boolean} [plays] whether a tone in triplets is heard */
  const pass = async (s, plays = false) => {
    for (let i = 0; i < s * 5; i += 1) {
      all.nowMs += 200;
      if (plays) socket.send({ ...READING, seq: i + 1, time_us: room.nowUs() });
      look();
    }
    await settled();
  };
  return { all, room, socket, pass };
}

/** All that was sent has come. */
const settled = () => new Promise((resolve) => setTimeout(resolve, 0));
const types = (/** @type {any[]} */ all) => all.map((one) => one.type);

test("a device is welcomed, counted in, and judged as in any room", async () => {
  const { all, room, socket, pass } = await practise();
  assert.equal(all.heard[0].type, "welcome");
  assert.deepEqual([all.heard[0].chair, all.heard[0].part, all.heard[0].section], [1, "flute 1", "Larkmoor Youth Winds"]);
  assert.ok(all.exchanges > 0);
  await pass(1);
  assert.deepEqual([all.picture.exercise.number, all.picture.exercise.of, all.picture.is_playing], [1, 2, false]);
  room.command({ type: "start" });
  await settled();
  const score = all.heard.findLast((message) => message.type === "score").score;
  assert.deepEqual(score.spans.map((/** @type {any} */ span) => span.target.kind), ["count-in", "pulses"]);
  assert.ok(score.start_us >= 1e6, String(score.start_us));
  socket.send({ type: "rest", resting: true });
  await pass(1);
  assert.equal(all.picture.is_playing, true);
});

test("what there is to keep comes as the records have it, and at the end what was open", async () => {
  const { all, room, pass } = await practise();
  assert.deepEqual(new Set(types(all.kept)), new Set(["plan", "player"]));
  room.command({ type: "start" });
  await pass(12, true);
  room.end();
  const run = all.kept.findLast((kept) => kept.type === "run");
  assert.equal(run.told.number, 1);
  const [stretch] = run.stretches;
  assert.deepEqual([stretch.bpm, stretch.target, stretch.held], [60, { kind: "pulses", per_beat: 3 }, false]);
  // Counted in for four beats, twelve seconds in all.
  assert.ok(stretch.asked_s > 5 && stretch.asked_s < 9, String(stretch.asked_s));
});

test("with the flow on the plan goes on by itself, and the rest counts down", async () => {
  const { all, room, pass } = await practise();
  room.command({ type: "set-flow", flow: "go-on" });
  room.command({ type: "start" });
  await pass(4 + 16 + 4);
  assert.equal(all.picture.is_playing, false);
  assert.match(nowInWords(all.picture, (all.nowMs - 5000) * 1000), /^Rest: Straight in \d+ s$/);
  await pass(20);
  assert.deepEqual([all.picture.exercise.number, all.picture.is_playing], [2, true]);
});

test("what cannot be done is said in words, and what is no message changes nothing", async () => {
  const { all, room, pass } = await practise();
  room.command({ type: "back" });
  assert.equal(all.cannot, "this is the first exercise");
  room.command({ type: "fly" });
  assert.match(all.cannot, /could not be understood/);
  await pass(1);
  assert.equal(all.picture.exercise.number, 1);
});

test("a next step is told to one who is alone", () => {
  const settings = { slower_bpm: 58 };
  const exercise = { next: "Straight", number: 1, of: 2 };
  const words = (/** @type {any} */ step) => stepInWords(/** @type {any} */ ({ suggestion: step && { step }, settings, exercise }));
  assert.equal(words("next"), "That held. Next: Straight");
  assert.equal(words("slower"), "Take it slower: 58.");
  assert.equal(words("down-the-line"), "");
  assert.equal(words(null), "");
  assert.equal(noticeInWords(/** @type {any} */ ({ text: { id: "care-rest", args: { minutes: 10 } } })), "10 minutes without a rest: put the instrument down for two.");
});
