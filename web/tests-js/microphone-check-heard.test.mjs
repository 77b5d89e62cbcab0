// The check of a microphone over sound that the committed wasm hears, from contrabassoon to piccolo: tones made by formula in
// noise of a known level, so that what should be found is known.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { MicrophoneCheck } from "../static/microphone-check.js";
import { outputText } from "../static/shared-time.js";

const RATE_HZ = 48_000;
const BLOCK = 2048;
/** The room alone, then the tone, s. */
const ROOM_S = 5;
const TONE_S = 6.5;
const NOISE_DB = -62;

const bytes = await readFile(new URL("../static/windrow.wasm", import.meta.url));
const wasm = await WebAssembly.compile(bytes);

/**
 * Lets the wasm hear a room and a tone in it, and runs a check over what it says.
 * @param {(t: number) => number} tone from its beginning on
 * @param {number | null} expectedMidi
 */
async function checkOf(tone, expectedMidi) {
  const door = (await WebAssembly.instantiate(wasm, {})).exports;
  assert.equal(door.listener_open(RATE_HZ, 440), 0);
  door.listener_time_map(0, 1e6);
  const check = new MicrophoneCheck({ expectedMidi, isMusicOn: false, report: { sample_rate_hz: RATE_HZ, still_on: [] } }, 300);
  // A linear congruential generator (Numerical Recipes); a uniform value's power is a third.
  let seed = 11;
  const noise = () => {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
    return 10 ** (NOISE_DB / 20) * Math.sqrt(3) * ((seed / 2 ** 32) * 2 - 1);
  };
  const block = new Float32Array(BLOCK);
  for (let at = 0; at < (ROOM_S + TONE_S) * RATE_HZ && check.phase !== "done"; at += BLOCK) {
    for (let i = 0; i < BLOCK; i += 1) {
      const t = (at + i) / RATE_HZ - ROOM_S;
      block[i] = noise() + (t >= 0 ? Math.min(t / 0.05, 1) * tone(t) : 0);
    }
    new Float32Array(door.memory.buffer, door.input_ptr(), BLOCK).set(block);
    if (door.listener_push(BLOCK) === 0) continue;
    for (const line of outputText(door).split("\n")) {
      const message = JSON.parse(line);
      if (message.type === "reading") check.take(message, (1000 * (at + BLOCK)) / RATE_HZ);
    }
  }
  assert.equal(check.phase, "done");
  return check.result();
}

const hzOf = (midi) => 440 * 2 ** ((midi - 69) / 12);

/** Up to eight harmonics that fall off by their number. */
const harmonics = (midi, amplitude) => (t) => {
  let sum = 0;
  for (let h = 1; h <= 8 && h * hzOf(midi) < 15_000; h += 1) sum += Math.sin(2 * Math.PI * h * hzOf(midi) * t) / h;
  return amplitude * sum;
};

test("a good tone is well from contrabassoon to piccolo, and its note is known", async () => {
  // Bb0, Bb1, C3, Bb3, A4, D6, C8: the ends and the middle of what winds play.
  for (const midi of [22, 34, 48, 58, 69, 86, 108]) {
    const result = await checkOf(harmonics(midi, 0.1), midi);
    assert.deepEqual(result.findings, [], `note ${midi}: ${JSON.stringify(result)}`);
    assert.ok(Math.abs(result.heardMidi - midi) < 0.05, `note ${midi} heard as ${result.heardMidi}`);
    assert.ok(Math.abs(result.noiseDb - NOISE_DB) < 5, `the room at ${result.noiseDb} dB`);
  }
});

test("a tone that pulses by six decibels five times a second is no device's doing", async () => {
  const tone = harmonics(62, 0.1);
  const pulsed = (t) => 10 ** ((-3 + 3 * Math.cos(2 * Math.PI * 5 * t)) / 20) * tone(t);
  assert.deepEqual((await checkOf(pulsed, 62)).findings, []);
});

test("a tone that is suppressed after two seconds, and one whose gain comes down, are found", async () => {
  const tone = harmonics(65, 0.1);
  const suppressed = await checkOf((t) => tone(t) * Math.min(Math.max(1 - (t - 2) / 0.4, 0.001), 1), 65);
  assert.deepEqual(suppressed.findings, ["gated"]);
  // From twice the level it settles at with a time constant of a second, as slow controls do.
  const turned = await checkOf((t) => tone(t) * (1 + 2 * Math.exp(-t)), 65);
  assert.deepEqual(turned.findings, ["level-turned"], JSON.stringify(turned));
});

test("a transposition that was chosen wrongly is heard", async () => {
  const result = await checkOf(harmonics(70, 0.1), 72);
  assert.deepEqual(result.findings, ["other-note"]);
});
