// Buttons that show a passphrase while it is typed, and hide it again. Knows neither the form nor what it is for.

for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-shows]"))) {
  const field = /** @type {HTMLInputElement} */ (document.getElementById(button.dataset.shows ?? ""));
  const show = (/** @type {boolean} */ isShown) => {
    field.type = isShown ? "text" : "password";
    const word = isShown ? "Hide" : "Show";
    button.textContent = word;
    // What is read out begins with what is seen, and says which field is meant.
    button.setAttribute("aria-label", (button.getAttribute("aria-label") ?? word).replace(/^(Show|Hide)/, word));
  };
  button.hidden = false;
  button.addEventListener("click", () => show(field.type === "password"));
  // A shown passphrase is not kept by the browser among what was typed into text fields.
  field.form?.addEventListener("submit", () => show(false));
}
