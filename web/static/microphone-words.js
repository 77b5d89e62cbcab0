// What to do where a microphone is not allowed, in the words of the browser at hand. The names of menus are from memory and
// change with versions, so each text says what to look for. Pure; knows no page.

import { word } from "./words.js";

/** @typedef {"iphone" | "android" | "chromebook" | "mac" | "other"} Device */
/** @typedef {"safari" | "chrome" | "edge" | "firefox" | "other"} Browser */

/**
 * @param {string} agent as the browser calls itself
 * @param {number} nTouches most fingers at once: a tablet of Apple's calls itself a Mac
 * @returns {{ device: Device, browser: Browser }}
 */
export function atHand(agent, nTouches) {
  const isIphone = /iPhone|iPad|iPod/.test(agent) || (/Macintosh/.test(agent) && nTouches > 1);
  /** @type {Device} */
  const device = isIphone
    ? "iphone"
    : /Android/.test(agent)
      ? "android"
      : /CrOS/.test(agent)
        ? "chromebook"
        : /Macintosh/.test(agent)
          ? "mac"
          : "other";
  /** @type {Browser} */
  const browser = /Edg(A|iOS)?\//.test(agent)
    ? "edge"
    : /Firefox\/|FxiOS\//.test(agent)
      ? "firefox"
      : /Chrom(e|ium)\/|CriOS\//.test(agent)
        ? "chrome"
        : /Safari\//.test(agent)
          ? "safari"
          : "other";
  return { device, browser };
}

const NAMES = Object.freeze({ safari: "Safari", chrome: "Chrome", edge: "Edge", firefox: "Firefox" });

/** @param {Browser} browser */
const nameOf = (browser) => (browser === "other" ? word("mic-your-browser") : NAMES[browser]);

/**
 * How to allow the microphone once it was refused for good.
 * @param {{ device: Device, browser: Browser }} here
 */
export function howToAllow({ device, browser }) {
  if (device === "iphone") {
    return browser === "safari" ? word("mic-allow-iphone-safari") : word("mic-allow-iphone", { browser: nameOf(browser) });
  }
  if (device === "android") return word(browser === "firefox" ? "mic-allow-android-firefox" : "mic-allow-android");
  if (device === "chromebook") return word("mic-allow-chromebook");
  if (browser === "firefox" || browser === "safari") return word(`mic-allow-${browser}`);
  return word("mic-allow");
}

/**
 * What became of the question whether the page may listen.
 * @param {"denied" | "prompt" | "granted" | "unknown"} permission as it stands after the refusal
 * @param {boolean} isBySystem whether the device's own settings said no, not those of the browser
 * @param {{ device: Device, browser: Browser }} here
 */
export function refusalWords(permission, isBySystem, here) {
  if (isBySystem) return word("mic-refused-by-system", { browser: nameOf(here.browser) });
  if (permission === "prompt") return word("mic-question-closed");
  return word("mic-refused", { how: howToAllow(here) });
}
