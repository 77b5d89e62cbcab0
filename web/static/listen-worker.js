// The Worker's part of listening: the wasm that turns samples into the protocol's messages. Samples come straight from
// the audio thread; the page says where they lie in server time, and where they do not. Knows no microphone, no socket
// and no page.

import { CalibrationTake } from "./calibration-take.js";
import { outputText, setScore } from "./shared-time.js";

/** @type {any} the door's exports, once it is open */
let door = null;
let sampleRateHz = 0;
/** Frame number of the first sample the listener counts; changes where frames were lost. */
let frameOfSampleZero = NaN;
let nPushed = 0;
/** Where a frame lies in server time, told anew several times a second. */
let anchor = { frame: NaN, serverUs: NaN };
/** Who sounds the tick: as the score says, and whether this device does in any case. */
let tickFrom = "conductor";
let isOwnTick = false;
/** Whether samples come from a microphone that hears nothing: they are no silence of the player's. */
let isDeaf = false;
/** @type {CalibrationTake | null} while the device's delay is measured, samples go there and nowhere else */
let take = null;

/** @param {{ module?: WebAssembly.Module, bytes?: ArrayBuffer, sampleRateHz: number, a4Hz: number }} order */
async function open(order) {
  const module = order.module ?? (await WebAssembly.compile(/** @type {ArrayBuffer} */ (order.bytes)));
  const instance = await WebAssembly.instantiate(module, {});
  const exports = /** @type {any} */ (instance.exports);
  if (exports.listener_open(order.sampleRateHz, order.a4Hz) !== 0) {
    throw new Error(outputText(exports));
  }
  sampleRateHz = order.sampleRateHz;
  frameOfSampleZero = NaN;
  nPushed = 0;
  door = exports;
  tellWhetherTicksSound();
  postMessage({ type: "opened" });
}

function applyTimeMap() {
  if (!door || !Number.isFinite(anchor.serverUs) || !Number.isFinite(frameOfSampleZero)) return;
  const zeroUs = anchor.serverUs - ((anchor.frame - frameOfSampleZero) / sampleRateHz) * 1e6;
  if (door.listener_time_map(zeroUs, 1e6) !== 0) postMessage({ type: "trouble", text: outputText(door) });
}

/** @param {number} frame @param {Float32Array} samples */
function push(frame, samples) {
  if (!door || isDeaf) return;
  if (take) {
    take.push(frame, samples);
    return;
  }
  // Lost frames are left out, not filled with silence, which would read as a tone that breaks.
  if (frame - nPushed !== frameOfSampleZero) {
    frameOfSampleZero = frame - nPushed;
    applyTimeMap();
  }
  const capacity = door.input_capacity();
  for (let at = 0; at < samples.length; at += capacity) {
    const part = samples.subarray(at, at + capacity);
    const pointer = door.input_ptr();
    new Float32Array(door.memory.buffer, pointer, part.length).set(part);
    const nMessages = door.listener_push(part.length);
    nPushed += part.length;
    if (nMessages > 0) {
      const messages = outputText(door).split("\n").map((line) => JSON.parse(line));
      postMessage({ type: "messages", messages });
    }
  }
}

function tellWhetherTicksSound() {
  if (door) door.listener_ticks_sound(isOwnTick || tickFrom !== "nobody" ? 1 : 0);
}

/** @param {any} order */
function calibrate(order) {
  switch (order.step) {
    case "open":
      take = new CalibrationTake(door, sampleRateHz, order.mode);
      break;
    case "click":
      take?.click(order.frame);
      break;
    case "result":
      postMessage({ type: "calibrated", result: take ? take.result() : null });
      take = null;
      break;
    case "cancel":
      take?.close();
      take = null;
      break;
  }
}

/** @param {any} order */
function obey(order) {
  switch (order.type) {
    case "open":
      open(order).catch((error) => postMessage({ type: "trouble", text: String(error.message ?? error) }));
      break;
    case "samples-from":
      order.port.onmessage = (/** @type {MessageEvent} */ event) => push(event.data.frame, event.data.samples);
      break;
    case "time":
      anchor = { frame: order.frame, serverUs: order.serverUs };
      applyTimeMap();
      break;
    case "invalid":
      if (door) door.listener_leave_out(order.fromFrame - frameOfSampleZero, order.toFrame - frameOfSampleZero);
      break;
    case "score":
      tickFrom = order.score?.tick ?? "conductor";
      tellWhetherTicksSound();
      if (door) setScore(door, order.score, order.chair);
      break;
    case "own-tick":
      isOwnTick = order.isOwn;
      tellWhetherTicksSound();
      break;
    case "deaf":
      isDeaf = order.isDeaf;
      break;
    case "resume":
      if (door) door.listener_resume(order.seq);
      break;
    case "calibrate":
      if (door) calibrate(order);
      break;
  }
}

onmessage = (event) => obey(event.data);
