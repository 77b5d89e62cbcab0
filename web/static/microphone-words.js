// What to do where a microphone is not allowed, in the words of the browser at hand. The names of menus are from memory and
// change with versions, so each text says what to look for. Pure; knows no page.

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

const NAMES = Object.freeze({ safari: "Safari", chrome: "Chrome", edge: "Edge", firefox: "Firefox", other: "your browser" });

/**
 * How to allow the microphone once it was refused for good.
 * @param {{ device: Device, browser: Browser }} here
 */
export function howToAllow({ device, browser }) {
  if (device === "iphone") {
    return browser === "safari"
      ? "Tap the sign beside the address (“aA” or lines), then “Website Settings” and “Microphone: Allow”. If that is not there: Settings, Apps, Safari, Microphone."
      : `Open the Settings of the device, then Apps, ${NAMES[browser]}, and switch “Microphone” on.`;
  }
  if (device === "android") {
    return browser === "firefox"
      ? "Tap the lock beside the address, then “Microphone”, so that it is allowed."
      : "Tap the sign left of the address, then “Permissions”, and switch “Microphone” on. If that is not there: the device’s Settings, Apps, your browser, Permissions.";
  }
  if (device === "chromebook") {
    return "Click the sign left of the address and switch “Microphone” on. If it cannot be switched, the school has barred it: ask whoever looks after the device.";
  }
  if (browser === "firefox") return "Click the crossed-out microphone left of the address and take the block away.";
  if (browser === "safari") return "Choose Safari, “Settings for this Website”, “Microphone: Allow”.";
  return "Click the sign left of the address and set “Microphone” to “Allow”.";
}

/** Closes every advice. */
export const THEN_LISTEN = "then press “Listen”.";

/**
 * What became of the question whether the page may listen.
 * @param {"denied" | "prompt" | "granted" | "unknown"} permission as it stands after the refusal
 * @param {boolean} isBySystem whether the device's own settings said no, not those of the browser
 * @param {{ device: Device, browser: Browser }} here
 */
export function refusalWords(permission, isBySystem, here) {
  if (isBySystem) {
    return `The device does not let ${NAMES[here.browser]} use the microphone. Allow it in the device’s settings for privacy, ${THEN_LISTEN}`;
  }
  if (permission === "prompt") return "The question about the microphone was closed. Press “Listen” and choose “Allow”.";
  return `The microphone is not allowed. ${howToAllow(here)} Then press “Listen”.`;
}
