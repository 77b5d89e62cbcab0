// What the conductor reads of the room's door.

import assert from "node:assert/strict";
import { test } from "node:test";
import "./english.js";
import { codeWord, doorTitle } from "../static/door-words.js";

test("a closed room is said to be closed, and how", () => {
  assert.deepEqual(["open", "closed", "timed-out", undefined].map(doorTitle), [
    "The room is open",
    "The room is closed",
    "The room has closed by itself",
    "The room is open",
  ]);
  assert.deepEqual(["open", "closed", "timed-out"].map(codeWord), ["code", "closed; code", "closed; code"]);
});
