// What is wrong with a device's sound, in words: for its player with something to do about it, for the conductor in a few.
// Knows reports, no page.

import { word } from "./words.js";

/** Below this sample rate the device hears through a headset made for speech, Hz. */
const FULL_RATE_HZ = 32_000;
/** A trouble heard in the sound stays on the page this long after it was last heard, ms: long enough to read it. */
const HELD_MS = 10_000;

/** @typedef {{ clips: boolean, gain_riding: boolean, band_hz?: number }} Capture as in a reading */

const CLIPS = "capture-clips";
const HEADSET = "capture-headset";
const GAIN = "capture-gain";

const PROCESSING = ["echo-cancellation", "noise-suppression", "auto-gain-control"];

/** @param {string[]} on processing the device did not switch off */
export function processingInWords(on) {
  return on.filter((p) => PROCESSING.includes(p)).map((p) => word(`processing-${p}`)).join(", ");
}

/** Holds what a device says of its microphone, and what its sound says. */
export class CaptureTrouble {
  constructor() {
    /** @type {any} the microphone's last report */
    this.report = {};
    /** @type {Map<string, number>} trouble heard in the sound by the id of its text, and when last, ms */
    this.heardMs = new Map();
  }

  /** @param {any} report of type "microphone" */
  takeReport(report) {
    this.report = report;
  }

  /** @param {Capture | undefined} capture of the newest reading @param {number} nowMs */
  takeCapture(capture, nowMs) {
    if (capture?.clips) this.heardMs.set(CLIPS, nowMs);
    if (capture?.band_hz !== undefined) this.heardMs.set(HEADSET, nowMs);
    if (capture?.gain_riding) this.heardMs.set(GAIN, nowMs);
  }

  /** For the player; empty where all is well. @param {number} nowMs @returns {string} */
  inWords(nowMs) {
    const isHeard = (/** @type {string} */ id) => nowMs - (this.heardMs.get(id) ?? -Infinity) <= HELD_MS;
    const on = this.report.still_on ?? [];
    const isHeadset = (this.report.sample_rate_hz ?? FULL_RATE_HZ) < FULL_RATE_HZ;
    const others = on.filter((/** @type {string} */ p) => p !== "auto-gain-control");
    return [
      isHeard(CLIPS) ? word(CLIPS) : "",
      isHeadset || isHeard(HEADSET) ? word(HEADSET) : "",
      on.includes("auto-gain-control") || isHeard(GAIN) ? word(GAIN) : "",
      others.length > 0 ? word("capture-processed", { how: processingInWords(others) }) : "",
    ]
      .filter((text) => text !== "")
      .join(" ");
  }
}

/**
 * For the conductor; empty where all is well.
 * @param {{ capture?: Capture, gain_control_on?: boolean }} lane of the snapshot
 */
export function captureInWords(lane) {
  const words = [];
  if (lane.capture?.clips) words.push(word("lane-capture-clips"));
  if (lane.capture?.band_hz !== undefined) words.push(word("lane-capture-headset"));
  if (lane.capture?.gain_riding || lane.gain_control_on) words.push(word("lane-capture-level"));
  return words.join(", ");
}

/** Where a device does not listen, in place of a state that it cannot have. */
const UNMEASURED = ["refused", "missing", "insecure", "lost"];

/**
 * Why a player is not measured; empty where the device listens, or has not said yet, or where another word says more.
 * @param {{ microphone?: string, state: string }} lane of the snapshot
 * @returns {string}
 */
export function unmeasuredWord(lane) {
  const { microphone = "", state } = lane;
  return state === "not-heard" && UNMEASURED.includes(microphone) ? word(`evidence-microphone-${microphone}`) : "";
}

/**
 * What the conductor should know of a device before the music: why it does not listen, or the worst that the player's own
 * check found, and whether it goes by the slow line.
 * @param {{ microphone?: string, state: string, check?: { findings: string[] }, over_line?: boolean }} lane of the snapshot
 */
export function deviceInWords(lane) {
  const [worst] = lane.check?.findings ?? [];
  const checked = worst ? word(`lane-check-${worst}`) : lane.check ? word("lane-checked") : "";
  return [unmeasuredWord(lane) || checked, lane.over_line ? word("lane-over-line") : ""].filter((text) => text !== "").join(", ");
}

/**
 * Whether a lane's depth is the player's own.
 * @param {{ capture?: Capture, gain_control_on?: boolean }} lane of the snapshot
 */
export function isDepthOwn(lane) {
  return !lane.capture?.clips && !lane.capture?.gain_riding && !lane.gain_control_on;
}
