// What the measurement of a device's delay says to the player: what to do before, how it went, what to try next. Pure.

import { word } from "./words.js";

/** Delay from which on wireless sound is the likely reason, ms. Common practice, no source. */
const WIRELESS_DELAY_MS = 150;

/** @param {import("./calibration-take.js").CalibrationMode} mode */
export function beforehand(mode) {
  return word(mode === "loudspeaker" ? "timing-before-loudspeaker" : "timing-before-taps");
}

/**
 * @param {import("./calibration-take.js").CalibrationMode} mode
 * @param {number} nPlayed
 * @param {number} nClicks
 * @param {number} leadIn
 */
export function progressWords(mode, nPlayed, nClicks, leadIn) {
  if (mode === "loudspeaker") return word("timing-click", { n: nPlayed, of: nClicks });
  return nPlayed <= leadIn
    ? word("timing-before-tap", { n: leadIn + 1 - nPlayed })
    : word("timing-tap", { n: nPlayed - leadIn, of: nClicks - leadIn });
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
  const delay = word("timing-good", { ms: Math.round(result.delay_ms ?? 0), scatter: Math.max(Math.round(result.scatter_ms ?? 0), 1) });
  if ((result.delay_ms ?? 0) > WIRELESS_DELAY_MS) return `${delay} ${word("timing-wireless")}`;
  return mode === "taps" ? `${delay} ${word("timing-tapped")}` : delay;
}

/** @param {string} mode @param {import("./calibration-take.js").CalibrationResult} result */
function badWords(mode, result) {
  const isTaps = mode === "taps";
  switch (result.status) {
    case "nothing":
      return word(isTaps ? "timing-no-taps" : "timing-no-clicks");
    case "few":
      return word(isTaps ? "timing-few-taps" : "timing-few-clicks", { n: result.n ?? 0 });
    case "scattered":
      return word(isTaps ? "timing-scattered-taps" : "timing-scattered-clicks");
    case "cancelled":
      return word("timing-cancelled");
    case "music":
      return word("timing-music");
    default:
      return word("timing-stood-still");
  }
}
