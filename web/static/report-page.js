// The report of a rehearsal: draws the shapes beside their words and prints. The page is complete without it.

import { drawShape } from "./states.js";

for (const shape of document.querySelectorAll("svg.shape[data-state]")) {
  drawShape(/** @type {SVGElement} */ (shape), /** @type {SVGElement} */ (shape).dataset.state ?? "");
}
const print = document.getElementById("print");
print?.removeAttribute("hidden");
print?.addEventListener("click", () => window.print());
