// The room before the music as it is seen: seats with ties between those too close, a column of levels for each chair, the
// table of all levels. Takes facts and draws them; knows no socket.

import { doorTitle } from "./door-words.js";
import { deviceInWords } from "./capture-words.js";
import { partName } from "./instrument-names.js";
import { PageElements } from "./page-elements.js";
import { chairInWords, dbText, findingWord, inText, placeOnScale, reachedText, rowsOf, wantsWork } from "./room-words.js";
import { phrase, word } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";

/** @param {string} name @param {string} className @param {string} [text] */
function make(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  return made;
}

export class RoomView extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    /** @type {any} */
    this.snapshot = null;
    /** @type {any} what the check found, or null */
    this.found = null;
    /** What is shown, so that nothing is made anew that has not changed. */
    this.seatsShown = "";
    new ResizeObserver(() => this.tie()).observe(this.at("picture"));
  }

  /** @param {string} text empty to take it away */
  trouble(text) {
    this.text("trouble", text);
    this.at("trouble").hidden = text === "";
  }

  /** @param {any} snapshot of the room */
  show(snapshot) {
    this.snapshot = snapshot;
    this.text("code", snapshot.code);
    this.text("open-title", doorTitle(snapshot.door));
    this.text("in-title", inText(snapshot.section.n_players, snapshot.expected));
    const isEmpty = snapshot.lanes.length === 0;
    this.at("seats-help").hidden = isEmpty;
    this.at("seats-empty").hidden = !isEmpty;
    this.at("picture").hidden = isEmpty;
    const isRunning = Boolean(snapshot.check?.is_running);
    this.text("check-label", word(isRunning ? "room-check-stop" : this.found ? "room-check-again" : "room-check-start"));
    this.showSeats(snapshot, isRunning ? snapshot.check.chair : undefined);
  }

  /** @param {any} snapshot @param {number | undefined} turn chair whose turn it is */
  showSeats(snapshot, turn) {
    const lanes = snapshot.lanes.map((/** @type {any} */ lane) => [lane.chair, lane.name, lane.part, seatWord(lane), lane.state === "away"]);
    const key = JSON.stringify([lanes, turn]);
    if (key === this.seatsShown) return;
    this.seatsShown = key;
    const rows = rowsOf(snapshot.lanes).map((lanesOfRow) => {
      const row = make("ol", "seat-row");
      for (const lane of lanesOfRow) {
        const seat = make("li", "seat");
        seat.dataset.chair = String(lane.chair);
        seat.dataset.in = String(lane.state !== "away");
        if (lane.chair === turn) seat.dataset.turn = "true";
        seat.append(make("span", "chair", String(lane.chair)), make("span", "name", lane.name));
        seat.append(make("span", "part", partName(lane.part, lane.instrument)));
        const said = lane.chair === turn ? word("room-plays-now") : seatWord(lane);
        if (said) seat.append(make("span", "seat-word", said));
        row.append(seat);
      }
      return row;
    });
    // The front row is nearest to the stand, below; a reader meets it first.
    this.at("seats").replaceChildren(...rows);
    this.tie();
  }

  /** Lines between those who sit too close. */
  tie() {
    const ties = this.at("ties");
    const frame = this.at("picture").getBoundingClientRect();
    ties.setAttribute("viewBox", `0 0 ${frame.width} ${frame.height}`);
    const lines = (this.found?.too_close ?? []).flatMap((/** @type {[number, number]} */ pair) => {
      const seats = pair.map((chair) => this.page.querySelector(`.seat[data-chair="${chair}"] .name`));
      const [a, b] = seats.map((seat) => seat?.getBoundingClientRect());
      if (!a || !b) return [];
      const line = this.page.createElementNS(SVG, "path");
      const y = (/** @type {DOMRect} */ box) => box.bottom - frame.top + 6;
      const middle = (/** @type {DOMRect} */ box) => box.left + box.width / 2 - frame.left;
      line.setAttribute("d", `M${middle(a)} ${y(a)}L${middle(b)} ${y(b)}`);
      return [line];
    });
    ties.replaceChildren(...lines);
  }

  /** @param {any} found of the check */
  showCheck(found) {
    this.found = found;
    const chairs = found?.chairs ?? [];
    this.at("columns").replaceChildren(...chairs.map((/** @type {any} */ chair) => columnOf(chair)));
    const [first, ...others] = (found?.advice ?? []).map(phrase);
    const lines = first ? [make("p", "first-advice", first), ...others.map((text) => make("p", "", text))] : [];
    this.at("advice").replaceChildren(...lines);
    this.at("check-help").hidden = chairs.length > 0;
    this.at("key").hidden = chairs.length === 0;
    this.at("all-levels").hidden = chairs.length === 0;
    this.showTable(chairs);
    this.tie();
    if (this.snapshot) this.show(this.snapshot);
  }

  /** @param {any[]} chairs */
  showTable(chairs) {
    const [head, body] = this.page.querySelectorAll("#levels thead, #levels tbody");
    const top = make("tr", "");
    for (const text of [word("room-levels-device"), word("room-levels-own"), word("room-levels-noise"), ...chairs.map((c) => `${c.chair}`)]) {
      const cell = make("th", "", text);
      cell.setAttribute("scope", "col");
      top.append(cell);
    }
    head.replaceChildren(top);
    body.replaceChildren(
      ...chairs.map((chair) => {
        const row = make("tr", "");
        const name = make("th", "", `${chair.chair} ${chair.name}`);
        name.setAttribute("scope", "row");
        row.append(name, make("td", "", dbText(chair.own_db)), make("td", "", dbText(chair.noise_db)));
        for (const other of chairs) {
          const leak = chair.leaks.find((/** @type {any} */ l) => l.chair === other.chair);
          const isNear = leak && chair.loudest === other.chair && wantsWork(chair.finding);
          const text = other.chair === chair.chair ? dbText(chair.own_db) : dbText(leak?.level_db);
          const cell = make("td", other.chair === chair.chair ? "own" : isNear ? "near" : "", text);
          row.append(cell);
        }
        return row;
      }),
    );
  }

  /** @param {any} reach how devices reach this computer */
  showReach(reach) {
    if (reach.short_address) this.text("address", reach.short_address);
    this.text("local-name", reach.local_name ? word("reach-or", { name: reach.local_name }) : "");
    this.at("local-name").hidden = !reach.local_name;
    this.text("reached", reachedText(reach));
    const warnings = (reach.warnings ?? []).map((/** @type {any} */ w) => {
      const item = make("li", "");
      item.append(make("strong", "", w.text), make("span", "", ` ${w.what_to_do ?? ""}`));
      return item;
    });
    if (JSON.stringify(reach.warnings ?? []) !== this.warningsShown) {
      this.warningsShown = JSON.stringify(reach.warnings ?? []);
      this.at("warnings").replaceChildren(...warnings);
    }
  }
}

/** What is to be known of a seat besides that it is taken. @param {any} lane */
function seatWord(lane) {
  if (lane.state === "away") return word("room-not-in");
  return deviceInWords(lane);
}

/** @param {any} chair of the check */
function columnOf(chair) {
  const column = make("li", "column");
  column.dataset.finding = chair.finding;
  column.setAttribute("aria-label", chairInWords(chair));
  const scale = make("div", "scale");
  scale.setAttribute("aria-hidden", "true");
  const put = (/** @type {string} */ kind, /** @type {number | undefined} */ db) => {
    if (db === undefined) return;
    const mark = make("span", `mark ${kind}`);
    mark.style.top = `${(placeOnScale(db) * 100).toFixed(1)}%`;
    scale.append(mark);
  };
  put("noise", chair.noise_db);
  const loudest = chair.leaks.find((/** @type {any} */ l) => l.chair === chair.loudest);
  put("neighbour", loudest?.level_db);
  put("own-level", chair.own_db);
  const words = make("div", "words");
  words.append(make("span", "chair", String(chair.chair)), make("span", "name", chair.name));
  words.append(make("span", "finding", findingWord(chair.finding)));
  if (chair.apart_db !== undefined) words.append(make("span", "apart quiet", word("finding-apart", { db: dbText(chair.apart_db) })));
  column.append(scale, words);
  return column;
}
