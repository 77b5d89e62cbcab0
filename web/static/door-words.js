// Whether the room lets anybody new in, in words. Knows neither page nor socket.

/** @typedef {"open" | "closed" | "timed-out"} Door */

/** @param {Door | undefined} door @returns {string} */
export function doorTitle(door) {
  switch (door) {
    case "closed":
      return "The room is closed";
    case "timed-out":
      return "The room has closed by itself";
    default:
      return "The room is open";
  }
}

/**
 * What stands before the code.
 * @param {Door | undefined} door @returns {string}
 */
export function codeWord(door) {
  return door === "closed" || door === "timed-out" ? "closed; code" : "code";
}
