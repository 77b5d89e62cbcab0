// A page's elements by their ids: what is missing is an error at once, and a text that stays is not written again, since
// screen readers would read it again. Knows no page.

export class PageElements {
  /** @param {Document} page */
  constructor(page) {
    this.page = page;
  }

  /** @param {string} id @returns {any} */
  at(id) {
    const found = this.page.getElementById(id);
    if (!found) throw new Error(`the page has no element "${id}"`);
    return found;
  }

  /** @param {string} id @param {string} text */
  text(id, text) {
    const element = this.at(id);
    if (element.textContent !== text) element.textContent = text;
  }
}
