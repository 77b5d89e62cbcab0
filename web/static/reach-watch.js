// How devices get here, asked anew while a page of the conductor's is open: a laptop changes its network, and its pattern.

import { askJson } from "./ask-json.js";

/** Between two questions, ms. */
const ASK_MS = 3000;

/**
 * @param {HTMLImageElement} pattern hidden where it could not be made
 * @param {(reach: any) => void} show
 */
export function watchReach(pattern, show) {
  const showPattern = () => {
    pattern.hidden = pattern.naturalWidth === 0;
  };
  pattern.addEventListener("load", showPattern);
  if (pattern.complete) showPattern();
  let shownUrl = "";
  const ask = async () => {
    const reach = await askJson("/conduct/reach.json");
    if (reach) {
      show(reach);
      // Another address or code is another pattern.
      const url = `${reach.join_url ?? ""}`;
      if (shownUrl && url !== shownUrl) pattern.src = `/conduct/code.svg?of=${encodeURIComponent(url)}`;
      shownUrl = url;
    }
    setTimeout(ask, ASK_MS);
  };
  ask();
}
