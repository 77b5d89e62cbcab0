// "Print" on pages over weeks: the button is there where a script can print.

/** @param {Document} page */
export function offerPrint(page) {
  const button = page.getElementById("print");
  // Before the first rehearsal there is nothing to print.
  if (!button) return;
  button.hidden = false;
  button.addEventListener("click", () => page.defaultView?.print());
}

if (typeof document !== "undefined") offerPrint(document);
