// The check of a microphone over readings made by formula: what is found, worst first, and the words for it. Readings come
// ten a second, as from the analysis; levels are those of the formula, notes those of the tempered scale at 440 Hz.

import assert from "node:assert/strict";
import test from "node:test";
import "./english.js";
import { factWords, findingWords, taskWords, writtenName } from "../static/check-words.js";

import { checkMessage, MicrophoneCheck } from "../static/microphone-check.js";
import { golden } from "./door-in-node.js";

const RAW = { sample_rate_hz: 48_000, still_on: [] };

/**
 * Runs a check: three seconds of a room, then from `onsetMs` of the tone's part on a tone whose level is a formula of time.
 * @param {object} given
 */
function run({ roomDb = -65, toneDb = () => -25, untilS = 9, note = "A4", cents = 0, capture, setting = {} }) {
  const check = new MicrophoneCheck({ expectedMidi: null, isMusicOn: false, report: RAW, ...setting }, 0);
  let onsetMs = NaN;
  for (let nowMs = 100; nowMs < 30_000 && check.phase !== "done"; nowMs += 100) {
    if (check.phase === "tone" && Number.isNaN(onsetMs)) onsetMs = nowMs + 1000;
    const toneS = (nowMs - onsetMs) / 1000;
    const sounds = toneS >= 0 && toneS < untilS && toneDb !== null;
    const reading = sounds
      ? { type: "reading", hearing: "straight", level_db: toneDb(toneS), note, cents, centre_cents: cents }
      : { type: "reading", hearing: "unclear", level_db: roomDb };
    check.take(capture ? { ...reading, capture } : reading, nowMs);
  }
  assert.equal(check.phase, "done");
  return check.result();
}

/** @param {any} given @param {string[]} expected @param {RegExp[]} words */
function check(given, expected, ...words) {
  const result = run(given);
  assert.deepEqual(result.findings, expected);
  const said = findingWords(result, given.instrument ?? "flute");
  assert.equal(said.length, expected.length);
  words.forEach((word, i) => assert.match(`${said[i].what} ${said[i].change}`, word));
  return result;
}

test("a clear tone in a quiet room is all well", () => {
  const result = check({}, []);
  assert.deepEqual([result.toneDb, result.noiseDb, result.heardMidi], [-25, -65, 69]);
  assert.equal(factWords(result, "flute"), "Your tone −25 dB, without it −65 dB, you played A4, 48 kHz.");
});

test("a pulse in the tone is not a device's doing", () => {
  check({ toneDb: (s) => -25 + 3 * Math.cos(2 * Math.PI * 4.3 * s) }, []);
});

test("a microphone that gives nothing is told from a player who plays nothing", () => {
  check({ toneDb: null, roomDb: -120 }, ["dead"], /Nothing at all/);
  check({ toneDb: null }, ["no-tone"], /No tone was heard/);
});

test("a check that hears no reading at all ends by itself", () => {
  const silent = new MicrophoneCheck({ expectedMidi: null, isMusicOn: false, report: RAW }, 0);
  for (let nowMs = 0; nowMs <= 3700 + 10_000; nowMs += 100) silent.pass(nowMs);
  assert.equal(silent.phase, "done");
  assert.deepEqual(silent.result().findings, ["dead"]);
});

test("a tone that the device takes for noise is cut off, at once or by and by", () => {
  check({ untilS: 1.8 }, ["gated"], /gone after about 2 seconds.*If you held it.*noise suppression/);
  check({ toneDb: (s) => -25 - 8 * s }, ["gated"]);
});

test("a level that is turned is found from six decibels on, either way", () => {
  check({ toneDb: (s) => -25 - 5 * (1 - Math.exp(-s)) }, []);
  check({ toneDb: (s) => -25 - 12 * (1 - Math.exp(-s)) }, ["level-turned"], /fell by \d+ dB/);
  check({ toneDb: (s) => -40 + 2.5 * s }, ["level-turned"], /rose by 10 dB/);
  check({ capture: { clips: false, clipped_share: 0, gain_riding: true } }, ["level-turned"], /by itself/);
});

test("clipping, headsets and processing are taken from the sound and from the device", () => {
  check({ capture: { clips: true, clipped_share: 0.1, gain_riding: false } }, ["clipped"], /cut off.*further away/);
  check({ capture: { clips: false, clipped_share: 0, gain_riding: false, band_hz: 8000 } }, ["headset"], /Bluetooth off/);
  check({ setting: { report: { sample_rate_hz: 16_000 } } }, ["headset"]);
  const on = ["echo-cancellation", "auto-gain-control"];
  check({ setting: { report: { ...RAW, still_on: on } } }, ["processed"], /echo cancellation, automatic level/);
});

test("a room nearly as loud as the tone is noisy, but not while others are to play", () => {
  check({ roomDb: -44 }, ["noisy"], /only 19 dB louder/);
  check({ roomDb: -46 }, []);
  check({ roomDb: -30, setting: { isMusicOn: true } }, []);
  check({ roomDb: -80, toneDb: () => -52 }, ["soft"], /faint/);
});

test("another note than the one asked is told as the player reads it", () => {
  // A clarinet in B flat fingers C5 and sounds B flat 4, a whole tone lower.
  const given = { note: "Bb4", setting: { expectedMidi: 72 }, instrument: "clarinet-bb" };
  check(given, ["other-note"], /You played C5; your note is D5.*another instrument/);
  check({ note: "Bb4", setting: { expectedMidi: 70 } }, []);
  check({ note: "A4", cents: 40, setting: { expectedMidi: 69 } }, []);
  check({ note: "A4", cents: 60, setting: { expectedMidi: 69 } }, ["other-note"]);
  assert.equal(writtenName(65, "alto-sax"), "D5");
});

test("what is worst comes first", () => {
  const result = run({
    roomDb: -40,
    untilS: 2,
    capture: { clips: true, clipped_share: 0.1, gain_riding: false },
    setting: { report: { sample_rate_hz: 16_000, still_on: ["noise-suppression"] } },
  });
  assert.deepEqual(result.findings, ["clipped", "gated", "headset", "noisy", "processed"]);
});

test("the task says what to do, and which note", () => {
  assert.equal(taskWords("quiet", false, null, "flute"), "Be silent.");
  assert.equal(taskWords("tone", false, null, "flute"), "Now play one note, long and straight.");
  assert.equal(taskWords("tone", false, 70, "clarinet-bb"), "Now play your note, C5, long and straight.");
  assert.match(taskWords("tone", true, 70, "clarinet-bb"), /^Keep the note/);
});

test("the room is told in the protocol's words", async () => {
  const samples = (await golden("player-says")).filter((message) => message.type === "check");
  const known = new Set(Object.keys(checkMessage(run({}))));
  for (const sample of samples) for (const key of Object.keys(sample)) assert.ok(known.has(key), key);
  assert.deepEqual(checkMessage(run({ toneDb: null, roomDb: -200 })), { type: "check", findings: ["dead"], noise_db: -120 });
});
