// Another language loads the page anew: this keeps what was typed, never a passphrase, and the keyboard's place. Without it the
// language changes as well. Knows no form's meaning.

const KEY = "windrow-typed";

/** Fields that somebody types into or chooses in, in the page's order. @param {ParentNode} page */
const fieldsOf = (page) =>
  /** @type {HTMLInputElement[]} */ ([...page.querySelectorAll("input, select, textarea")]).filter(
    (field) => !["hidden", "password", "file", "radio", "checkbox", "submit", "range"].includes(field.type) && !field.readOnly,
  );

/**
 * What stands in the fields, to be put back by {@link putBack} into the same page.
 * @param {ParentNode} page @param {string} path of the page
 */
export function typedIn(page, path) {
  return JSON.stringify([path, fieldsOf(page).map((field) => [field.name, field.value])]);
}

/**
 * Puts back what was kept, where the page is the same and has the same field there.
 * @param {ParentNode} page @param {string} path @param {string | null} kept
 * @returns {boolean} whether it was the same page
 */
export function putBack(page, path, kept) {
  const [keptPath, typed] = JSON.parse(kept ?? "[]");
  if (keptPath !== path) return false;
  for (const [i, field] of fieldsOf(page).entries()) {
    const [name, value] = typed[i] ?? [];
    if (name !== field.name || value === field.value) continue;
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  return true;
}

if (typeof document !== "undefined") {
  try {
    const kept = sessionStorage.getItem(KEY);
    sessionStorage.removeItem(KEY);
    if (putBack(document, location.pathname, kept)) {
      /** @type {HTMLElement | null} */ (document.querySelector(".languages button"))?.focus();
    }
    document.querySelector(".languages")?.addEventListener("submit", () => {
      sessionStorage.setItem(KEY, typedIn(document, location.pathname));
    });
  } catch {
    // A browser that keeps nothing begins with empty fields.
  }
}
