// A player's own weeks: what the page asks, and what it says where nothing comes.

import assert from "node:assert/strict";
import { test } from "node:test";
import "./english.js";
import { show } from "../static/weeks-page.js";

globalThis.DOMParser ??= /** @type {any} */ (
  class {
    /** @param {string} text */
    parseFromString(text) {
      return { body: { childNodes: [text] } };
    }
  }
);

/** A page with the three places that are written to. */
function page() {
  const made = Object.fromEntries(
    ["weeks", "trouble", "nothing"].map((id) => [
      id,
      {
        hidden: id !== "weeks",
        textContent: "",
        dataset: {},
        children: /** @type {string[]} */ ([]),
        replaceChildren(/** @type {string[]} */ ...nodes) {
          this.children = nodes;
        },
      },
    ]),
  );
  return { made, document: /** @type {any} */ ({ getElementById: (/** @type {string} */ id) => made[id] }) };
}

/** @param {number} status @param {string} text */
const answers = (status, text = "") => {
  /** @type {[string, any][]} */
  const asked = [];
  const ask = async (/** @type {string} */ path, /** @type {any} */ how) => {
    asked.push([path, how]);
    return { ok: status === 200, status, text: async () => text };
  };
  return { asked, ask: /** @type {any} */ (ask) };
};

test("the token goes in a header and what was chosen in the address", async () => {
  const { made, document } = page();
  const { asked, ask } = answers(200, "<h1>Wren</h1>");
  await show(document, ask, "secret", "?pulses=3");
  assert.equal(asked[0][0], "/mine/weeks/part?pulses=3");
  assert.equal(asked[0][1].headers["x-windrow-device"], "secret");
  assert.deepEqual(made.weeks.children, ["<h1>Wren</h1>"]);
  assert.ok(made.nothing.hidden && made.trouble.hidden);
});

test("a strange device is told that nothing is stored, without being asked for if it has no token", async () => {
  const none = page();
  const { asked, ask } = answers(404);
  await show(none.document, ask, "", "");
  assert.deepEqual([asked.length, none.made.nothing.hidden], [0, false]);
  const strange = page();
  await show(strange.document, ask, "old", "");
  assert.deepEqual([asked.length, strange.made.nothing.hidden, strange.made.trouble.hidden], [1, false, true]);
});

test("what went wrong is said with what to do", async () => {
  const busy = page();
  await show(busy.document, answers(503).ask, "secret", "");
  assert.match(busy.made.trouble.textContent, /again in a moment/);
  const away = page();
  const fails = /** @type {any} */ (async () => Promise.reject(new TypeError("no network")));
  await show(away.document, fails, "secret", "");
  assert.match(away.made.trouble.textContent, /room's Wi-Fi/);
  assert.equal(away.made.trouble.hidden, false);
});
