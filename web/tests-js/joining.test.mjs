// Who a player is, in words and steps: the join page, the roster page, the player's own data, the conductor's notices.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { answerLabel } from "../static/conductor-notices.js";
import { firstStep } from "../static/join-form.js";
import { endWords, fetchNames, StrangeCode } from "../static/join-names.js";
import { devicesInWords, measuredInWords, sessionInWords } from "../static/mine-page.js";
import { inWords, textOfFile } from "../static/roster-page.js";
import { asSentence } from "../static/sentence.js";

test("what a server says becomes a sentence", () => {
  for (const [said, sentence] of [
    ["the room is closed for now: ask the conductor", "The room is closed for now: ask the conductor."],
    ["Is that you?", "Is that you?"],
    ["choose \u201cMy name is not here.\u201d", "Choose \u201cMy name is not here.\u201d"],
    [" ", ""],
  ]) assert.equal(asSentence(said), sentence);
});

test("a known device skips the names, and without names a nickname is asked for", () => {
  assert.equal(firstStep({ name: "Wren" }, 9), "known");
  assert.equal(firstStep(null, 9), "names");
  assert.equal(firstStep(null, 0), "nickname");
});

test("a row says who is in and which one is marked", () => {
  assert.deepEqual(
    [endWords(false, false), endWords(false, true), endWords(true, false), endWords(true, true)],
    ["", "is in", "that is me", "that is me"],
  );
});

test("names are asked for by the code as it is written, and a strange code is told from other troubles", async () => {
  const asked = [];
  const answer = (status, body) => async (path) => {
    asked.push(path);
    return { ok: status < 300, status, json: async () => body, text: async () => String(body) };
  };
  assert.deepEqual(await fetchNames(" kf3-m7p", answer(200, [1])), [1]);
  assert.deepEqual(asked, ["/join/KF3M7P/names.json"]);
  const strange = await fetchNames("KF3M7P", answer(404, "the code has changed\n")).catch((error) => error);
  assert.ok(strange instanceof StrangeCode);
  assert.equal(strange.message, "the code has changed");
  await assert.rejects(fetchNames("KF3M7P", answer(429, "wait a minute\n")), /^Error: wait a minute$/);
});

test("every answer of the protocol has a label", async () => {
  const source = await readFile(new URL("../protocol/src/messages/conductor.rs", import.meta.url), "utf8");
  const [, body] = source.match(/enum NoticeAnswer \{([^}]+)\}/);
  const answers = [...body.matchAll(/^ {4}(\w+),/gm)].map(([, name]) => name.replace(/(?<!^)([A-Z])/g, "-$1").toLowerCase());
  assert.equal(answers.length, 4);
  for (const answer of answers) assert.notEqual(answerLabel(answer), answer);
});

test("what is stored is said in words", () => {
  assert.equal(measuredInWords({ n_pulses: 0, n_spans: 1, sessions: [1, 2] }), "no pulses and 1 result in 2 sessions");
  // Noon, so that it is this day nearly everywhere.
  const session = { date: "2026-11-25T12:00:00Z", section: "Winds", name: "Wren", n_pulses: 812, n_spans: 1 };
  assert.equal(sessionInWords(session), "25 November 2026, Winds, as Wren: 812 pulses, 1 result");
  const devices = [
    { last_in: "2026-03-01T12:00:00Z", is_this_one: false },
    { last_in: "2026-03-02T12:00:00Z", is_this_one: true },
  ];
  assert.equal(devicesInWords(devices), "this one; one last in on 1 March 2026");
});

test("the roster counts who is in, nicknames as well", () => {
  const seats = [
    { person_id: "a", is_in: true },
    { person_id: "b", is_in: false },
    { person_id: null, is_in: true },
    { person_id: null, is_in: false },
  ];
  assert.equal(inWords(seats), "2 of 3 are in");
});

test("a file that is not UTF-8 or too long says so", async () => {
  const file = (bytes) => ({ size: bytes.length, arrayBuffer: async () => Uint8Array.from(bytes).buffer });
  assert.equal((await textOfFile(file([0x5a, 0x6f, 0xc3, 0xab]))).text, "Zo\u00eb");
  assert.match((await textOfFile(file([0x5a, 0x6f, 0xeb]))).trouble, /not UTF-8/);
  assert.match((await textOfFile({ size: 300 * 1024, arrayBuffer: async () => new ArrayBuffer(0) })).trouble, /300 kB/);
});
