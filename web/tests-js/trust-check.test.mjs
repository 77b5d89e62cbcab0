// The welcome page asks until the device trusts the conductor's computer, tells a refusal from silence, and rests while
// nobody looks.

import assert from "node:assert/strict";
import test from "node:test";
import { AGAIN_AFTER_MS, SILENT_AFTER_MS, TrustCheck } from "../static/trust-check.js";

/** A page with a clock of its own; `answers` are what the site does at each attempt. */
function page(answers) {
  const waiting = [];
  const told = [];
  const asked = [];
  const around = {
    isVisible: true,
    now: 0,
    async pass(ms) {
      this.now += ms;
      for (const timer of waiting.splice(0)) {
        if (timer.at <= this.now) timer.then();
        else waiting.push(timer);
      }
      await settle();
    },
  };
  const check = new TrustCheck("https://192.168.1.5:8471", (outcome) => told.push(outcome), {
    fetch: (url, { signal }) => {
      asked.push(url);
      const answer = answers.shift();
      if (answer === "silence") {
        return new Promise((_, reject) => signal.addEventListener("abort", () => reject(new Error("aborted"))));
      }
      return answer === "refusal" ? Promise.reject(new TypeError("failed")) : Promise.resolve({ ok: answer === "yes" });
    },
    later: (then, afterMs) => waiting.push({ then, at: around.now + afterMs }),
    isVisible: () => around.isVisible,
  });
  return { around, check, told, asked };
}

const settle = () => new Promise((resolve) => setImmediate(resolve));

test("it asks again until the site is trusted, and then no more", async () => {
  const { around, check, told, asked } = page(["refusal", "refusal", "yes"]);
  await check.ask();
  assert.deepEqual(told, ["refused"]);
  await around.pass(AGAIN_AFTER_MS);
  await around.pass(AGAIN_AFTER_MS);
  assert.deepEqual(told, ["refused", "refused", "trusted"]);
  await around.pass(60_000);
  await check.ask();
  assert.equal(asked.length, 3);
  assert.equal(asked[0], "https://192.168.1.5:8471/welcome/trusted");
});

test("a device that trusts already goes on at once", async () => {
  const { check, told } = page(["yes"]);
  await check.ask();
  assert.deepEqual(told, ["trusted"]);
});

test("a door that swallows everything is told from a refusal", async () => {
  const { around, check, told } = page(["silence", "refusal"]);
  void check.ask();
  await around.pass(SILENT_AFTER_MS - 1);
  assert.deepEqual(told, []);
  await around.pass(1);
  assert.deepEqual(told, ["silent"]);
  await around.pass(AGAIN_AFTER_MS);
  assert.deepEqual(told, ["silent", "refused"]);
});

test("nobody is asked while nobody looks, and at once when somebody does", async () => {
  const { around, check, told, asked } = page(["refusal", "yes"]);
  await check.ask();
  around.isVisible = false;
  await around.pass(60_000);
  assert.equal(asked.length, 1);
  around.isVisible = true;
  await Promise.all([check.ask(), check.ask()]);
  assert.deepEqual(told, ["refused", "trusted"]);
  assert.equal(asked.length, 2, "two at once are one");
});
