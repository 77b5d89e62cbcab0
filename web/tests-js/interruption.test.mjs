// A sound that is interrupted: when it is told, what is tried, when only a press helps. Context and track are stand-ins.

import assert from "node:assert/strict";
import test from "node:test";
import { Interruption } from "../static/interruption.js";
import { ScreenWake } from "../static/wake.js";

/** @param {boolean} goesOn whether the context runs when it is asked to */
function made(goesOn) {
  const context = Object.assign(new EventTarget(), {
    state: "running",
    nAsked: 0,
    async resume() {
      this.nAsked += 1;
      if (!goesOn) return;
      this.state = "running";
      this.dispatchEvent(new Event("statechange"));
    },
  });
  const track = Object.assign(new EventTarget(), { muted: false, readyState: "live" });
  /** @type {string[]} */
  const told = [];
  /** @type {(() => void)[]} */
  let waiting = [];
  const page = { isSeen: true };
  const interruption = new Interruption(
    /** @type {any} */ ({
      context,
      track,
      tell: (/** @type {string} */ way) => told.push(way),
      isSeen: () => page.isSeen,
      later: (/** @type {() => void} */ run) => {
        waiting.push(run);
        return run;
      },
      cancel: (/** @type {any} */ timer) => {
        waiting = waiting.filter((run) => run !== timer);
      },
    }),
  );
  /** A second passes. */
  const pass = async () => {
    const due = waiting;
    waiting = [];
    for (const run of due) run();
    await Promise.resolve();
  };
  const stop = (/** @type {string} */ state) => {
    context.state = state;
    context.dispatchEvent(new Event("statechange"));
  };
  return { context, track, told, page, interruption, pass, stop, nWaiting: () => waiting.length };
}

test("a context that was suspended is asked to go on, and that is all where it does", async () => {
  const { context, told, stop, interruption, nWaiting } = made(true);
  stop("suspended");
  await Promise.resolve();
  assert.deepEqual(told, ["stopped", "hears"]);
  assert.deepEqual([context.nAsked, interruption.hears, nWaiting()], [1, true, 0]);
});

test("one that does not go on needs a press after three tries, and is asked on meanwhile", async () => {
  const { context, told, stop, pass, interruption } = made(false);
  stop("interrupted");
  for (let i = 0; i < 5; i += 1) await pass();
  assert.deepEqual(told, ["stopped", "needs a press"]);
  assert.ok(context.nAsked > 3);
  // The press: it runs.
  stop("running");
  assert.deepEqual(told, ["stopped", "needs a press", "hears"]);
  assert.equal(interruption.way, "hears");
});

test("a hidden page asks for nothing, and for everything once it is seen", async () => {
  const { context, told, page, stop, pass, interruption } = made(true);
  page.isSeen = false;
  stop("suspended");
  for (let i = 0; i < 9; i += 1) await pass();
  assert.deepEqual([told, context.nAsked], [["stopped"], 0]);
  page.isSeen = true;
  await pass();
  assert.deepEqual([told, interruption.hears], [["stopped", "hears"], true]);
});

test("a muted track comes back by itself; one that ended needs a press, and nothing is tried", async () => {
  const { context, track, told, pass, nWaiting } = made(true);
  track.dispatchEvent(new Event("mute"));
  await pass();
  track.dispatchEvent(new Event("unmute"));
  assert.deepEqual(told, ["stopped", "hears"]);
  track.dispatchEvent(new Event("ended"));
  assert.deepEqual([told[2], nWaiting(), context.nAsked], ["needs a press", 0, 0]);
});

test("what is over tells nothing more", async () => {
  const { told, stop, pass, interruption } = made(false);
  interruption.end();
  stop("closed");
  await pass();
  assert.deepEqual(told, []);
});

test("the screen is asked for again when the system let go of it, and not where it is hidden", async () => {
  /** @type {any[]} */
  const locks = [];
  /** @type {(() => void)[]} */
  const waiting = [];
  const page = { visibilityState: "visible" };
  const navigator = {
    wakeLock: {
      request: async () => {
        const lock = Object.assign(new EventTarget(), { released: false });
        locks.push(lock);
        return lock;
      },
    },
  };
  const screen = new ScreenWake(/** @type {any} */ (navigator), /** @type {any} */ (page), (run) => waiting.push(run));
  assert.equal(screen.isPossible, true);
  await screen.keep();
  await screen.keep();
  assert.equal(locks.length, 1, "one is enough");
  locks[0].released = true;
  locks[0].dispatchEvent(new Event("release"));
  page.visibilityState = "hidden";
  for (const run of waiting.splice(0)) await run();
  assert.equal(locks.length, 1);
  page.visibilityState = "visible";
  await screen.keep();
  assert.equal(locks.length, 2);
  const without = new ScreenWake(/** @type {any} */ ({}), /** @type {any} */ (page), () => {});
  assert.equal(without.isPossible, false);
  await without.keep();
});
