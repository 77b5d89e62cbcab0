// What the pages say: states, notes, lanes, the say line, the form's advice.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import "./english.js";
import { CaptureTrouble, captureInWords, deviceInWords, unmeasuredWord } from "../static/capture-words.js";
import { askOf, centsText, dynamicsOf, namesOf, placeOf, titleOf, turnOf } from "../static/exercise-words.js";
import { problemOf, problemOfCode } from "../static/join-form.js";
import { laneInWords, quietWords, withTurns, withWaits } from "../static/lane-rows.js";
import { PlayerHearing } from "../static/player-hearing.js";
import { SayLine, whatToSay } from "../static/say-line.js";
import { lookOf, STATES } from "../static/states.js";
import { tallyOf } from "../static/tally.js";
import { midiOf, spelled, staffStep, TRANSPOSITIONS, writtenMidi } from "../static/written-note.js";
import { golden, openTime, SCORE } from "./door-in-node.js";

const rust = (name) => readFile(new URL(`../protocol/src/${name}.rs`, import.meta.url), "utf8");
const [room] = await golden("conductor-hears");

test("the page has a look for each of the protocol's states, in the protocol's words", async () => {
  const source = await rust("judge");
  const words = [...source.matchAll(/State::(\w+) => "([^"]+)"/g)].map(([, name, word]) => {
    const wire = name.replace(/(?<!^)([A-Z])/g, "-$1").toLowerCase();
    return [wire, word];
  });
  assert.equal(words.length, 18);
  assert.deepEqual(
    Object.fromEntries(words),
    Object.fromEntries(Object.keys(STATES).map((wire) => [wire, lookOf(wire).word])),
  );
  assert.equal(lookOf("a-newer-word").word, "not heard");
});

test("no two states share a shape", () => {
  const shapes = Object.values(STATES).map((look) => JSON.stringify(look.parts));
  assert.equal(new Set(shapes).size, shapes.length);
});

test("transpositions are the protocol's", async () => {
  const source = await rust("instrument");
  const rows = [...source.matchAll(/^ {4}\w+ "([\w-]+)" "[^"]+" (-?\d+) \d+ \d+,$/gm)];
  assert.equal(rows.length, 16);
  assert.deepEqual(Object.fromEntries(rows.map(([, slug, n]) => [slug, Number(n)])), TRANSPOSITIONS);
});

test("written notes are what the parts have", () => {
  const written = (sounding, instrument) => {
    const { name, octave } = spelled(writtenMidi(sounding, instrument));
    return `${name}${octave}`;
  };
  // Common orchestration tables: sounding F4 is D5 for an alto sax, G4 for a clarinet in B flat, C5 for a horn.
  assert.equal(written("F4", "alto-sax"), "D5");
  assert.equal(written("F4", "clarinet-bb"), "G4");
  assert.equal(written("F4", "horn"), "C5");
  assert.equal(written("G#4", "flute"), "A♭4");
});

test("a note is spelled as the protocol spells it", async () => {
  const source = await rust("note");
  const [, row] = /const SPELLINGS: \[&str; 12\] = \[([^\]]+)\]/.exec(source);
  const names = [...row.matchAll(/"([^"]+)"/g)].map(([, name]) => name);
  assert.deepEqual(Array.from({ length: 12 }, (_, i) => spelled(60 + i).name), names);
});

test("note names on the wire are read, others are not", () => {
  assert.equal(midiOf("A4"), 69);
  assert.equal(midiOf("Bb0"), 22);
  assert.equal(midiOf("C-1"), 0);
  for (const bad of ["H4", "a4", "C", "C##4", ""]) assert.equal(midiOf(bad), null, bad);
});

test("notes stand on their line of the staff", () => {
  // Treble: E4 on the bottom line, F5 on the top one. Bass: G2 and A3. Middle C: first ledger line below and above.
  assert.equal(staffStep(64, "treble"), 0);
  assert.equal(staffStep(77, "treble"), 8);
  assert.equal(staffStep(60, "treble"), -2);
  assert.equal(staffStep(43, "bass"), 0);
  assert.equal(staffStep(57, "bass"), 8);
  assert.equal(staffStep(60, "bass"), 10);
});

test("an exercise is named as a teacher names it", async () => {
  const span = (target) => ({ bpm: 66, target });
  assert.equal(titleOf(span({ kind: "pulses", per_beat: 3 })), "Triplets at 66");
  assert.equal(titleOf(span({ kind: "straight" })), "Straight tone at 66");
  assert.equal(askOf(span({ kind: "pulses", per_beat: 4 })), "4 to the beat");
  assert.equal(titleOf({ bpm: 66, bpm_to: 80, target: { kind: "pulses", per_beat: 2 } }), "Eighths, 66 to 80");
  assert.equal(dynamicsOf({ dynamics: { from: "p", to: "f" } }), "p to f");
  assert.equal(dynamicsOf({}), "");
  const time = await openTime(() => 0);
  time.setScore(SCORE);
  assert.deepEqual([-0.1, 0, 4, 28].map((beat) => placeOf(SCORE, time, beat)), ["about to start", "counting in", "bar 1", "bar 7"]);
});

test("cents have a sign and a true minus", () => {
  assert.deepEqual([16.4, -4.2, 0.3, -0.4, undefined].map(centsText), ["+16", "−4", "0", "0", ""]);
});

test("a lane's words name the player, the state, the rate and the centre", () => {
  assert.equal(
    laneInWords(room.lanes[0]),
    "Imogen, flute 1, matched, 3.30 pulses a second, depth 6 dB, centre +2 cents, 3.2 to the beat",
  );
});

test("who is about to play, or is heard and cannot be judged yet, is not called unheard", () => {
  const silent = { ...room.lanes[0], state: "not-heard", centre_cents: undefined, evidence: "no tone", microphone: "listening" };
  const heard = { ...silent, centre_cents: 2 };
  const waiting = (lanes, isBeginning) => withWaits(lanes, isBeginning).map((lane) => Boolean(lane.waits));
  assert.deepEqual(waiting([silent, heard], true), [true, true]);
  assert.deepEqual(waiting([silent, heard], false), [false, true]);
  assert.deepEqual(waiting([{ ...heard, microphone: "refused" }, { ...heard, state: "fast" }], true), [false, false]);
  const [lane] = withWaits([heard], false);
  assert.doesNotMatch(laneInWords(lane), /not heard|no tone/);
  assert.equal(quietWords(lane), "");
  assert.deepEqual(tallyOf([lane, ...withWaits([silent], false)]), [{ state: "not-heard", count: 1 }]);
});

test("a device without a microphone is said to be one", () => {
  for (const [microphone, word] of [
    ["refused", "microphone refused"],
    ["missing", "no microphone"],
    ["insecure", "page without https"],
    ["lost", "microphone taken away"],
  ]) {
    const lane = { ...room.lanes[0], state: "not-heard", evidence: word, microphone };
    assert.deepEqual([unmeasuredWord(lane), quietWords(lane)], [word, "follows the beat unmeasured"]);
    assert.match(laneInWords(lane), new RegExp(`flute 1, ${word}, .*follows the beat unmeasured`));
    assert.doesNotMatch(laneInWords(lane), /not heard/);
  }
  // A rest and an absence say more than a microphone.
  assert.equal(unmeasuredWord({ state: "resting", microphone: "refused" }), "");
  assert.equal(unmeasuredWord({ state: "not-heard", microphone: "listening" }), "");
  assert.equal(quietWords(room.lanes[0]), "3.30 a second, 6 dB");
  assert.equal(quietWords({ ...room.lanes[0], state: "shallow", evidence: "depth 2 dB" }), "depth 2 dB");
});

test("a device's check and its way are told in a few words, a refused microphone first", () => {
  const lane = (more) => deviceInWords({ state: "not-heard", microphone: "listening", ...more });
  assert.equal(lane({}), "");
  assert.equal(lane({ check: { findings: [] } }), "microphone checked");
  assert.equal(lane({ check: { findings: ["clipped", "noisy"] }, over_line: true }), "clips, slow line");
  assert.equal(lane({ check: { findings: ["noisy"] }, microphone: "refused" }), "microphone refused");
});

test("the say line is the room's until the conductor chooses another player", () => {
  assert.equal(whatToSay(room, null).text, room.say.text);
  const wren = { ...room.lanes[0], player_id: "w", name: "Wren", state: "fast", evidence: "3.2 to the beat" };
  const two = { ...room, lanes: [...room.lanes, wren] };
  assert.equal(whatToSay(two, "w").text, "Wren, wait for the tick: three to the beat.");
  const blended = { ...two, lanes: [{ ...wren, state: "blended", evidence: "others are as loud" }] };
  assert.equal(whatToSay(blended, "w").text, "Wren: blended, others are as loud");
  const mute = { ...wren, state: "not-heard", microphone: "refused", evidence: "microphone refused" };
  const withMute = { ...room, lanes: [...room.lanes, mute], say: undefined };
  assert.equal(whatToSay(withMute, "w").text, "Wren: microphone refused");
  assert.equal(whatToSay(withMute, null).text, "Everyone who is measured is matched.");
  assert.equal(whatToSay(two, "gone").text, room.say.text);
});

test("without anything to say the line says so, or how to begin", () => {
  const quiet = { ...room, say: undefined, exercise: {} };
  assert.deepEqual(whatToSay(quiet, null), { playerId: null, text: "Everyone is matched.", isHint: true });
  const slow = { ...quiet, lanes: [{ ...room.lanes[0], state: "slow" }] };
  assert.equal(whatToSay(slow, null).text, "");
  assert.equal(whatToSay({ ...quiet, score: null }, null).text, "2 players are in. Start counts them in.");
  const resting = { ...quiet, score: null, time_us: 10e6, exercise: { rest_until_us: 12e6 } };
  assert.match(whatToSay(resting, null).text, /^Everybody rests\. Start/);
  assert.match(whatToSay({ ...resting, time_us: 12e6 }, null).text, /^2 players are in/);
  const alone = { ...quiet, score: null, lanes: room.lanes.slice(0, 1) };
  assert.equal(whatToSay(alone, null).text, "One player is in. Start counts them in.");
});

test("the say line changes at most once a bar, unless the conductor chooses", () => {
  const line = new SayLine();
  const said = (text) => ({ playerId: "p", text, isHint: false });
  assert.equal(line.update(said("one"), 3, 0, false).text, "one");
  assert.equal(line.update(said("two"), 3, 500, false).text, "one");
  assert.equal(line.update(said("two"), 4, 900, false).text, "two");
  assert.equal(line.update(said("three"), 4, 950, true).text, "three");
});

test("the wall's tally counts states, matched first", () => {
  const lanes = ["fast", "matched", "fast", "late"].map((state) => ({ state }));
  assert.deepEqual(tallyOf(lanes), [
    { state: "matched", count: 1 },
    { state: "fast", count: 2 },
    { state: "late", count: 1 },
  ]);
  const deaf = [{ state: "not-heard", microphone: "refused" }, { state: "not-heard", microphone: "listening" }];
  assert.deepEqual(tallyOf(deaf).map((row) => row.state), ["not measured", "not-heard"]);
});

test("the form says which field is missing and what to do", () => {
  const who = { name: "Imogen", instrument: "flute" };
  assert.equal(problemOf(who), null);
  assert.equal(problemOfCode("fl xt-4n"), "");
  assert.match(problemOfCode("FLX"), /6 signs; here are 3/);
  assert.equal(problemOf({ ...who, name: "  " })?.field, "name");
  assert.equal(problemOf({ ...who, instrument: "" })?.field, "instrument");
});

test("the lane's words follow the newest reading, and only while it is fresh", async () => {
  const says = await golden("player-says");
  const reading = says.find((message) => message.type === "reading" && message.pulse_rate_hz !== undefined);
  const hearing = new PlayerHearing();
  hearing.take(reading);
  assert.match(hearing.inWords(reading.time_us + 1e5), new RegExp(`${reading.pulse_rate_hz.toFixed(2)} pulses a second`));
  assert.match(hearing.inWords(reading.time_us + 5e6), /no tone/);
});

test("the player's page leaves out what the room leaves out, and only when drawing", () => {
  const hearing = new PlayerHearing();
  hearing.take({ type: "pulses", seq: 1, pulses: [{ time_us: 5e6, depth_db: 6, swing_cents: 10 }] });
  hearing.leaveOut(40);
  assert.equal(hearing.drawnPulses()[0].time_us, 4.96e6);
  assert.equal(hearing.pulses[0].time_us, 5e6);
  hearing.leaveOut(undefined);
  assert.equal(hearing.drawnPulses()[0].time_us, 5e6);
});

test("what is wrong with the sound is said with something to do, and no longer than it lasts", () => {
  const trouble = new CaptureTrouble();
  assert.equal(trouble.inWords(0), "");
  trouble.takeCapture({ clips: true, gain_riding: false }, 1000);
  trouble.takeCapture(undefined, 1100);
  assert.match(trouble.inWords(1100), /^Your microphone is clipping: move it/);
  assert.match(trouble.inWords(10_900), /clipping/);
  assert.equal(trouble.inWords(11_100), "");
  trouble.takeCapture({ clips: false, gain_riding: true, band_hz: 8000 }, 20_000);
  const both = trouble.inWords(20_000);
  assert.match(both, /headset: use the device’s own microphone\. .*depth cannot be trusted/);
  // The device's own word and the sound's are one trouble, said once.
  trouble.takeReport({ still_on: ["auto-gain-control"], sample_rate_hz: 16_000 });
  assert.equal(trouble.inWords(20_000), both);
  assert.equal(trouble.inWords(99_000), both);
  trouble.takeReport({ still_on: ["noise-suppression"], sample_rate_hz: 48_000 });
  assert.match(trouble.inWords(99_000), /^Your device changes the sound \(noise suppression\)/);
});

test("the conductor sees a bad microphone where there is nothing else to act on, and no depth with it", () => {
  const [lane, headset] = room.lanes;
  const clipped = { ...lane, capture: { clipped_share: 0.1, clips: true, gain_riding: false } };
  assert.equal(quietWords(clipped), "the microphone clips");
  assert.equal(quietWords({ ...clipped, state: "sharp", evidence: "+31 cents" }), "+31 cents");
  assert.match(laneInWords({ ...clipped, state: "sharp", evidence: "+31 cents" }), /\+31 cents, the microphone clips$/);
  assert.doesNotMatch(laneInWords(clipped), /depth/);
  assert.equal(captureInWords(headset), "sounds like a headset, the device turns its level");
  assert.equal(captureInWords({}), "");
});

test("a player is told whose turn it is, and when the own one comes", () => {
  const span = (/** @type {number[] | undefined} */ turn) => ({ bpm: 80, target: { kind: "straight" }, turn });
  assert.equal(turnOf(span(undefined), span(undefined), 2), null);
  assert.deepEqual(turnOf(span([2]), span([3]), 2), { title: "Your turn", asked: "straight tone" });
  assert.equal(turnOf(span([1]), span([2]), 2)?.title, "You are next");
  assert.equal(turnOf(span(undefined), span([2]), 2)?.title, "You are next");
  assert.deepEqual(turnOf(span([1]), span([3]), 2), { title: "Be silent", asked: "chair 1 plays" });
});

test("whose turn it is, and whose is next, is told by name", () => {
  const lanes = [{ chair: 1, name: "Imogen" }, { chair: 2, name: "Tobias" }, { chair: 3, name: "Wren" }];
  assert.deepEqual([namesOf([2], lanes), namesOf([1, 2], lanes), namesOf([1, 2, 3], lanes), namesOf([9], lanes)], [
    "Tobias",
    "Imogen and Tobias",
    "Imogen, Tobias and Wren",
    "chair 9",
  ]);
  assert.equal(withTurns(lanes, []), lanes);
  assert.deepEqual(withTurns(lanes, [2]).map((lane) => lane.plays), [false, true, false]);
  assert.deepEqual(withTurns(lanes, [2], [3]).map((lane) => lane.isNext), [false, false, true]);
});
