// What a second of sound costs in a browser's engine: feeds tones to the committed wasm through its door, in blocks as
// the page's worker does, and prints the share of one core. Needs node alone: the engine is that of Chromium.
//
//   node web/benches/wasm-realtime.mjs [FILE.wasm]

import { readFile } from "node:fs/promises";

const SAMPLE_RATE_HZ = 48_000;
const SECONDS = 10;
const ROUNDS = 5;
/** As `listen-processor.js` gathers them. */
const BLOCK_SAMPLES = 2048;

/**
 * Eight harmonics, swelling by 6 dB and swinging by 20 cents, both sinusoidal.
 * @param {number} f0Hz
 * @param {number} pulsesHz
 */
function tone(f0Hz, pulsesHz) {
  const samples = new Float32Array(SECONDS * SAMPLE_RATE_HZ);
  let cycles = 0;
  for (let i = 0; i < samples.length; i += 1) {
    const wave = Math.cos((2 * Math.PI * pulsesHz * i) / SAMPLE_RATE_HZ);
    const hz = f0Hz * 2 ** ((10 * wave) / 1200);
    let sum = 0;
    for (let h = 1; h <= 8 && h * hz < 0.48 * SAMPLE_RATE_HZ; h += 1) sum += Math.sin(2 * Math.PI * h * cycles) / h;
    samples[i] = 0.2 * 10 ** ((3 * (wave - 1)) / 20) * sum;
    cycles = (cycles + hz / SAMPLE_RATE_HZ) % 1;
  }
  return samples;
}

/**
 * Sixteenths at 120 counted in by a bar, in which ticks are looked for all the time, as with headphones.
 * @param {any} door
 */
function setTicking(door) {
  const none = NaN;
  const score = [1, 2e5, 4, 4, 120, none, 4, 0, none, none, none, none, 120, none, 1, 4, none, none, none];
  new Float64Array(door.memory.buffer, door.score_in_ptr(), score.length).set(score);
  if (door.score_set(score.length) !== 0) throw new Error("the door refuses the score");
}

/** @param {any} door @param {Float32Array} samples @returns {{ ms: number, nMessages: number }} */
function listen(door, samples) {
  if (door.listener_open(SAMPLE_RATE_HZ, 440) !== 0) throw new Error("the door refuses to open");
  door.listener_time_map(0, 1e6);
  let nMessages = 0;
  const start = performance.now();
  for (let at = 0; at < samples.length; at += BLOCK_SAMPLES) {
    const block = samples.subarray(at, at + BLOCK_SAMPLES);
    new Float32Array(door.memory.buffer, door.input_ptr(), block.length).set(block);
    const n = door.listener_push(block.length);
    if (n > 0) {
      const text = new TextDecoder().decode(new Uint8Array(door.memory.buffer, door.output_ptr(), door.output_len()));
      nMessages += text.split("\n").map((line) => JSON.parse(line)).length;
    }
  }
  return { ms: performance.now() - start, nMessages };
}

const file = process.argv[2] ?? new URL("../static/windrow.wasm", import.meta.url);
const { instance } = await WebAssembly.instantiate(await readFile(file), {});
const sounds = /** @type {[string, number, number][]} */ ([
  ["contrabassoon", 29.14, 4],
  ["bassoon", 110, 1],
  ["oboe", 440, 5],
  ["piccolo", 4186, 6],
  ["straight oboe", 440, 0],
  ["oboe, ticking", 440, 5],
]);
for (const [name, f0Hz, pulsesHz] of sounds) {
  if (name.endsWith("ticking")) setTicking(instance.exports);
  const samples = tone(f0Hz, pulsesHz);
  const rounds = Array.from({ length: ROUNDS }, () => listen(instance.exports, samples));
  const { ms, nMessages } = rounds.sort((a, b) => a.ms - b.ms)[Math.floor(ROUNDS / 2)];
  // Ten readings a second: with fewer it was not listening.
  if (nMessages < 8 * SECONDS) throw new Error(`${name}: only ${nMessages} messages`);
  const share = (ms / 1000 / SECONDS) * 100;
  console.log(
    `${name.padStart(14)} ${f0Hz.toFixed(1).padStart(7)} Hz: ${share.toFixed(2)} % of a core, ` +
      `${((SECONDS * 1000) / ms).toFixed(0)} times real time`,
  );
}
