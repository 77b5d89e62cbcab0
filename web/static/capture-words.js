// What is wrong with a device's sound, in words: for its player with something to do about it, for the conductor in a few.
// Knows reports, no page.

/** Below this sample rate the device hears through a headset made for speech, Hz. */
const FULL_RATE_HZ = 32_000;
/** A trouble heard in the sound stays on the page this long after it was last heard, ms: long enough to read it. */
const HELD_MS = 10_000;

/** @typedef {{ clips: boolean, gain_riding: boolean, band_hz?: number }} Capture as in a reading */

const CLIPS = "Your microphone is clipping: move it further away.";
const HEADSET = "This sounds like a Bluetooth headset: use the device's own microphone.";
const GAIN =
  "This device turns the level up and down by itself, so your depth cannot be trusted: if you can, play with another one.";

const PROCESSING_WORDS = Object.freeze({
  "echo-cancellation": "echo cancellation",
  "noise-suppression": "noise suppression",
  "auto-gain-control": "automatic level",
});

/** @param {string[]} on processing the device did not switch off */
export function processingInWords(on) {
  return on.flatMap((p) => PROCESSING_WORDS[/** @type {keyof typeof PROCESSING_WORDS} */ (p)] ?? []).join(", ");
}

/** Holds what a device says of its microphone, and what its sound says. */
export class CaptureTrouble {
  constructor() {
    /** @type {any} the microphone's last report */
    this.report = {};
    /** @type {Map<string, number>} trouble heard in the sound, and when last, ms */
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
    const isHeard = (/** @type {string} */ text) => nowMs - (this.heardMs.get(text) ?? -Infinity) <= HELD_MS;
    const on = this.report.still_on ?? [];
    const isHeadset = (this.report.sample_rate_hz ?? FULL_RATE_HZ) < FULL_RATE_HZ;
    const others = on.filter((/** @type {string} */ p) => p !== "auto-gain-control");
    return [
      isHeard(CLIPS) ? CLIPS : "",
      isHeadset || isHeard(HEADSET) ? HEADSET : "",
      on.includes("auto-gain-control") || isHeard(GAIN) ? GAIN : "",
      others.length > 0
        ? `Your device changes the sound (${processingInWords(others)}): your pulses may look smaller than they are.`
        : "",
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
  if (lane.capture?.clips) words.push("the microphone clips");
  if (lane.capture?.band_hz !== undefined) words.push("sounds like a headset");
  if (lane.capture?.gain_riding || lane.gain_control_on) words.push("the device turns its level");
  return words.join(", ");
}

/** Where a device does not listen, in place of a state that it cannot have. */
const UNMEASURED = Object.freeze({
  refused: "microphone refused",
  missing: "no microphone",
  insecure: "page without https",
  lost: "microphone taken away",
});

/**
 * Why a player is not measured; empty where the device listens, or has not said yet, or where another word says more.
 * @param {{ microphone?: string, state: string }} lane of the snapshot
 * @returns {string}
 */
export function unmeasuredWord(lane) {
  const word = UNMEASURED[/** @type {keyof typeof UNMEASURED} */ (lane.microphone)];
  return (lane.state === "not-heard" && word) || "";
}

/** What a player's check of the microphone found, in the conductor's few words. */
const CHECK_WORDS = Object.freeze({
  dead: "microphone gives nothing",
  "no-tone": "no tone in the check",
  clipped: "clips",
  gated: "cuts long tones off",
  "level-turned": "turns its level",
  headset: "sounds like a headset",
  noisy: "noise near the tone",
  soft: "faint",
  "other-note": "plays another note",
  processed: "changes the sound",
});

/**
 * What the conductor should know of a device before the music: why it does not listen, or the worst that the player's own
 * check found, and whether it goes by the slow line.
 * @param {{ microphone?: string, state: string, check?: { findings: string[] }, over_line?: boolean }} lane of the snapshot
 */
export function deviceInWords(lane) {
  const [worst] = lane.check?.findings ?? [];
  const checked = worst ? CHECK_WORDS[/** @type {keyof typeof CHECK_WORDS} */ (worst)] : lane.check ? "microphone checked" : "";
  return [unmeasuredWord(lane) || checked, lane.over_line ? "slow line" : ""].filter((word) => word !== "").join(", ");
}

/**
 * Whether a lane's depth is the player's own.
 * @param {{ capture?: Capture, gain_control_on?: boolean }} lane of the snapshot
 */
export function isDepthOwn(lane) {
  return !lane.capture?.clips && !lane.capture?.gain_riding && !lane.gain_control_on;
}
