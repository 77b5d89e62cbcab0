// Keeps the screen on while the music is on the stand. Where a browser cannot, the screen goes dark as it always does.

/** @type {WakeLockSentinel | null} */
let lock = null;

/** Asks for the screen to stay on; asked again each time the page comes to the front, since hiding it lets go. */
export async function keepAwake() {
  try {
    if (lock && !lock.released) return;
    lock = (await navigator.wakeLock?.request("screen")) ?? null;
  } catch {
    // Low battery or a rule of the device: not ours to insist.
  }
}
