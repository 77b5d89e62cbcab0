// The way to the room: hello first, clock exchanges, coming back, and refusals in plain words.

import assert from "node:assert/strict";
import test from "node:test";
import { refusalText, RoomSocket, socketUrl } from "../static/room-socket.js";
import { golden } from "./door-in-node.js";

/** A page's surroundings with a clock and timers that only move when told. */
function staged() {
  const stage = { nowMs: 1000, timers: [], sockets: [], said: [], heard: [], exchanges: [], jumps: false };
  const surroundings = {
    open: () => {
      const socket = { sent: [], bufferedAmount: 0, send: (text) => socket.sent.push(JSON.parse(text)), close: () => {} };
      stage.sockets.push(socket);
      return socket;
    },
    nowMs: () => stage.nowMs,
    later: (run, ms) => {
      const timer = { run, atMs: stage.nowMs + ms };
      stage.timers.push(timer);
      return timer;
    },
    cancel: (timer) => {
      stage.timers = stage.timers.filter((t) => t !== timer);
    },
    random: () => 0.5,
  };
  const hooks = {
    hello: () => ({ type: "hello", version: 1 }),
    hear: (message) => stage.heard.push(message),
    exchange: (...times) => {
      stage.exchanges.push(times);
      return stage.jumps;
    },
    status: (status, text) => stage.said.push([status, text]),
  };
  stage.room = new RoomSocket("ws://room/ws/player", surroundings, hooks);
  stage.pass = (ms) => {
    const untilMs = stage.nowMs + ms;
    for (;;) {
      const due = stage.timers.filter((t) => t.atMs <= untilMs).sort((a, b) => a.atMs - b.atMs)[0];
      if (!due) break;
      stage.timers = stage.timers.filter((t) => t !== due);
      stage.nowMs = due.atMs;
      due.run();
    }
    stage.nowMs = untilMs;
  };
  stage.last = () => stage.sockets[stage.sockets.length - 1];
  stage.say = (message) => stage.last().onmessage({ data: JSON.stringify(message) });
  return stage;
}

const [welcome] = await golden("player-hears");

test("hello goes first, and clocks are exchanged only after the welcome", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.pass(1000);
  assert.deepEqual(stage.last().sent.map((m) => m.type), ["hello"]);
  stage.say(welcome);
  assert.deepEqual(stage.last().sent.map((m) => m.type), ["hello", "clock"]);
  assert.equal(stage.heard[0].token, welcome.token);
});

test("sixteen exchanges are quick, then some until the drift is known, then one a second", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  const clocks = () => stage.last().sent.filter((m) => m.type === "clock").length;
  const answer = () => stage.say({ type: "you", state: "resting" });
  stage.pass(1590);
  assert.equal(clocks(), 16);
  answer();
  stage.pass(5000);
  assert.equal(clocks(), 36);
  answer();
  for (let i = 0; i < 41; i += 1) {
    stage.pass(1000);
    answer();
  }
  assert.equal(clocks(), 200);
  stage.pass(4000);
  assert.equal(clocks(), 204);
});

test("a page that wakes exchanges quickly again over the same socket", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.room.hurry();
  assert.deepEqual(stage.last().sent.map((m) => m.type), ["hello"], "not before the welcome");
  stage.say(welcome);
  const clocks = () => stage.last().sent.filter((m) => m.type === "clock").length;
  for (let i = 0; i < 20; i += 1) {
    stage.pass(1000);
    stage.say({ type: "ack", seq: 0 });
  }
  const before = clocks();
  stage.room.hurry();
  stage.pass(1490);
  assert.equal(clocks() - before, 15);
  assert.equal(stage.sockets.length, 1);
});

test("a jump of time is followed by quick exchanges", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  for (let i = 0; i < 20; i += 1) {
    stage.pass(1000);
    stage.say({ type: "ack", seq: 0 });
  }
  const clocks = stage.last().sent.filter((m) => m.type === "clock");
  stage.jumps = true;
  stage.say({ type: "clock", id: clocks[clocks.length - 1].id, t1_us: 0, t2_us: 0, t3_us: 0 });
  stage.jumps = false;
  stage.pass(1490);
  assert.equal(stage.last().sent.filter((m) => m.type === "clock").length - clocks.length, 15);
});

test("a page whose timers rested while it was hidden keeps its socket", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  const ask = stage.last().sent[1];
  stage.say({ type: "clock", id: ask.id, t1_us: ask.t1_us, t2_us: 5e6, t3_us: 5e6 });
  const [timer] = stage.timers.splice(0);
  stage.nowMs += 60_000;
  timer.run();
  assert.equal(stage.sockets.length, 1);
  stage.pass(15_000);
  assert.ok(stage.sockets.length > 1, "the question after the rest was never answered");
});

test("an answer brings the four times of the exchange", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  const ask = stage.last().sent[1];
  stage.nowMs += 12;
  stage.say({ type: "clock", id: ask.id, t1_us: ask.t1_us, t2_us: 5e6, t3_us: 5.001e6 });
  assert.deepEqual(stage.exchanges, [[1_000_000, 5e6, 5.001e6, 1_012_000]]);
});

test("a lost connection is tried again with growing pauses", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  const pauses = [];
  for (let i = 0; i < 7; i += 1) {
    stage.last().onclose();
    const before = stage.nowMs;
    stage.pass(stage.timers[0].atMs - stage.nowMs);
    pauses.push(stage.nowMs - before);
  }
  assert.deepEqual(pauses, [300, 600, 1200, 2400, 4800, 6000, 6000]);
  stage.last().onopen();
  assert.deepEqual(stage.last().sent.map((m) => m.type), ["hello"]);
});

test("a socket that falls silent is given up", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say(welcome);
  stage.pass(15_000);
  assert.ok(stage.sockets.length > 1, "no second try");
});

test("a refusal ends the tries and shows its text", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say({ type: "refused", reason: "code", text: "No rehearsal has this code." });
  stage.pass(60_000);
  assert.equal(stage.sockets.length, 1);
  assert.deepEqual(stage.said[stage.said.length - 1], ["refused", "No rehearsal has this code."]);
});

test("a closing server is waited for", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.say({ type: "refused", reason: "closing", text: "The server is shutting down." });
  stage.last().onclose();
  stage.pass(1000);
  assert.equal(stage.sockets.length, 2);
});

test("messages of a former socket are not heard", () => {
  const stage = staged();
  stage.room.start();
  const former = stage.last();
  former.onopen();
  former.onclose();
  former.onmessage({ data: JSON.stringify(welcome) });
  assert.deepEqual(stage.heard, []);
});

test("what is not a message is passed over", () => {
  const stage = staged();
  stage.room.start();
  stage.last().onopen();
  stage.last().onmessage({ data: "\u0000{" });
  stage.say(welcome);
  assert.equal(stage.heard.length, 1);
});

test("nothing is sent without a way", () => {
  const stage = staged();
  stage.room.start();
  assert.equal(stage.room.send({ type: "rest", resting: true }), false);
});

test("a version refusal says to reload, once", () => {
  assert.equal(refusalText({ reason: "version", text: "The page is old." }), "The page is old. Reload this page.");
  const written = "This page is older than the server: reload it.";
  assert.equal(refusalText({ reason: "version", text: written }), written);
});

test("a secure page uses a secure socket", () => {
  assert.equal(socketUrl({ protocol: "https:", host: "10.0.0.2:8471" }, "/ws/player"), "wss://10.0.0.2:8471/ws/player");
  assert.equal(socketUrl({ protocol: "http:", host: "127.0.0.1:8470" }, "/ws/player"), "ws://127.0.0.1:8470/ws/player");
});
