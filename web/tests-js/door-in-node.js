// Opens the committed wasm in node, so that the pages' modules are tested against the protocol's own clock and score.

import "./english.js";
import { inWords } from "../static/said-words.js";
import { readFile } from "node:fs/promises";
import { SharedTime } from "../static/shared-time.js";

/**
 * @param {() => number} nowMs
 * @param {() => boolean} [isPlaying]
 * @returns {Promise<SharedTime>}
 */
export async function openTime(nowMs, isPlaying) {
  const bytes = await readFile(new URL("../static/windrow.wasm", import.meta.url));
  const { instance } = await WebAssembly.instantiate(bytes, {});
  return new SharedTime(/** @type {any} */ (instance.exports), nowMs, isPlaying);
}

/** One bar counted in from 6 s on, triplets at 60 for two bars, then straight at 120: the first note is beat 4, at 10 s. */
export const SCORE = {
  version: 1,
  start_us: 6e6,
  beats_per_bar: 4,
  spans: [
    { length_beats: 4, bpm: 60, target: { kind: "count-in" }, first_bar: 0 },
    { length_beats: 8, bpm: 60, target: { kind: "pulses", per_beat: 3 } },
    { bpm: 120, target: { kind: "straight" } },
  ],
};

/** @param {string} name file of the protocol's written samples */
export async function golden(name) {
  const sample = JSON.parse(await readFile(new URL(`../protocol/golden/${name}.json`, import.meta.url), "utf8"));
  return Array.isArray(sample) ? sample.map(inWords) : sample;
}
