// The player's page in a rehearsal, where something was practised at home: asks once whether the teacher may see it, hands it in quietly
// and says so. The rules are hand-in.js's.

import { openShelf } from "./device-shelf.js";
import { HAND_IN, handIn, waiting } from "./hand-in.js";
import { keep, recall } from "./kept.js";
import { WAITING } from "./practice-waiting.js";
import { word } from "./words.js";

/** What the player chose: "yes", "no", or nothing yet. */
const CHOICE = "hand-in";
/** The first seconds of a rehearsal belong to it, ms. */
const AFTER_MS = 5000;
/** Where the way was lost it is tried again so often, ms. */
const AGAIN_MS = 60_000;

/** @param {string} body */
const post = (body) =>
  fetch(HAND_IN, {
    method: "POST",
    body,
    headers: { "content-type": "application/json", "x-windrow-device": recall("device-token") ?? "" },
    cache: "no-store",
  });

/** @param {(text: string) => void} notice */
async function handInNow(notice) {
  const shelf = await openShelf();
  const { nTaken, nRefused, nLeft } = await handIn(shelf, post, () => Date.now());
  keep(WAITING, String(nLeft));
  const said = [
    nTaken > 0 ? word("hand-in-done", { n: nTaken }) : "",
    nRefused > 0 ? word("hand-in-refused", { n: nRefused }) : "",
  ].filter(Boolean);
  if (said.length > 0) notice(said.join(" "));
  if (nLeft > 0) setTimeout(() => void handInNow(notice).catch(() => {}), AGAIN_MS);
}

/**
 * @param {Document} page with an offer that is hidden
 * @param {(text: string) => void} notice
 */
export async function offerHandIn(page, notice) {
  const at = (/** @type {string} */ id) => /** @type {HTMLElement} */ (page.getElementById(id));
  if (recall(CHOICE) === "no") return;
  // A browser that does not let it be read has nothing to hand in.
  const heads = await openShelf().then((shelf) => shelf.heads(), () => []);
  const n = waiting(heads).length;
  if (n === 0) return keep(WAITING, "0");
  const later = () => setTimeout(() => void handInNow(notice).catch(() => {}), AFTER_MS);
  if (recall(CHOICE) === "yes") return void later();
  at("hand-in-asked").textContent = word("hand-in-ask", { n });
  at("hand-in-offer").hidden = false;
  const answered = (/** @type {"yes" | "no"} */ choice) => {
    keep(CHOICE, choice);
    at("hand-in-offer").hidden = true;
    at("title").focus({ preventScroll: true });
    if (choice === "yes") void handInNow(notice).catch(() => {});
  };
  at("hand-in-yes").onclick = () => answered("yes");
  at("hand-in-no").onclick = () => answered("no");
}
