// The steps of the metronome buttons.

import assert from "node:assert/strict";
import test from "node:test";
import { fasterBpm, MARKS_BPM, slowerBpm } from "../static/metronome-steps.js";

test("the marks rise by 2, 3, 4, 6 and 8 as on a metronome", () => {
  // Ranges of the steps as printed on mechanical metronomes: 40-60 by 2, -72 by 3, -120 by 4, -144 by 6, -208 by 8.
  const stepAt = (bpm) => (bpm < 60 ? 2 : bpm < 72 ? 3 : bpm < 120 ? 4 : bpm < 144 ? 6 : 8);
  MARKS_BPM.slice(1).forEach((mark, i) => assert.equal(mark - MARKS_BPM[i], stepAt(MARKS_BPM[i]), `after ${MARKS_BPM[i]}`));
});

test("faster and slower undo each other on every mark but the last", () => {
  for (const mark of MARKS_BPM.slice(0, -1)) assert.equal(slowerBpm(fasterBpm(mark)), mark);
});

test("a tempo between two marks goes to the neighbour", () => {
  assert.equal(slowerBpm(65), 63);
  assert.equal(fasterBpm(65), 66);
});

test("there is nothing beyond the ends", () => {
  assert.equal(slowerBpm(40), null);
  assert.equal(fasterBpm(208), null);
});
