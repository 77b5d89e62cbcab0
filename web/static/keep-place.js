// Keeps the keyboard's place on pages whose forms are answered by the same page again: without this, whoever presses "Down" at
// the thirtieth name begins at the top. Knows no form's meaning.

const KEY = "windrow-place";

/**
 * What tells a button's form from the others of a page, and the button from its neighbours.
 * @param {HTMLFormElement} form @param {{ name: string, value: string } | null} button
 */
export function placeOf(form, button) {
  const hidden = [...form.querySelectorAll('input[type="hidden"]')].map((field) => /** @type {HTMLInputElement} */ (field).value);
  return JSON.stringify([form.getAttribute("action"), hidden, button?.name ?? "", button?.value ?? ""]);
}

/** @param {Document} page @param {Storage} memory of this tab */
export function keepPlace(page, memory) {
  const forms = () => /** @type {HTMLFormElement[]} */ ([...page.querySelectorAll("form")]);
  /** @param {HTMLFormElement} form @returns {any[]} */
  const buttons = (form) => [...form.querySelectorAll("button")].filter((button) => !button.matches("[type=button]"));
  page.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    memory.setItem(KEY, placeOf(form, /** @type {any} */ (event).submitter));
  });
  const place = memory.getItem(KEY);
  memory.removeItem(KEY);
  // What is wrong comes first.
  const wrong = /** @type {HTMLElement | null} */ (page.querySelector('[aria-invalid="true"]'));
  if (wrong) return wrong.focus();
  if (!place) return;
  const [action] = JSON.parse(place);
  for (const form of forms()) {
    const pressed = buttons(form).find((button) => placeOf(form, button) === place);
    if (!pressed) continue;
    // A form that adds is empty again: its first field is where the next one is typed.
    const first = form.matches(".add") ? form.querySelector("input:not([type=hidden])") : null;
    const next = first ?? (pressed.disabled ? buttons(form).find((button) => !button.disabled) : pressed);
    return next?.focus();
  }
  // What was pressed is gone: its opposite, such as "Undo" or "Open the room", is the first of that kind.
  const same = forms().find((form) => form.getAttribute("action") === action);
  return same && buttons(same).find((button) => !button.disabled)?.focus();
}

if (typeof document !== "undefined") {
  try {
    keepPlace(document, sessionStorage);
  } catch {
    // A browser that keeps nothing begins at the top.
  }
}
