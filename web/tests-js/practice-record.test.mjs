// What a device keeps of practising, and how it is handed in: rules over a shelf in memory.

import "./english.js";
import assert from "node:assert/strict";
import test from "node:test";
import { handIn, waiting } from "../static/hand-in.js";
import { higher, bodyOf, inTheWay, makeRoom, MOST_BYTES, MOST_PRACTICES, PracticeRecord, takeFile } from "../static/practice-record.js";
import { allInWords, handedInWords, practiceInWords } from "../static/practice-list.js";

/** @implements {import("../static/practice-record.js").Shelf} */
class MemoryShelf {
  constructor() {
    /** @type {Map<string, any>} */
    this.kept = new Map();
    /** @type {Map<string, Map<number, string>>} */
    this.texts = new Map();
    this.isFull = false;
  }
  async heads() {
    return [...this.kept.values()];
  }
  async putHead(/** @type {any} */ head) {
    this.kept.set(head.origin_id, { ...head });
  }
  async putPiece(/** @type {string} */ id, /** @type {number} */ place, /** @type {string} */ text) {
    if (this.isFull) throw new Error("full");
    if (!this.texts.has(id)) this.texts.set(id, new Map());
    this.texts.get(id)?.set(place, text);
  }
  async pieces(/** @type {string} */ id) {
    return [...(this.texts.get(id) ?? [])].sort(([a], [b]) => a - b).map(([, text]) => text);
  }
  async drop(/** @type {string} */ id) {
    this.kept.delete(id);
    this.texts.delete(id);
  }
}

const WHO = { origin_id: "a", began_unix_ms: Date.UTC(2026, 10, 26, 16), plan_title: "Monday", name: "Imogen", instrument: "flute" };

/** A run as the room tells it, as far as a record looks at it. */
const run = (/** @type {number} */ number, /** @type {any[]} */ ...stretches) => ({ type: "run", told: { number }, stretches });
const stretch = (/** @type {number} */ bpm, /** @type {number} */ perBeat, held = false, asked_s = 10) => ({
  bpm,
  target: { kind: "pulses", per_beat: perBeat },
  held,
  asked_s,
});

const bodies = async (/** @type {MemoryShelf} */ shelf, answers = [{ ok: true, status: 200, taken: true }]) => {
  /** @type {any[]} */
  const sent = [];
  const done = await handIn(
    shelf,
    async (body) => {
      sent.push(JSON.parse(body));
      const answer = answers[Math.min(sent.length, answers.length) - 1];
      if (!answer) throw new TypeError("no network");
      return { ...answer, json: async () => ({ taken: answer.taken }), text: async () => "too long ago" };
    },
    () => 7,
  );
  return { sent, done };
};

test("a practice is written as it goes, and each run once, as it was told last", async () => {
  const shelf = new MemoryShelf();
  const record = new PracticeRecord(shelf, WHO);
  record.take([{ type: "player" }]);
  await record.write();
  assert.equal((await shelf.heads()).length, 0, "nothing was played yet");
  record.take([{ type: "score" }, run(1, stretch(60, 1, false, 5))]);
  await record.write();
  record.take([{ type: "pulses", seq: 1 }, run(1, stretch(60, 1, true, 16)), run(2, stretch(60, 3, false, 20))]);
  await record.write();
  const { sent } = await bodies(shelf);
  assert.deepEqual(sent, [
    {
      origin_id: "a",
      began_unix_ms: Date.UTC(2026, 10, 26, 16),
      invented: false,
      plan_title: "Monday",
      protocol_version: 5,
      name: "Imogen",
      instrument: "flute",
      kept: [
        { type: "player" },
        { type: "score" },
        { type: "pulses", seq: 1 },
        run(1, stretch(60, 1, true, 16)),
        run(2, stretch(60, 3, false, 20)),
      ],
    },
  ]);
  const [head] = await shelf.heads();
  assert.deepEqual([head.played_s, head.rung], [36, { bpm: 60, per_beat: 1 }]);
});

test("the higher rung is the one with more pulses a second", () => {
  assert.deepEqual(higher({ bpm: 60, per_beat: 3 }, { bpm: 120, per_beat: 1 }), { bpm: 60, per_beat: 3 });
  assert.deepEqual(higher({ bpm: 60, per_beat: 2 }, { bpm: 63, per_beat: 2 }), { bpm: 63, per_beat: 2 });
  assert.deepEqual(higher(null, { bpm: 60, per_beat: 1 }), { bpm: 60, per_beat: 1 });
});

test("what could not be written is written the next time, in the same places", async () => {
  const shelf = new MemoryShelf();
  const record = new PracticeRecord(shelf, WHO);
  record.take([{ type: "player" }, run(1, stretch(60, 1))]);
  shelf.isFull = true;
  await assert.rejects(record.write());
  shelf.isFull = false;
  record.take([{ type: "score" }]);
  await record.write();
  const { sent } = await bodies(shelf);
  assert.deepEqual(sent[0].kept.map((/** @type {any} */ k) => k.type), ["player", "score", "run"]);
});

test("handing in goes from the oldest on, once each, and an answer that was lost is asked for again", async () => {
  const shelf = new MemoryShelf();
  for (const [origin_id, began_unix_ms] of /** @type {[string, number][]} */ ([["late", 3], ["early", 1], ["middle", 2]])) {
    const record = new PracticeRecord(shelf, { ...WHO, origin_id, began_unix_ms });
    record.take([run(1, stretch(60, 1))]);
    await record.write();
  }
  const lost = await bodies(shelf, [{ ok: true, status: 200, taken: true }, /** @type {any} */ (null)]);
  assert.deepEqual(lost.sent.map((body) => body.origin_id), ["early", "middle"]);
  assert.deepEqual(lost.done, { nTaken: 1, nRefused: 0, nLeft: 2 });
  // The server had taken it, though nobody heard.
  const again = await bodies(shelf, [{ ok: true, status: 200, taken: false }, { ok: true, status: 200, taken: true }]);
  assert.deepEqual(again.sent.map((body) => body.origin_id), ["middle", "late"]);
  assert.deepEqual(again.done, { nTaken: 1, nRefused: 0, nLeft: 0 });
  assert.equal((await bodies(shelf)).sent.length, 0);
});

test("what is not taken says why and is not sent again; a busy computer or a device not known yet is asked later", async () => {
  const shelf = new MemoryShelf();
  const record = new PracticeRecord(shelf, WHO);
  record.take([run(1, stretch(60, 1))]);
  await record.write();
  for (const status of [404, 403, 429, 503]) {
    const { done } = await bodies(shelf, [{ ok: false, status, taken: false }]);
    assert.deepEqual(done, { nTaken: 0, nRefused: 0, nLeft: 1 }, String(status));
  }
  const { done } = await bodies(shelf, [{ ok: false, status: 422, taken: false }]);
  assert.deepEqual(done, { nTaken: 0, nRefused: 1, nLeft: 0 });
  assert.equal((await shelf.heads())[0].refused, "too long ago");
  assert.equal(handedInWords((await shelf.heads())[0]), "Not taken by your teacher’s computer: too long ago");
  assert.equal(waiting(await shelf.heads()).length, 0);
});

test("a device keeps so many, and those that the teacher has go first, the oldest before", async () => {
  const shelf = new MemoryShelf();
  const head = (/** @type {number} */ i, /** @type {boolean} */ isIn, n_bytes = 1000) => ({
    ...WHO,
    origin_id: String(i),
    began_unix_ms: i,
    handed_in_unix_ms: isIn ? 1 : null,
    n_bytes,
  });
  const all = Array.from({ length: MOST_PRACTICES + 2 }, (_, i) => head(i, i === 5 || i === 20));
  assert.deepEqual(inTheWay(/** @type {any} */ (all)).map((h) => h.origin_id), ["5", "20"]);
  assert.deepEqual(inTheWay(/** @type {any} */ ([head(1, false, MOST_BYTES), head(2, false, 1)])).map((h) => h.origin_id), ["1"]);
  for (const one of all) await shelf.putHead(one);
  await makeRoom(shelf);
  assert.equal((await shelf.heads()).length, MOST_PRACTICES);
});

test("a practice that was saved as a file is the same on another device, once", async () => {
  const [here, there] = [new MemoryShelf(), new MemoryShelf()];
  const record = new PracticeRecord(here, WHO);
  record.take([{ type: "player" }, run(1, stretch(60, 3, true, 30))]);
  await record.write();
  const text = await bodyOf(here, (await here.heads())[0]);
  assert.equal(await takeFile(there, text), true);
  assert.equal(await takeFile(there, text), true);
  assert.deepEqual(await there.heads(), await here.heads());
  assert.equal(await bodyOf(there, (await there.heads())[0]), text);
  for (const strange of ["", "{}", "[]", '{"format":"windrow-plan"}', text.slice(0, -9)]) {
    assert.equal(await takeFile(there, strange), false, strange);
  }
  assert.equal((await there.heads()).length, 1);
});

test("a practice is told in words", () => {
  const head = /** @type {any} */ ({ ...WHO, played_s: 725, rung: { bpm: 66, per_beat: 3 }, handed_in_unix_ms: null, refused: "" });
  assert.equal(practiceInWords(head).what, "Monday · 12 minutes · held Triplets at 66");
  assert.equal(handedInWords(head), "On this device alone so far.");
  assert.equal(handedInWords({ ...head, handed_in_unix_ms: 1 }), "With your teacher.");
  assert.equal(allInWords([head, { ...head, rung: { bpm: 60, per_beat: 4 }, played_s: 60 }]), "2 practices, 13 minutes together. Highest rung held: Sixteenths at 60.");
  assert.equal(allInWords([{ ...head, rung: null, played_s: 20 }]), "One practice, less than a minute.");
});
