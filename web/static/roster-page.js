// The roster page's only script: reads a chosen file into the form, and keeps the words "is in" fresh. Everything else
// works without it.

import { askJson } from "./ask-json.js";
import { word } from "./words.js";

/** Between two looks at who is in, ms. */
const LOOK_MS = 4000;
/** As the server takes it, bytes. */
const MAX_BYTES = 256 * 1024;

/**
 * A file's text, or what is wrong with it.
 * @param {{ size: number, arrayBuffer: () => Promise<ArrayBuffer> }} file
 * @returns {Promise<{ text: string, trouble: string }>}
 */
export async function textOfFile(file) {
  if (file.size > MAX_BYTES) {
    return { text: "", trouble: word("roster-file-too-large", { kb: Math.round(file.size / 1024), most: MAX_BYTES / 1024 }) };
  }
  try {
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer()), trouble: "" };
  } catch {
    return { text: "", trouble: word("roster-file-not-utf8") };
  }
}

/**
 * How many are in, in words.
 * @param {{ person_id: string | null, is_in: boolean }[]} seats
 */
export function inWords(seats) {
  const nIn = seats.filter((s) => s.is_in).length;
  const n = seats.filter((s) => s.person_id !== null || s.is_in).length;
  return n === 0 ? "" : word("roster-n-in", { n: nIn, expected: n });
}

/** @param {Document} page */
function start(page) {
  page.getElementById("trouble")?.focus();
  const file = /** @type {HTMLInputElement | null} */ (page.getElementById("file"));
  const csv = /** @type {HTMLTextAreaElement | null} */ (page.getElementById("csv"));
  const said = page.getElementById("file-said");
  file?.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen || !csv || !said) return;
    const { text, trouble } = await textOfFile(chosen);
    if (!trouble) csv.value = text;
    said.textContent = trouble || word("roster-file-chosen", { name: chosen.name });
  });
  const look = async () => {
    if (page.visibilityState !== "visible") return;
    const seats = await askJson("/conduct/seats.json");
    if (!seats) return;
    const isIn = new Map(seats.map((/** @type {any} */ s) => [s.person_id, s.is_in]));
    for (const word of page.querySelectorAll("[data-person]")) {
      const text = isIn.get(/** @type {HTMLElement} */ (word).dataset.person) ? word("roster-is-in") : "";
      if (word.textContent !== text) word.textContent = text;
    }
    const count = page.getElementById("n-in");
    const words = inWords(seats) && `, ${inWords(seats)}`;
    if (count && count.textContent !== words) count.textContent = words;
  };
  setInterval(look, LOOK_MS);
}

if (typeof document !== "undefined") start(document);
