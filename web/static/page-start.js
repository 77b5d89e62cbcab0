// How a page of the conductor's begins and comes back. Knows neither room nor view.

/**
 * Opens a page, or says in its place for trouble why it did not open.
 * @param {() => Promise<void>} open
 */
export function openOrSay(open) {
  open().catch((error) => {
    const trouble = document.getElementById("trouble");
    if (!trouble) return;
    trouble.hidden = false;
    trouble.textContent = `The page did not start: ${error.message}. Reload it; if that does not help, use a newer browser.`;
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
