// How many players are in which state, for the wall: no names beside verdicts. Knows neither socket nor canvas.

import { unmeasuredWord } from "./capture-words.js";
import { drawShape, lookOf } from "./states.js";
import { word } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";

/** In place of a state where a device does not listen; it has the look of "not heard". */
const NOT_MEASURED = "not measured";

/**
 * States with how many players are in each: matched first, then the most frequent.
 * @param {{ state: string, microphone?: string, waits?: boolean }[]} lanes
 * @returns {{ state: string, count: number }[]}
 */
export function tallyOf(lanes) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const lane of lanes) {
    if (lane.waits) continue;
    const state = unmeasuredWord(lane) ? NOT_MEASURED : lane.state;
    counts.set(state, (counts.get(state) ?? 0) + 1);
  }
  const rank = (/** @type {{ state: string, count: number }} */ row) => (row.state === "matched" ? Infinity : row.count);
  return [...counts].map(([state, count]) => ({ state, count })).sort((a, b) => rank(b) - rank(a));
}

export class Tally {
  /** @param {HTMLElement} list */
  constructor(list) {
    this.list = list;
    this.shown = "";
  }

  /** @param {{ state: string, microphone?: string, waits?: boolean }[]} lanes */
  show(lanes) {
    const rows = tallyOf(lanes);
    const key = JSON.stringify(rows);
    if (key === this.shown) return;
    this.shown = key;
    this.list.replaceChildren(
      ...rows.map(({ state, count }) => {
        const item = document.createElement("li");
        item.dataset.state = state;
        const shape = document.createElementNS(SVG, "svg");
        shape.setAttribute("class", "shape");
        drawShape(shape, state);
        const name = document.createElement("span");
        name.className = "word";
        name.textContent = state === NOT_MEASURED ? word("not-measured") : lookOf(state).word;
        const number = document.createElement("strong");
        number.textContent = String(count);
        item.append(shape, name, number);
        return item;
      }),
    );
  }
}
