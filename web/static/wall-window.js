// The wall in a window of its own, for a second screen: it follows the room and has no controls, only keys for how it looks.
// Knows no room and sends nothing.

import { keepAwake } from "./wake.js";

/**
 * @param {Document} page
 * @param {import("./wall-choices.js").WallChoices} choices
 * @param {() => void} turnFull
 */
export function wireWallWindow(page, choices, turnFull) {
  page.body.dataset.window = "wall";
  keepAwake();
  /** @type {Record<string, () => void>} */
  const keys = {
    f: turnFull,
    l: () => choices.nextLabels(),
    t: () => {
      choices.isTallied = !choices.isTallied;
    },
    d: () => {
      choices.isFar = !choices.isFar;
    },
  };
  // Before the conductor's own keys: nothing here starts or stops the music.
  page.addEventListener(
    "keydown",
    (event) => {
      event.stopImmediatePropagation();
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const run = keys[event.key.toLowerCase()];
      if (!run) return;
      event.preventDefault();
      run();
    },
    { capture: true },
  );
  page.addEventListener("dblclick", turnFull);
}
