// Nothing acknowledged is lost, nothing unacknowledged is forgotten, and of readings only the newest counts.

import assert from "node:assert/strict";
import test from "node:test";
import { Outbox } from "../static/outbox.js";

const pulses = (seq) => ({ type: "pulses", seq, pulses: [] });

test("what is not acknowledged is sent again in order after a break", () => {
  const outbox = new Outbox();
  const sent = [];
  for (const seq of [1, 2, 3]) outbox.keep(pulses(seq), (m) => sent.push(m.seq));
  for (const seq of [4, 5]) outbox.keep(pulses(seq), null);
  assert.deepEqual(sent, [1, 2, 3]);
  const again = [];
  outbox.resume(2, (m) => again.push(m.seq));
  assert.deepEqual(again, [3, 4, 5]);
  assert.equal(outbox.lastSeq, 5);
});

test("what is acknowledged is forgotten", () => {
  const outbox = new Outbox();
  for (const seq of [1, 2, 3]) outbox.keep(pulses(seq), null);
  outbox.acknowledge(3);
  outbox.resume(0, () => assert.fail("sent what was safe"));
});

test("readings wait while the socket is backed up, and only the newest is sent", () => {
  const outbox = new Outbox();
  const sent = [];
  const send = (m) => sent.push(m.seq ?? m.type);
  outbox.newest({ type: "reading", seq: 1 }, send, 100_000);
  outbox.newest({ type: "reading", seq: 2 }, send, 100_000);
  assert.deepEqual(sent, []);
  outbox.newest({ type: "reading", seq: 3 }, send, 0);
  assert.deepEqual(sent, [3]);
  outbox.resume(0, send);
  assert.deepEqual(sent, [3], "an older reading must not follow a newer one");
});

test("a reading made without a way is sent after the welcome", () => {
  const outbox = new Outbox();
  const sent = [];
  outbox.newest({ type: "reading", seq: 7 }, null, 0);
  outbox.resume(0, (m) => sent.push(m.seq));
  assert.deepEqual(sent, [7]);
});

test("the outbox is bounded, gives up the oldest and counts them", () => {
  const outbox = new Outbox();
  for (let seq = 1; seq <= 2500; seq += 1) outbox.keep(pulses(seq), null);
  assert.equal(outbox.unacknowledged.length + outbox.nDropped, 2500);
  assert.equal(outbox.unacknowledged[outbox.unacknowledged.length - 1].seq, 2500);
  assert.ok(outbox.nDropped > 0 && outbox.isFull);
  outbox.acknowledge(2000);
  assert.ok(!outbox.isFull);
});

test("what belongs to another room is let go of, and numbering goes on", () => {
  const outbox = new Outbox();
  const sent = [];
  outbox.keep(pulses(1), null);
  outbox.newest({ type: "reading", seq: 1 }, null, 0);
  outbox.forget();
  outbox.resume(0, (m) => sent.push(m));
  assert.deepEqual(sent, []);
  assert.equal(outbox.lastSeq, 1);
});
