// The buttons that open a dialog, and where the keyboard goes when it is closed. Knows nothing of what the dialog is for.

/**
 * @param {Document} page @param {string} name as the buttons have it in "data-opens"
 * @param {HTMLDialogElement} dialog @param {() => void} open
 */
export function openedByButtons(page, name, dialog, open) {
  for (const button of page.querySelectorAll(`[data-opens=${name}]`)) button.addEventListener("click", open);
  dialog.addEventListener("close", () => {
    // A browser gives the keyboard back to the button; one that was hidden meanwhile cannot take it. Chromium then says for
    // a moment that it is still inside the dialog.
    const { activeElement } = page;
    const isNowhere = !activeElement || activeElement === page.body || dialog.contains(activeElement);
    if (isNowhere) page.getElementById("title")?.focus({ preventScroll: true });
  });
}
