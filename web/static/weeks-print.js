// "Print" on pages over weeks: the button is there where a script can print.

/** @param {Document} page */
export function offerPrint(page) {
  const button = /** @type {HTMLButtonElement} */ (page.getElementById("print"));
  button.hidden = false;
  button.addEventListener("click", () => page.defaultView?.print());
}

if (typeof document !== "undefined") offerPrint(document);
