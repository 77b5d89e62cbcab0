// A microphone that cannot be had: its status for the room, and what the player reads.

import assert from "node:assert/strict";
import test from "node:test";
import "./english.js";
import { openMicrophone, stillOn, troubleOf } from "../static/microphone.js";
import { atHand, howToAllow } from "../static/microphone-words.js";

test("each microphone trouble has a status the room knows and advice for the player", () => {
  const here = { device: "other", browser: "chrome" };
  const trouble = (name, message = "") => troubleOf(name, message, "denied", here);
  assert.equal(trouble("NotAllowedError").status, "refused");
  assert.equal(trouble("NotFoundError").status, "missing");
  assert.equal(trouble("NotReadableError").status, "lost");
  for (const name of ["NotAllowedError", "NotFoundError", "NotReadableError"]) {
    assert.match(trouble(name).message, /[Tt]hen press “Listen again”/);
  }
  assert.match(trouble("NotAllowedError", "Permission denied by system").message, /does not let Chrome use the microphone/);
  assert.match(troubleOf("NotAllowedError", "Permission dismissed", "prompt", here).message, /Press “Listen again” and choose “Allow”/);
  assert.deepEqual(stillOn({ echoCancellation: false, autoGainControl: true }), ["auto-gain-control"]);
});

test("a page that came without https says so, and one in an old browser", async () => {
  const secure = globalThis.isSecureContext;
  for (const [isSecure, status, words] of [
    [false, "insecure", /https address/],
    [true, "missing", /newer/],
  ]) {
    globalThis.isSecureContext = isSecure;
    await assert.rejects(openMicrophone({}), (error) => error.status === status && words.test(error.message));
  }
  globalThis.isSecureContext = secure;
});

test("how to allow the microphone depends on the browser at hand", () => {
  // How browsers call themselves, shortened; from memory.
  for (const [agent, nTouches, device, browser, words] of [
    ["(iPhone; CPU iPhone OS 18_5 like Mac OS X) Version/18.5 Mobile/15E148 Safari/604.1", 5, "iphone", "safari", /Website Settings/],
    ["(Macintosh; Intel Mac OS X 10_15_7) Version/18.5 Safari/605.1.15", 5, "iphone", "safari", /Website Settings/],
    ["(Macintosh; Intel Mac OS X 10_15_7) Version/18.5 Safari/605.1.15", 0, "mac", "safari", /Settings for this Website/],
    ["(iPhone; CPU iPhone OS 18_5 like Mac OS X) CriOS/139.0.0.0 Mobile/15E148 Safari/604.1", 5, "iphone", "chrome", /Apps, Chrome/],
    ["(iPhone; CPU iPhone OS 18_5 like Mac OS X) FxiOS/142.0 Mobile/15E148 Safari/605.1.15", 5, "iphone", "firefox", /Apps, Firefox/],
    ["(Linux; Android 10; K) Chrome/139.0.0.0 Mobile Safari/537.36", 5, "android", "chrome", /Permissions/],
    ["(Android 15; Mobile; rv:142.0) Gecko/142.0 Firefox/142.0", 5, "android", "firefox", /lock beside the address/],
    ["(X11; CrOS x86_64 14541.0.0) Chrome/139.0.0.0 Safari/537.36", 0, "chromebook", "chrome", /the school has barred it/],
    ["(Windows NT 10.0; Win64; x64) Chrome/139.0.0.0 Safari/537.36 Edg/139.0.0.0", 0, "other", "edge", /left of the address/],
    ["(X11; Linux x86_64; rv:142.0) Gecko/20100101 Firefox/142.0", 0, "other", "firefox", /crossed-out microphone/],
  ]) {
    const here = atHand(`Mozilla/5.0 ${agent}`, nTouches);
    assert.deepEqual(here, { device, browser }, agent);
    assert.match(howToAllow(here), words, agent);
  }
});
