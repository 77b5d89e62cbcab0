// The lanes as rows of the page: chair, name, part, pitch figure, shape, word, evidence, and one text alternative each.
// Knows neither socket nor canvas.

import { captureInWords, isDepthOwn, unmeasuredWord } from "./capture-words.js";
import { centsText } from "./exercise-words.js";
import { drawShape, lookOf } from "./states.js";

/** What stands under the word where a device does not listen. */
const UNMEASURED_DETAIL = "follows the beat unmeasured";
/** A device that goes by posts, since no socket reaches it. */
const SLOW_LINE = "slow line";

const SVG = "http://www.w3.org/2000/svg";

/**
 * A lane in words, for those who do not see it.
 * @param {any} lane of the snapshot
 */
export function laneInWords(lane) {
  const parts = [lane.name, lane.part, unmeasuredWord(lane) || lookOf(lane.state).word];
  if (lane.pulse_rate_hz !== undefined) parts.push(`${lane.pulse_rate_hz.toFixed(2)} pulses a second`);
  if (lane.depth_db_pp !== undefined && isDepthOwn(lane)) parts.push(`depth ${Math.round(lane.depth_db_pp)} dB`);
  if (lane.centre_cents !== undefined) parts.push(`centre ${centsText(lane.centre_cents)} cents`);
  if (unmeasuredWord(lane)) parts.push(UNMEASURED_DETAIL);
  else if (lane.evidence) parts.push(lane.evidence);
  if (lane.over_line) parts.push(SLOW_LINE);
  if (captureInWords(lane)) parts.push(captureInWords(lane));
  return parts.join(", ");
}

/**
 * Lanes with whose turn it is and whose comes next, where not all play.
 * @param {any[]} lanes
 * @param {number[]} turn chairs; empty where all play
 * @param {number[]} next chairs after them
 */
export function withTurns(lanes, turn, next = []) {
  if (turn.length === 0 && next.length === 0) return lanes;
  return lanes.map((lane) => ({ ...lane, plays: turn.includes(lane.chair), isNext: next.includes(lane.chair) }));
}

/**
 * The quiet words under a state: what it rests on, or the plain figures where there is nothing to act on.
 * @param {any} lane
 */
export function quietWords(lane) {
  if (unmeasuredWord(lane)) return UNMEASURED_DETAIL;
  // A verdict's own evidence comes first: it is what can be acted on.
  if (captureInWords(lane) && (lane.state === "matched" || !lane.evidence)) return captureInWords(lane);
  if (lane.state !== "matched" || lane.pulse_rate_hz === undefined) return lane.evidence;
  const depth = lane.depth_db_pp === undefined ? "" : `, ${Math.round(lane.depth_db_pp)} dB`;
  return `${lane.pulse_rate_hz.toFixed(2)} a second${depth}`;
}

/** @param {Element} element @param {string} text */
function put(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** @param {string} name @param {string} [className] */
function make(name, className) {
  const made = document.createElement(name);
  if (className) made.className = className;
  return made;
}

export class LaneRows {
  /**
   * @param {HTMLElement} list
   * @param {(playerId: string) => void} choose
   */
  constructor(list, choose) {
    this.list = list;
    this.choose = choose;
    /** @type {Map<string, Record<string, any>>} */
    this.rows = new Map();
  }

  /**
   * @param {any[]} lanes in chair order
   * @param {string | null} saidId the player the say line speaks to
   * @param {string | null} chosenId the player the conductor chose
   * @param {boolean} wordsToo whether the text alternatives may change now
   */
  show(lanes, saidId, chosenId, wordsToo) {
    const ids = new Set(lanes.map((lane) => lane.player_id));
    for (const [id, row] of this.rows) {
      if (ids.has(id)) continue;
      row.item.remove();
      this.rows.delete(id);
    }
    lanes.forEach((lane, i) => {
      const row = this.rows.get(lane.player_id) ?? this.add(lane.player_id);
      if (this.list.children[i] !== row.item) this.list.insertBefore(row.item, this.list.children[i] ?? null);
      this.fill(row, lane, saidId, chosenId, wordsToo);
    });
    const active = chosenId ? this.rows.get(chosenId) : undefined;
    if (active) this.list.setAttribute("aria-activedescendant", active.item.id);
    else this.list.removeAttribute("aria-activedescendant");
  }

  /** @param {string} id */
  add(id) {
    const item = make("li");
    item.id = `lane-${id}`;
    item.setAttribute("role", "option");
    item.addEventListener("click", () => this.choose(id));
    const who = make("div", "who");
    const verdict = make("div", "verdict");
    const shape = document.createElementNS(SVG, "svg");
    shape.setAttribute("class", "shape");
    const row = {
      item,
      shape,
      chair: make("span", "chair"),
      name: make("span", "name"),
      part: make("span", "part"),
      cents: make("span", "cents"),
      word: make("span", "word"),
      evidence: make("span", "evidence"),
      spoken: make("span", "spoken"),
    };
    // The text alternative says all of it, and changes less often than the figures do.
    for (const part of [who, row.cents, verdict]) part.setAttribute("aria-hidden", "true");
    who.append(row.chair, row.name, row.part);
    verdict.append(shape, row.word, row.evidence);
    item.append(who, row.cents, verdict, row.spoken);
    this.rows.set(id, row);
    return row;
  }

  /**
   * @param {Record<string, any>} row
   * @param {any} lane
   * @param {string | null} saidId
   * @param {string | null} chosenId
   * @param {boolean} wordsToo
   */
  fill(row, lane, saidId, chosenId, wordsToo) {
    put(row.chair, String(lane.chair));
    put(row.name, lane.name);
    put(row.part, lane.part);
    put(row.cents, lane.state === "blended" ? "" : centsText(lane.centre_cents));
    put(row.word, unmeasuredWord(lane) || lookOf(lane.state).word);
    const turn = lane.plays ? "plays now" : lane.isNext ? "plays next" : "";
    put(row.evidence, [turn, quietWords(lane)].filter(Boolean).join(", "));
    drawShape(row.shape, lane.state);
    const isNewState = row.item.dataset.state !== lane.state;
    row.item.dataset.state = lane.state;
    row.item.dataset.way = lane.over_line ? "line" : "socket";
    row.item.dataset.measured = String(unmeasuredWord(lane) === "");
    row.item.dataset.said = String(lane.player_id === saidId);
    row.item.setAttribute("aria-selected", String(lane.player_id === chosenId));
    if (wordsToo || isNewState) put(row.spoken, laneInWords(lane));
  }
}
