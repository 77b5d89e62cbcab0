// What teaches on the rehearsal's page, and when it is in the way: the steps go once anything was played. Takes snapshots of the
// room; every text stands in the page.

export class FirstSteps {
  /** @param {Document} page */
  constructor(page) {
    this.page = page;
  }

  /** @param {{ results?: number, door?: string }} snapshot of the room */
  show(snapshot) {
    this.at("empty-closed").hidden = (snapshot.door ?? "open") === "open";
    if ((snapshot.results ?? 0) === 0) return;
    this.at("steps").hidden = true;
    this.at("try-then").hidden = true;
  }

  /** @param {string} id */
  at(id) {
    return /** @type {HTMLElement} */ (this.page.getElementById(id));
  }
}
