// Opens the microphone as raw as the device allows, and says in plain words what went wrong where it does not. Knows
// neither the room nor what the sound is for.

/**
 * @typedef {"listening" | "refused" | "missing" | "lost"} MicrophoneStatus
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
    throw new MicrophoneTrouble(
      "missing",
      "This page may not listen, because its address does not begin with https. Ask for the https address of the room.",
    );
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
    throw troubleOf(/** @type {DOMException} */ (error).name);
  }
}

/** @param {string} name of the browser's error */
export function troubleOf(name) {
  switch (name) {
    case "NotAllowedError":
    case "SecurityError":
      return new MicrophoneTrouble(
        "refused",
        "The microphone is not allowed. Allow it for this page in the browser's settings, then press \"Listen\".",
      );
    case "NotReadableError":
    case "AbortError":
      return new MicrophoneTrouble(
        "lost",
        "Another program holds the microphone. Close calls and recorders, then press \"Listen\".",
      );
    default:
      return new MicrophoneTrouble(
        "missing",
        "No microphone was found. Plug one in or use another device, then press \"Listen\".",
      );
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
