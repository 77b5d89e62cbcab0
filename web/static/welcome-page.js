// Wires the welcome page: asks whether this device trusts the conductor's computer, and goes on when it does.

import { TrustCheck } from "./trust-check.js";

const page = /** @type {HTMLElement} */ (document.getElementById("welcome"));
const state = /** @type {HTMLElement} */ (document.getElementById("state"));
const slow = /** @type {HTMLElement} */ (document.getElementById("slow"));
const { origin = "", next = "/", device = "", chosen, trusted = "" } = page.dataset;

/** An iPad calls itself a Mac; no Mac has fingers on its screen. */
function isIpad() {
  return device === "mac" && chosen === undefined && navigator.maxTouchPoints > 1;
}

/** @param {import("./trust-check.js").Outcome} outcome */
function tell(outcome) {
  slow.hidden = outcome !== "silent";
  if (outcome === "trusted") {
    state.textContent = trusted;
    location.replace(origin + next);
  }
}

if (isIpad()) {
  const address = new URL(location.href);
  address.searchParams.set("device", "apple");
  location.replace(address);
} else {
  const check = new TrustCheck(origin, tell, {
    fetch: (url, options) => fetch(url, options),
    later: (then, afterMs) => setTimeout(then, afterMs),
    isVisible: () => document.visibilityState === "visible",
  });
  void check.ask();
  for (const event of ["visibilitychange", "focus", "pageshow"]) {
    const target = event === "visibilitychange" ? document : window;
    target.addEventListener(event, () => {
      if (document.visibilityState === "visible") void check.ask();
    });
  }
}
