// "How it has gone": asks for the player's weeks with the device's token in a header, so that it stands in no address, and puts them
// into the page. Knows nothing of what they hold.

import { recall } from "./kept.js";
import { word } from "./words.js";
import "./weeks-print.js";

const HEADER = "x-windrow-device";

/**
 * @param {Document} page
 * @param {typeof fetch} ask
 * @param {string} token empty where the device is strange here
 * @param {string} query what the page's own address asks for
 */
export async function show(page, ask, token, query) {
  const at = (/** @type {string} */ id) => /** @type {HTMLElement} */ (page.getElementById(id));
  const trouble = (/** @type {string} */ text) => {
    at("trouble").textContent = text;
    at("trouble").hidden = false;
  };
  try {
    const answer = token
      ? await ask(`/mine/weeks/part${query}`, {
          method: "POST",
          headers: { [HEADER]: token },
          cache: "no-store",
          referrerPolicy: "no-referrer",
        })
      : null;
    if (answer && !answer.ok && answer.status !== 404) return trouble(word("weeks-busy"));
    if (!answer?.ok) {
      at("nothing").hidden = false;
      return undefined;
    }
    const parsed = new DOMParser().parseFromString(await answer.text(), "text/html");
    at("weeks").replaceChildren(...parsed.body.childNodes);
    at("weeks").dataset.shown = "true";
  } catch {
    trouble(word("weeks-unreachable"));
  }
  return undefined;
}

if (typeof document !== "undefined") show(document, fetch.bind(window), recall("device-token") ?? "", location.search);
