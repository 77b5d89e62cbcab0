// Over imaginary players stands that they are, on any page of the conductor's that shows who is in. Takes snapshots of the room;
// every text stands in the page.

export class ImaginaryLine {
  /** @param {Document} page */
  constructor(page) {
    this.page = page;
    this.line = /** @type {HTMLElement} */ (page.getElementById("imaginary"));
    page.body.style.setProperty("--imaginary", JSON.stringify(this.line.dataset.mark ?? ""));
  }

  /** @param {{ imaginary?: boolean }} snapshot of the room */
  show(snapshot) {
    const isImaginary = snapshot.imaginary ?? false;
    this.line.hidden = !isImaginary;
    this.page.body.toggleAttribute("data-imaginary", isImaginary);
  }
}
