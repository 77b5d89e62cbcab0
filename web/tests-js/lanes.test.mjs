// The lanes of the conductor's page: in which order they stand, what is remembered of them, what stands for a player on the wall.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { LaneMemory, MEMORY_US } from "../static/lane-memory.js";
import { LaneOrder, rankOf } from "../static/lane-order.js";
import { figuresOf, matchedShare } from "../static/opened-lane.js";
import { linesOf } from "../static/opened-lines.js";
import { STATES } from "../static/states.js";
import { initialsOf } from "../static/wall-choices.js";
import { openTime, SCORE } from "./door-in-node.js";

const time = await openTime(() => 0);
time.setScore(SCORE);

const lanes = (...states) => states.map((state, i) => ({ player_id: `p${i + 1}`, state }));
const ids = (of) => of.map(({ player_id: id }) => id).join(" ");

test("worst first is the room's own order of what to turn to", async () => {
  const source = await readFile(new URL("../../room/src/sayings.rs", import.meta.url), "utf8");
  const urgency = /fn urgency[\s\S]*?\n}/.exec(source)?.[0] ?? "";
  const ranks = [...urgency.matchAll(/^\s+((?:State::\w+[ |]*)+) => (\d+),/gm)].flatMap(([, states, rank]) =>
    [...states.matchAll(/State::(\w+)/g)].map(([, name]) => [name.replace(/(?<!^)([A-Z])/g, "-$1").toLowerCase(), Number(rank)]),
  );
  assert.equal(ranks.length, 13);
  for (const [state, rank] of ranks) assert.equal(rankOf(state), rank, state);
  const others = Object.keys(STATES).filter((state) => !ranks.some(([name]) => name === state));
  for (const state of others) assert.ok(rankOf(state) > 8, state);
  assert.ok(rankOf("blended") < rankOf("matched") && rankOf("matched") < rankOf("away"));
});

test("lanes stand as the players sit, or worst first, equal ones as they sit", () => {
  const order = new LaneOrder();
  const all = lanes("matched", "fast", "choked-valleys", "slow", "away");
  assert.equal(ids(order.of(all, 4, 0)), "p1 p2 p3 p4 p5");
  order.choose("worst-first");
  assert.equal(ids(order.of(all, 4, 0)), "p3 p2 p4 p1 p5");
});

test("worst first changes at bar lines alone, and not while a finger is on the lanes", () => {
  const order = new LaneOrder();
  order.choose("worst-first");
  assert.equal(ids(order.of(lanes("fast", "matched"), 4, 0)), "p1 p2");
  const changed = lanes("matched", "fast");
  assert.equal(ids(order.of(changed, 4, 500)), "p1 p2");
  order.touched(900);
  assert.equal(ids(order.of(changed, 8, 1000)), "p1 p2", "a finger is there");
  assert.equal(ids(order.of(changed, 8, 3800)), "p1 p2");
  assert.equal(ids(order.of(changed, 8, 4000)), "p2 p1", "it has been away for three seconds");
  // Who comes in the middle of a bar stands last until it is over.
  const three = [...changed, { player_id: "p3", state: "choked-valleys" }];
  assert.equal(ids(order.of(three, 8, 4100)), "p2 p1 p3");
  assert.equal(ids(order.of(three, 12, 8000)), "p3 p2 p1");
});

test("without music the order is that of the last bar", () => {
  const order = new LaneOrder();
  order.choose("worst-first");
  order.of(lanes("fast", "matched"), 4, 0);
  order.of(lanes("matched", "fast"), NaN, 4000);
  assert.equal(ids(order.of(lanes("fast", "matched"), NaN, 9000)), "p2 p1");
});

const picture = (nowS, lane) => ({ time_us: nowS * 1e6, lanes: [{ player_id: "wren", state: "matched", pulses: [], centre_tail: [], ...lane }] });
const pulsesFrom = (fromS, toS) => {
  const pulses = [];
  for (let s = fromS; s < toS; s += 0.25) pulses.push({ time_us: s * 1e6, depth_db: 6, choked: false });
  return pulses;
};

test("the last minute is put together from pictures of a few bars, each pulse once", () => {
  const memory = new LaneMemory();
  for (let now = 100; now <= 200; now += 0.2) {
    memory.take(picture(now, { pulses: pulsesFrom(Math.ceil((now - 14) * 4) / 4, now), centre_tail: [[now * 1e6 - 1e5, 3]] }));
  }
  const { pulses } = memory.upToNow({ player_id: "wren", pulses: pulsesFrom(186, 200), centre_tail: [] }, 200e6);
  assert.equal(pulses[0].time_us, 200e6 - MEMORY_US);
  assert.equal(pulses.length, 240, "four a second for a minute");
  assert.ok(pulses.every((pulse, i) => i === 0 || pulse.time_us - pulses[i - 1].time_us === 250_000));
  memory.take({ time_us: 201e6, lanes: [] });
  assert.equal(memory.players.size, 0, "whoever has left is forgotten");
});

test("a delay found out later moves what the pictures still hold, and no pulse stands twice", () => {
  const memory = new LaneMemory();
  memory.take(picture(20, { pulses: pulsesFrom(10, 20) }));
  const moved = pulsesFrom(10, 20).map((pulse) => ({ ...pulse, time_us: pulse.time_us - 60_000 }));
  memory.take(picture(22, { pulses: moved }));
  assert.deepEqual(memory.of("wren").pulses, moved);
});

test("states are remembered from when the room said them, and the share of the time they were matched is told", () => {
  const memory = new LaneMemory();
  for (const [now, state] of [[100, "matched"], [110, "fast"], [120, "blended"], [130, "matched"]]) memory.take(picture(now, { state }));
  const past = memory.of("wren");
  assert.deepEqual(past.states.map(({ us, state }) => [us / 1e6, state]), [[100, "matched"], [110, "fast"], [120, "blended"], [130, "matched"]]);
  // Matched 10 s and 10 s, fast 10 s; blended is no verdict.
  assert.ok(Math.abs(matchedShare(past, 140e6) - 2 / 3) < 1e-9);
  // A minute later the first one is forgotten, and what it was in the minute stays.
  memory.take(picture(175, { state: "matched" }));
  assert.equal(past.states[0].state, "fast");
  assert.equal(matchedShare({ pulses: [], tail: [], states: [] }, 0), 0);
});

test("figures have their units in words, and a dash where nothing is known", () => {
  const lane = { pulse_rate_hz: 3.3, depth_db_pp: 6.04, centre_cents: -4.4, calibrated: false, timing_ms: 12 };
  // 3.3 a second at 66: 3.3 * 60 / 66 = 3 to the beat. A device of unknown delay tells no timing.
  assert.deepEqual(figuresOf(lane, 66), [
    ["pulses a second", "3.30"],
    ["to the beat", "3.0"],
    ["depth, dB", "6.0"],
    ["swing, cents", "–"],
    ["centre, cents", "−4"],
    ["off the tick, ms", "–"],
  ]);
  assert.equal(figuresOf(lane, NaN)[1][1], "–");
});

test("lines of music begin at the same bars until one is full, and reach back as far as is known", () => {
  const lines = (nowS, more) => linesOf({ score: SCORE, time, nowUs: nowS * 1e6, sinceUs: 0, width: 1300, height: 500, ...more });
  // Four bars of four: the second line begins with beat 16, which is at 20 s.
  assert.deepEqual(lines(19.9).map(({ startBeat }) => startBeat), [0]);
  assert.deepEqual(lines(20.1).map(({ startBeat }) => startBeat), [0, 16]);
  assert.deepEqual(lines(27.9).map(({ startBeat }) => startBeat), [0, 16]);
  assert.deepEqual(lines(20.1, { sinceUs: 20e6 }).map(({ startBeat }) => startBeat), [16]);
  assert.equal(lines(20.1)[0].widthBeats, 16);
  assert.equal(lines(20.1, { width: 350 })[0].widthBeats, 8, "two bars where a beat would be too narrow");
  const full = lines(60);
  assert.equal(full.length, 4, "as many as are high enough to be read");
  assert.ok(full[3].top + full[3].height <= 500);
});

test("initials tell players apart, with as few letters as that takes", () => {
  const of = (...names) => [...initialsOf(names.map((name, i) => ({ name, chair: i + 1 }))).values()];
  assert.deepEqual(of("Imogen", "Tobias", "Wren"), ["I", "T", "W"]);
  assert.deepEqual(of("Tamsin", "Tobias"), ["Ta", "To"]);
  assert.deepEqual(of("Tom", "Tom"), ["T 1", "T 2"]);
});
