// What a conductor's page makes of the pictures it is sent: the first whole, then what is different.

import assert from "node:assert/strict";
import test from "node:test";
import { golden } from "./door-in-node.js";
import { RoomPicture } from "../static/room-picture.js";
import { inWords } from "../static/said-words.js";

const { messages, room } = await golden("room-pictures");
const copyOf = (value) => JSON.parse(JSON.stringify(value));

/** As a page reads it: what is null, false or empty is the same as what is not there. */
function plain(value) {
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value !== "object" || value === null) return value;
  const isThere = (told) => told !== null && told !== false && !(Array.isArray(told) && told.length === 0);
  const fields = Object.entries(value).filter(([, told]) => isThere(told));
  return Object.fromEntries(fields.map(([name, told]) => [name, plain(told)]));
}

test("the changes make of the first picture the last", () => {
  const picture = new RoomPicture();
  for (const message of messages) assert.ok(picture.take(inWords(copyOf(message))));
  assert.deepEqual(plain(picture.now), plain(inWords(copyOf(room))));
});

test("what there is not any more is gone, as from a whole picture", () => {
  const picture = new RoomPicture();
  picture.take({ type: "room", say: { text: "x" }, score: null, lanes: [{ player_id: "a", timing_ms: 3, pulses: [], centre_tail: [] }] });
  assert.equal(Object.hasOwn(picture.now, "score"), false);
  picture.take({ type: "room-change", time_us: 1, say: null, changed: [{ place: 0, timing_ms: null }] });
  assert.deepEqual(picture.now, { type: "room", time_us: 1, lanes: [{ player_id: "a", pulses: [], centre_tail: [] }] });
});

test("what was shown before stays as it was", () => {
  const picture = new RoomPicture();
  const shown = messages.map((message) => picture.take(copyOf(message)));
  const then = copyOf(shown);
  picture.take({ type: "room-change", time_us: 5e9, changed: [{ place: 0, state: "away", pulses: { gone: 1, new: [{ time_us: 1 }] } }] });
  assert.deepEqual(copyOf(shown), then);
  assert.notEqual(picture.now.lanes[0], shown.at(-1).lanes[0]);
  assert.equal(picture.now.lanes[1], shown.at(-1).lanes[1]);
});

test("after a new connection the first picture is whole again, and before one there is nothing to change", () => {
  const picture = new RoomPicture();
  assert.equal(picture.take(copyOf(messages[1])), null);
  assert.equal(picture.take({ type: "cannot-do", text: "no" }), null);
  for (const message of [...messages.slice(0, 4), room]) picture.take(copyOf(message));
  assert.deepEqual(plain(picture.now), plain(room));
});
