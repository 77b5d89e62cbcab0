// Brings in files of another Windrow: reads them rehearsal by rehearsal, so that no file is too long, and sends one after the
// other. The page works without it for what is pasted.

import { word } from "./words.js";

/** @typedef {{ new: number, here: number, players: number, known: number }} Taken */

/**
 * Whole documents of a file: each line of a JSON Lines file, or all of a JSON file, which may be one document over many lines. Reads as
 * it goes, and looks at no sign twice: a rehearsal may have tens of millions.
 * @param {ReadableStream<string>} stream text in pieces of any length
 */
export async function* documentsOf(stream) {
  /** @type {string[]} */
  let held = [];
  let isSpread = false;
  const reader = stream.getReader();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    let begin = 0;
    for (let end = value.indexOf("\n"); !isSpread && end >= 0; end = value.indexOf("\n", begin)) {
      held.push(value.slice(begin, end + 1));
      begin = end + 1;
      const line = held.join("").trim();
      isSpread = line !== "" && !(line.startsWith("{") && line.endsWith("}"));
      if (isSpread) break;
      held = [];
      if (line !== "") yield line;
    }
    held.push(value.slice(begin));
  }
  const left = held.join("");
  if (left.trim() !== "") yield left;
}

/**
 * @param {Taken} all @param {Taken} one
 * @returns {Taken}
 */
export const added = (all, one) => ({ new: all.new + one.new, here: all.here + one.here, players: all.players + one.players, known: all.known + one.known });

/** @param {string} text @returns {Promise<Taken | string>} what came, or why nothing did */
async function send(text) {
  try {
    const answer = await fetch("/conduct/rehearsals/import", { method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" }, body: text });
    if (answer.headers.get("content-type")?.startsWith("application/json")) {
      const said = await answer.json();
      return answer.ok ? said : said.why;
    }
  } catch {
    // The same as an answer that is none.
  }
  return word("report-bring-lost");
}

/** @param {Document} page */
function start(page) {
  const form = /** @type {HTMLFormElement | null} */ (page.getElementById("bring"));
  if (!form) return;
  const files = /** @type {HTMLInputElement} */ (page.getElementById("files"));
  const text = /** @type {HTMLTextAreaElement} */ (page.getElementById("text"));
  const said = /** @type {HTMLElement} */ (page.getElementById("bring-said"));
  /** @type {HTMLElement} */ (form.querySelector(".choose")).hidden = false;
  const line = (/** @type {string} */ words) => {
    const paragraph = page.createElement("p");
    paragraph.textContent = words;
    said.append(paragraph);
    return paragraph;
  };
  const bring = async (/** @type {string} */ name, /** @type {ReadableStream<string>} */ stream) => {
    const here = line(word("report-bring-reading", { file: name }));
    let taken = { new: 0, here: 0, players: 0, known: 0 };
    let n = 0;
    for await (const one of documentsOf(stream)) {
      n += 1;
      const came = await send(one);
      if (typeof came === "string") {
        here.className = "trouble";
        here.textContent = n === 1 ? word("report-bring-not", { file: name, why: came }) : word("report-bring-not-line", { file: name, n, why: came, before: n - 1 });
        return;
      }
      taken = added(taken, came);
    }
    here.textContent = `${name}: ${word("report-bring-done", taken)}`;
  };
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    said.replaceChildren();
    const button = /** @type {HTMLButtonElement} */ (form.querySelector("button"));
    button.disabled = true;
    for (const file of files.files ?? []) await bring(file.name, file.stream().pipeThrough(new TextDecoderStream()));
    if (text.value.trim() !== "") await bring(word("report-bring-pasted"), new Blob([text.value]).stream().pipeThrough(new TextDecoderStream()));
    button.disabled = false;
    files.value = "";
  });
}

if (typeof document !== "undefined") start(document);
