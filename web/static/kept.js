// The few things this browser keeps for the next time: name, instrument, seat, and switches. A browser that keeps
// nothing (private window, storage switched off) works all the same.

const PREFIX = "windrow-";

/** @param {string} key @returns {string | null} */
export function recall(key) {
  try {
    return localStorage.getItem(PREFIX + key);
  } catch {
    return null;
  }
}

/** @param {string} key @param {string} value */
export function keep(key, value) {
  try {
    localStorage.setItem(PREFIX + key, value);
  } catch {
    // Forgetting costs the player a few taps next time, nothing more.
  }
}

/** @param {string} key */
export function forget(key) {
  try {
    localStorage.removeItem(PREFIX + key);
  } catch {
    // What was never kept is forgotten.
  }
}
