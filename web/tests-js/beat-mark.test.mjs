// The moving beat mark: on its line on the beat, and never a flash.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { beatsOfMovement, heightAt, MARK_PX, MOST_PER_S, SAFE_AREA_PX, SPOKEN_BOX_PX, WAY_PX } from "../static/beat-mark.js";
import { laneParts } from "../static/player-lane.js";

test("the mark is on its line on the beat and highest midway", () => {
  for (const beat of [0, 1, 7, -3]) assert.equal(heightAt(beat, 72), 0);
  assert.equal(heightAt(2.5, 72), 1);
  // Falling as a thrown thing does: halfway in time, three quarters of the way up.
  assert.equal(heightAt(2.25, 72), 0.75);
  assert.equal(heightAt(2.75, 72), 0.75);
});

test("it moves without a jump at every tempo", () => {
  for (let bpm = 20; bpm <= 400; bpm += 1) {
    const beatsAFrame = bpm / 60 / 60;
    // The steepest part of the parabola is four heights a movement.
    const most = (4 * beatsAFrame) / beatsOfMovement(bpm) + 1e-9;
    for (let beat = 0; beat < 8; beat += beatsAFrame) {
      const step = Math.abs(heightAt(beat + beatsAFrame, bpm) - heightAt(beat, bpm));
      assert.ok(step <= most, `${bpm}: ${step}`);
    }
  }
});

test("nothing comes back more than three times in a second, whatever the tempo and the subdivision", () => {
  for (let bpm = 20; bpm <= 400; bpm += 1) {
    for (const perBeat of [0, 1, 2, 3, 4, 6]) {
      // Frames of a fast screen; a subdivision must not show in the movement, so it is only looked at more closely.
      const framesPerS = 120 * Math.max(perBeat, 1);
      const arrivalsS = [];
      let before = heightAt(0, bpm);
      let isFalling = false;
      for (let frame = 1; frame <= 8 * framesPerS; frame += 1) {
        const height = heightAt((frame / framesPerS) * (bpm / 60), bpm);
        if (isFalling && height > before) arrivalsS.push(frame / framesPerS);
        if (height !== before) isFalling = height < before;
        before = height;
      }
      for (const from of arrivalsS) {
        const inASecond = arrivalsS.filter((at) => at >= from && at < from + 1 - 2 / framesPerS).length;
        assert.ok(inASecond <= MOST_PER_S, `${bpm} with ${perBeat}: ${inASecond}`);
      }
    }
  }
});

test("all that moves or changes with the beat is smaller than what may flash", () => {
  assert.ok(MARK_PX * (MARK_PX + WAY_PX) < SAFE_AREA_PX / 20);
  assert.ok(SPOKEN_BOX_PX.width * SPOKEN_BOX_PX.height + MARK_PX * (MARK_PX + WAY_PX) < SAFE_AREA_PX);
});

test("the style sheet draws them in that size and animates neither brightness nor colour", async () => {
  const css = await readFile(new URL("../static/player-lane.css", import.meta.url), "utf8");
  const rule = (selector) => css.split(`${selector} {`)[1].split("}")[0];
  const mark = rule(".beat-mark");
  assert.match(mark, new RegExp(`width: ${MARK_PX}px`));
  assert.match(mark, new RegExp(`height: ${MARK_PX}px`));
  const spoken = rule(".spoken-number");
  assert.match(spoken, /font-size: var\(--spoken/);
  for (const height of [200, 326, 500, 900]) assert.ok(laneParts(height).spoken <= SPOKEN_BOX_PX.height);
  assert.equal(laneParts(500).spoken, SPOKEN_BOX_PX.height);
  for (const text of [mark, spoken]) assert.doesNotMatch(text, /animation|transition|opacity/);
});
