// The page of plans: its only script reads a chosen file into the form. Everything else works without it.

/** As the server takes it once it stands in a form, where a sign may take three bytes; bytes. */
const MAX_BYTES = 1024 * 1024;

/**
 * A file's text, or what is wrong with it.
 * @param {{ name: string, size: number, arrayBuffer: () => Promise<ArrayBuffer> }} file
 * @returns {Promise<{ text: string, trouble: string }>}
 */
export async function textOfPlanFile(file) {
  if (file.size > MAX_BYTES) {
    return { text: "", trouble: `${file.name} has ${Math.round(file.size / 1024)} kB; at most ${MAX_BYTES / 1024} are taken. Is it a plan, or one part's music?` };
  }
  const bytes = new Uint8Array(await file.arrayBuffer());
  // How every zip archive begins (APPNOTE.TXT, section 4.3.7): compressed MusicXML is one.
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) {
    return { text: "", trouble: `${file.name} is compressed. Export it again as uncompressed MusicXML (.musicxml or .xml).` };
  }
  // Notation programs write UTF-16 as well, with a mark in front.
  const isUtf16 = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const encoding = !isUtf16 ? "utf-8" : bytes[0] === 0xff ? "utf-16le" : "utf-16be";
  try {
    return { text: new TextDecoder(encoding, { fatal: true }).decode(bytes), trouble: "" };
  } catch {
    return { text: "", trouble: `${file.name} is no text in UTF-8. Save it as UTF-8 and choose it again.` };
  }
}

/** @param {Document} page */
function start(page) {
  page.getElementById("trouble")?.focus();
  const file = /** @type {HTMLInputElement | null} */ (page.getElementById("file"));
  const text = /** @type {HTMLTextAreaElement | null} */ (page.getElementById("text"));
  const name = /** @type {HTMLInputElement | null} */ (page.getElementById("file-name"));
  const said = page.getElementById("file-said");
  file?.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen || !text || !name || !said) return;
    const found = await textOfPlanFile(chosen);
    if (!found.trouble) [text.value, name.value] = [found.text, chosen.name];
    said.textContent = found.trouble || `${chosen.name} is in the field below. Nothing is changed until you bring it in.`;
  });
}

if (typeof document !== "undefined") start(document);
