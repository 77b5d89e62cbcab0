// How a page of the conductor's begins and comes back. Knows neither room nor view.

import { word } from "./words.js";

/**
 * Opens a page, or says in its place for trouble why it did not open.
 * @param {() => Promise<void>} open
 */
export function openOrSay(open) {
  open().catch((error) => {
    const trouble = document.getElementById("trouble");
    if (!trouble) return;
    trouble.hidden = false;
    trouble.textContent = word("page-not-started", { why: error.message });
  });
}

/**
 * Lets a socket try at once when the page is seen again or the network is back.
 * @param {{ hurry: () => void }} socket
 */
export function hurryBack(socket) {
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") socket.hurry();
  });
  window.addEventListener("online", () => socket.hurry());
}
