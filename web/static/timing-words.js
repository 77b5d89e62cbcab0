// What the measurement of a device's delay says to the player: what to do before, how it went, what to try next. Pure.

/** Delay from which on wireless sound is the likely reason, ms. Common practice, no source. */
const WIRELESS_DELAY_MS = 150;

export const NOT_MEASURED = "Your marks are drawn around your own middle: this device's delay has not been measured.";

/** @param {import("./calibration-take.js").CalibrationMode} mode */
export function beforehand(mode) {
  return mode === "loudspeaker"
    ? "Unplug headphones, turn the volume up to the middle, put the device where it will stand. Eight clicks: be quiet for eight seconds."
    : "Headphones on. After four ticks tap with your finger beside the microphone, once with each tick, twelve times.";
}

/**
 * @param {import("./calibration-take.js").CalibrationMode} mode
 * @param {number} nPlayed
 * @param {number} nClicks
 * @param {number} leadIn
 */
export function progressWords(mode, nPlayed, nClicks, leadIn) {
  if (mode === "loudspeaker") return `Listening: click ${nPlayed} of ${nClicks}.`;
  return nPlayed <= leadIn ? `Listen: ${leadIn + 1 - nPlayed} more before you tap.` : `Tap: ${nPlayed - leadIn} of ${nClicks - leadIn}.`;
}

/**
 * @param {import("./calibration-take.js").CalibrationMode} mode
 * @param {import("./calibration-take.js").CalibrationResult} result
 * @returns {{ text: string, isGood: boolean }}
 */
export function outcomeWords(mode, result) {
  const isGood = result.status === "good" && Number.isFinite(result.delay_ms);
  return { isGood, text: isGood ? goodWords(mode, result) : badWords(mode, result) };
}

/** @param {string} mode @param {import("./calibration-take.js").CalibrationResult} result */
function goodWords(mode, result) {
  const delay = `Done: the delay is ${Math.round(result.delay_ms ?? 0)} ms, to within ${Math.max(Math.round(result.scatter_ms ?? 0), 1)} ms.`;
  if ((result.delay_ms ?? 0) > WIRELESS_DELAY_MS) {
    return `${delay} That is long, as with wireless headphones or a wireless loudspeaker; with a cable or the device's own loudspeaker the beat is surer.`;
  }
  return mode === "taps"
    ? `${delay} People tap a little ahead of a tick, so this is less exact than the loudspeaker's way.`
    : delay;
}

/** @param {string} mode @param {import("./calibration-take.js").CalibrationResult} result */
function badWords(mode, result) {
  const isTaps = mode === "taps";
  switch (result.status) {
    case "nothing":
      return isTaps
        ? "No taps were heard. Tap harder, right beside the microphone, and try again."
        : "The clicks were not heard. Turn the volume up, take headphones out, and try again; or use the other way, with headphones.";
    case "few":
      return isTaps
        ? `Only ${result.n} taps were clear. Tap once with each tick, hard and short, and try again.`
        : `Only ${result.n} of the clicks were clear. Turn the volume up, wait for a quieter moment, and try again.`;
    case "scattered":
      return isTaps
        ? "The taps lay too far apart from the ticks to tell the delay. Listen to the four ticks first, then try again."
        : "The delay was another one each time, as with wireless (Bluetooth) sound or a busy device. Use a cable or the device's own loudspeaker, close other programs, and try again.";
    case "cancelled":
      return "Stopped. Nothing was changed.";
    case "music":
      return "The music began, so this was stopped. Try again when it has ended.";
    default:
      return "The sound stood still meanwhile, so nothing was measured. Try again.";
  }
}
