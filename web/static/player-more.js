// "More" on the player's page: everything that is not needed while one plays, behind one button. Knows only its dialog.

import { openedByButtons } from "./dialog-openers.js";

/** @param {Document} page */
export function wireMore(page) {
  const dialog = /** @type {HTMLDialogElement} */ (page.getElementById("more-dialog"));
  openedByButtons(page, "more", dialog, () => dialog.showModal());
  // A button that opens another dialog leaves this one.
  for (const button of dialog.querySelectorAll("button[data-opens]")) button.addEventListener("click", () => dialog.close());
}
