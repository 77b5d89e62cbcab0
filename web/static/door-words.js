// Whether the room lets anybody new in, in words. Knows neither page nor socket.

import { word } from "./words.js";

/** @typedef {"open" | "closed" | "timed-out"} Door */

/** @param {Door | undefined} door @returns {string} */
export function doorTitle(door) {
  switch (door) {
    case "closed":
      return word("door-closed");
    case "timed-out":
      return word("door-timed-out");
    default:
      return word("door-open");
  }
}

/**
 * What stands before the code.
 * @param {Door | undefined} door @returns {string}
 */
export function codeWord(door) {
  return door === "closed" || door === "timed-out" ? word("door-closed-code") : word("door-code");
}
