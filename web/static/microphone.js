// Opens the microphone as raw as the device allows, and says in plain words what went wrong where it does not. Knows
// neither the room nor what the sound is for.

import { atHand, refusalWords } from "./microphone-words.js";
import { word } from "./words.js";

/**
 * @typedef {"listening" | "refused" | "missing" | "insecure" | "lost"} MicrophoneStatus
 * @typedef {"echo-cancellation" | "noise-suppression" | "auto-gain-control"} Processing
 */

/** The microphone could not be opened. */
export class MicrophoneTrouble extends Error {
  /** @param {MicrophoneStatus} status @param {string} text for the player */
  constructor(status, text) {
    super(text);
    this.status = status;
  }
}

// Plain values, never "exact": a device that cannot do one of them must still give its sound.
const WANTED = {
  echoCancellation: false,
  noiseSuppression: false,
  autoGainControl: false,
  channelCount: 1,
  voiceIsolation: false,
};

/**
 * Asks for the microphone. Must be called inside a click.
 * @param {Navigator} navigator
 * @returns {Promise<MediaStream>}
 * @throws {MicrophoneTrouble}
 */
export async function openMicrophone(navigator) {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw globalThis.isSecureContext === false
      ? new MicrophoneTrouble("insecure", word("mic-insecure"))
      : new MicrophoneTrouble("missing", word("mic-cannot"));
  }
  try {
    // Otherwise the silent switch of some phones mutes the tick, and volumes change oddly.
    const session = /** @type {any} */ (navigator).audioSession;
    if (session) session.type = "play-and-record";
  } catch {
    // A browser that has the attribute but not this value listens all the same.
  }
  try {
    return await navigator.mediaDevices.getUserMedia({ audio: /** @type {MediaTrackConstraints} */ (WANTED) });
  } catch (error) {
    const { name, message } = /** @type {DOMException} */ (error);
    const here = atHand(navigator.userAgent, navigator.maxTouchPoints);
    throw troubleOf(name, message, await permissionOf(navigator), here);
  }
}

/** @param {Navigator} navigator @returns {Promise<PermissionState | "unknown">} some browsers do not say */
async function permissionOf(navigator) {
  try {
    return (await navigator.permissions.query({ name: /** @type {any} */ ("microphone") })).state;
  } catch {
    return "unknown";
  }
}

/**
 * @param {string} name of the browser's error
 * @param {string} message of the same
 * @param {PermissionState | "unknown"} permission
 * @param {ReturnType<typeof atHand>} here
 */
export function troubleOf(name, message, permission, here) {
  switch (name) {
    case "NotAllowedError":
    case "SecurityError":
      // Chromium's own word where the system's settings are in the way.
      return new MicrophoneTrouble("refused", refusalWords(permission, /system/i.test(message), here));
    case "NotReadableError":
    case "AbortError":
      return new MicrophoneTrouble("lost", word("mic-held"));
    default:
      return new MicrophoneTrouble("missing", word("mic-none"));
  }
}

/**
 * Which processing the device did not switch off, read back from what it granted.
 * @param {MediaTrackSettings} settings
 * @returns {Processing[]}
 */
export function stillOn(settings) {
  /** @type {Processing[]} */
  const on = [];
  if (settings.echoCancellation) on.push("echo-cancellation");
  if (settings.noiseSuppression) on.push("noise-suppression");
  if (settings.autoGainControl) on.push("auto-gain-control");
  return on;
}
