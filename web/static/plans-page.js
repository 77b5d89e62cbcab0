// The page of plans: its only script reads a chosen file into the form. Everything else works without it.

import { word } from "./words.js";

/** As the server takes it once it stands in a form, where a sign may take three bytes; bytes. */
const MAX_BYTES = 1024 * 1024;

/**
 * A file's text, or the bytes of a compressed one in hex, or what is wrong with it.
 * @param {{ name: string, size: number, arrayBuffer: () => Promise<ArrayBuffer> }} file
 * @returns {Promise<{ text: string, packed: string, trouble: string }>}
 */
export async function readPlanFile(file) {
  if (file.size > MAX_BYTES) {
    return { text: "", packed: "", trouble: word("plan-file-large", { file: file.name, kb: Math.round(file.size / 1024), most: MAX_BYTES / 1024 }) };
  }
  if (file.size === 0) return { text: "", packed: "", trouble: word("plan-file-empty", { file: file.name }) };
  const bytes = new Uint8Array(await file.arrayBuffer());
  // How every zip archive begins (APPNOTE.TXT, section 4.3.7): compressed MusicXML is one. The server unpacks it.
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) {
    return { text: "", packed: Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join(""), trouble: "" };
  }
  // Notation programs write UTF-16 as well, with a mark in front.
  const isUtf16 = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const encoding = !isUtf16 ? "utf-8" : bytes[0] === 0xff ? "utf-16le" : "utf-16be";
  try {
    return { text: new TextDecoder(encoding, { fatal: true }).decode(bytes), packed: "", trouble: "" };
  } catch {
    return { text: "", packed: "", trouble: word("plan-file-unreadable", { file: file.name }) };
  }
}

/** @param {Document} page */
function start(page) {
  page.getElementById("trouble")?.focus();
  const file = /** @type {HTMLInputElement | null} */ (page.getElementById("file"));
  const text = /** @type {HTMLTextAreaElement | null} */ (page.getElementById("text"));
  const name = /** @type {HTMLInputElement | null} */ (page.getElementById("file-name"));
  const packed = /** @type {HTMLInputElement | null} */ (page.getElementById("packed"));
  const said = page.getElementById("file-said");
  // Who types instead means what was typed.
  text?.addEventListener("input", () => packed && (packed.value = ""));
  file?.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen || !text || !name || !packed || !said) return;
    const found = await readPlanFile(chosen);
    if (!found.trouble) [text.value, packed.value, name.value] = [found.text, found.packed, chosen.name];
    text.required = packed.value === "";
    said.textContent = found.trouble || word(found.packed ? "plan-file-chosen" : "plan-file-read", { file: chosen.name });
  });
}

if (typeof document !== "undefined") start(document);
