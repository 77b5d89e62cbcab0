// Buttons that show a passphrase while it is typed, and hide it again; their words come with them. Knows neither the form
// nor what it is for.

for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-shows]"))) {
  const field = /** @type {HTMLInputElement} */ (document.getElementById(button.dataset.shows ?? ""));
  const { hide = "", hideLabel = "" } = button.dataset;
  const words = { show: button.textContent ?? "", showLabel: button.getAttribute("aria-label") ?? "", hide, hideLabel };
  const show = (/** @type {boolean} */ isShown) => {
    field.type = isShown ? "text" : "password";
    button.textContent = isShown ? words.hide : words.show;
    // What is read out begins with what is seen, and says which field is meant.
    button.setAttribute("aria-label", isShown ? words.hideLabel : words.showLabel);
  };
  button.hidden = false;
  button.addEventListener("click", () => show(field.type === "password"));
  // A shown passphrase is not kept by the browser among what was typed into text fields.
  field.form?.addEventListener("submit", () => show(false));
}
