// The section's names to tap: fetching them, and drawing them as one group of choices. Knows neither socket nor steps.

import { partName } from "./instrument-names.js";
import { word } from "./words.js";

/**
 * @typedef {{ person_id: string, name: string, instrument: string, part: string, is_in: boolean }} NameToTap
 */

/** No room has the code now; the text says whether one had it earlier. */
export class StrangeCode extends Error {}

/**
 * The names of a room.
 * @param {string} code
 * @param {typeof fetch} ask
 * @returns {Promise<NameToTap[]>} fails with a {@link StrangeCode}, or with what the server says
 */
export async function fetchNames(code, ask = fetch) {
  const plain = code.replace(/[^0-9a-z]/gi, "").toUpperCase();
  const answer = await ask(`/join/${encodeURIComponent(plain)}/names.json`, { cache: "no-store", referrerPolicy: "no-referrer" });
  if (!answer.ok) {
    const text = (await answer.text()).trim() || word("join-no-names");
    throw answer.status === 404 ? new StrangeCode(text) : new Error(text);
  }
  return answer.json();
}

/**
 * What stands at the end of a name's row.
 * @param {boolean} isMarked @param {boolean} isIn
 */
export function endWords(isMarked, isIn) {
  if (isMarked) return word("join-that-is-me");
  return isIn ? word("join-is-in") : "";
}

export class NameList {
  /**
   * @param {HTMLElement} place
   * @param {() => void} marked a name was tapped
   */
  constructor(place, marked) {
    this.place = place;
    /** @type {NameToTap[]} */
    this.names = [];
    place.addEventListener("change", () => {
      this.showEnds();
      marked();
    });
  }

  /**
   * The names as they are now. Where only who is in has changed, rows stay, and with them the keyboard's place.
   * @param {NameToTap[]} names
   */
  show(names) {
    const same = (/** @type {NameToTap} */ a, /** @type {NameToTap} */ b) =>
      a.person_id === b?.person_id && a.name === b.name && a.part === b.part;
    if (names.length === this.names.length && names.every((name, i) => same(name, this.names[i]))) {
      this.names = names;
      for (const [i, row] of [...this.place.children].entries()) {
        /** @type {HTMLElement} */ (row).dataset.in = String(names[i].is_in);
      }
      this.showEnds();
      return;
    }
    const former = this.chosen()?.person_id;
    this.names = names;
    this.place.replaceChildren(...names.map((name) => this.row(name, name.person_id === former)));
    this.showEnds();
  }

  /** @param {NameToTap} name @param {boolean} isMarked */
  row(name, isMarked) {
    const page = this.place.ownerDocument;
    const row = page.createElement("label");
    row.dataset.in = String(name.is_in);
    const choice = page.createElement("input");
    choice.type = "radio";
    choice.name = "person";
    choice.value = name.person_id;
    choice.checked = isMarked;
    const words = [
      ["b", name.name],
      ["small", partName(name.part, name.instrument)],
      ["small", ""],
    ].map(([tag, text]) => {
      const word = page.createElement(tag);
      word.textContent = text;
      return word;
    });
    words[2].className = "is";
    row.append(choice, ...words);
    return row;
  }

  /** Which name is marked. @returns {NameToTap | null} */
  chosen() {
    const marked = /** @type {HTMLInputElement | null} */ (this.place.querySelector("input:checked"));
    return this.names.find((name) => name.person_id === marked?.value) ?? null;
  }

  unmark() {
    for (const choice of this.place.querySelectorAll("input")) choice.checked = false;
    this.showEnds();
  }

  showEnds() {
    const marked = this.chosen();
    for (const [i, row] of [...this.place.children].entries()) {
      const end = /** @type {HTMLElement} */ (row.querySelector(".is"));
      const isMarked = this.names[i] === marked;
      /** @type {HTMLElement} */ (row).dataset.marked = String(isMarked);
      end.textContent = endWords(isMarked, this.names[i].is_in);
    }
  }

  focus() {
    const inputs = this.place.querySelectorAll("input");
    const marked = /** @type {HTMLInputElement | null} */ (this.place.querySelector("input:checked"));
    (marked ?? inputs[0])?.focus();
  }
}
