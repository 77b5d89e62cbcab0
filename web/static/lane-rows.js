// The lanes as rows of the page: chair, name, part, pitch figure, shape, word, evidence, and one text alternative each. Only
// what has changed is written, and figures no faster than they can be read. Knows neither socket nor canvas.

import { captureInWords, isDepthOwn, unmeasuredWord } from "./capture-words.js";
import { centsText } from "./exercise-words.js";
import { drawShape, lookOf } from "./states.js";
import { figure, phrase, word } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
/** Figures and evidence change this often while the state stays, ms: five times a second nobody can read. */
const FIGURES_MS = 1000;

/**
 * A lane in words, for those who do not see it.
 * @param {any} lane of the snapshot
 */
export function laneInWords(lane) {
  const parts = [lane.name, phrase(lane.part)];
  if (!lane.waits) parts.push(unmeasuredWord(lane) || lookOf(lane.state).word);
  if (lane.pulse_rate_hz !== undefined) parts.push(word("lane-rate", { hz: figure(lane.pulse_rate_hz, 2) }));
  if (lane.depth_db_pp !== undefined && isDepthOwn(lane)) parts.push(word("lane-depth", { db: figure(lane.depth_db_pp) }));
  if (lane.centre_cents !== undefined) parts.push(word("lane-centre", { cents: centsText(lane.centre_cents) }));
  if (unmeasuredWord(lane)) parts.push(word("lane-unmeasured"));
  else if (lane.evidence && !lane.waits) parts.push(phrase(lane.evidence));
  if (lane.over_line) parts.push(word("lane-slow-line"));
  if (captureInWords(lane)) parts.push(captureInWords(lane));
  return parts.join(", ");
}

/**
 * Lanes with which of them nothing can be said of yet: everybody who is not heard while music begins, and whose tone is heard
 * but whose pulses are too few. To call either "not heard" would send a teacher to look for a microphone.
 * @param {any[]} lanes
 * @param {boolean} isBeginning
 */
export function withWaits(lanes, isBeginning) {
  const waits = (/** @type {any} */ lane) =>
    lane.state === "not-heard" && !unmeasuredWord(lane) && (isBeginning || lane.centre_cents !== undefined);
  return lanes.map((lane) => (waits(lane) ? { ...lane, waits: true } : lane));
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
  if (unmeasuredWord(lane)) return word("lane-unmeasured");
  // A verdict's own evidence comes first: it is what can be acted on.
  if (captureInWords(lane) && (lane.state === "matched" || !lane.evidence)) return captureInWords(lane);
  if (lane.waits) return "";
  if (lane.state !== "matched" || lane.pulse_rate_hz === undefined) return phrase(lane.evidence);
  const rate = word("lane-rate-short", { hz: figure(lane.pulse_rate_hz, 2) });
  return lane.depth_db_pp === undefined ? rate : `${rate}, ${Math.round(lane.depth_db_pp)} dB`;
}

/** @param {string} name @param {string} [className] */
function make(name, className) {
  const made = document.createElement(name);
  if (className) made.className = className;
  return made;
}

/** A row of the list, with what stands in it: the page itself is not asked. */
class Row {
  /** @param {string} id */
  constructor(id) {
    this.item = make("li");
    this.item.id = `lane-${id}`;
    this.item.setAttribute("role", "option");
    const who = make("div", "who");
    const verdict = make("div", "verdict");
    this.shape = document.createElementNS(SVG, "svg");
    this.shape.setAttribute("class", "shape");
    /** @type {Record<string, HTMLElement>} */
    this.texts = {};
    for (const name of ["chair", "name", "part", "cents", "word", "evidence", "spoken"]) this.texts[name] = make("span", name);
    // The text alternative says all of it, and changes less often than the figures do.
    for (const part of [who, this.texts.cents, verdict]) part.setAttribute("aria-hidden", "true");
    who.append(this.texts.chair, this.texts.name, this.texts.part);
    verdict.append(this.shape, this.texts.word, this.texts.evidence);
    this.item.append(who, this.texts.cents, verdict, this.texts.spoken);
    /** @type {Record<string, string>} */
    this.stands = {};
    this.figuresMs = -Infinity;
  }

  /** @param {string} name @param {string} text */
  put(name, text) {
    if (this.stands[name] === text) return;
    this.stands[name] = text;
    this.texts[name].textContent = text;
  }

  /** @param {string} name of an attribute @param {string} value @returns {boolean} whether it is another one */
  mark(name, value) {
    if (this.stands[name] === value) return false;
    this.stands[name] = value;
    this.item.setAttribute(name, value);
    return true;
  }
}

export class LaneRows {
  /**
   * @param {HTMLElement} list
   * @param {(playerId: string) => void} open
   */
  constructor(list, open) {
    this.list = list;
    this.open = open;
    /** @type {Map<string, Row>} */
    this.rows = new Map();
    this.turnOfWords = 0;
    /** What stands for a player on the wall, where nobody is named; null on the conductor's own page. */
    /** @type {((lane: any) => string) | null} */
    this.wallLabel = null;
  }

  /**
   * @param {any[]} lanes in the order in which they stand
   * @param {Set<string | null>} said the players the say line speaks to
   * @param {string | null} chosenId the player the conductor chose
   * @param {number} nowMs
   */
  show(lanes, said, chosenId, nowMs) {
    const ids = new Set(lanes.map((lane) => lane.player_id));
    for (const [id, row] of this.rows) {
      if (ids.has(id)) continue;
      row.item.remove();
      this.rows.delete(id);
    }
    // Text alternatives take turns, so that each changes once a second and no picture of the room is dear to show.
    this.turnOfWords = (this.turnOfWords + 1) % 5;
    lanes.forEach((lane, i) => {
      const row = this.rows.get(lane.player_id) ?? this.add(lane.player_id);
      if (this.list.children[i] !== row.item) this.list.insertBefore(row.item, this.list.children[i] ?? null);
      this.fill(row, lane, said, chosenId, nowMs, i % 5 === this.turnOfWords);
    });
    const active = chosenId ? this.rows.get(chosenId) : undefined;
    if (active) this.list.setAttribute("aria-activedescendant", active.item.id);
    else this.list.removeAttribute("aria-activedescendant");
  }

  /** @param {string} id */
  add(id) {
    const row = new Row(id);
    row.item.addEventListener("click", () => this.open(id));
    this.rows.set(id, row);
    return row;
  }

  /**
   * @param {Row} row
   * @param {any} lane
   * @param {Set<string | null>} said
   * @param {string | null} chosenId
   * @param {number} nowMs
   * @param {boolean} wordsToo whether the text alternative may change now
   */
  fill(row, lane, said, chosenId, nowMs, wordsToo) {
    if (this.wallLabel) {
      for (const name of ["name", "word", "evidence", "cents"]) row.put(name, "");
      row.put("part", this.wallLabel(lane));
      row.put("spoken", this.wallLabel(lane));
      return;
    }
    const isNewState = row.mark("data-state", lane.state);
    const isNewTurn = row.mark("data-turn", lane.plays ? "now" : lane.isNext ? "next" : "");
    row.mark("data-measured", String(unmeasuredWord(lane) === ""));
    row.mark("data-way", lane.over_line ? "line" : "socket");
    row.mark("data-said", String(said.has(lane.player_id)));
    row.mark("aria-selected", String(lane.player_id === chosenId));
    row.put("chair", String(lane.chair));
    row.put("name", lane.name);
    row.put("part", phrase(lane.part));
    const isNewWait = row.mark("data-waits", String(Boolean(lane.waits)));
    row.put("word", lane.waits ? "" : unmeasuredWord(lane) || lookOf(lane.state).word);
    drawShape(row.shape, lane.state);
    if (isNewState || isNewTurn || isNewWait || nowMs - row.figuresMs >= FIGURES_MS) {
      row.figuresMs = nowMs;
      row.put("cents", lane.state === "blended" ? "" : centsText(lane.centre_cents));
      const turn = lane.plays ? word("lane-plays-now") : lane.isNext ? word("lane-plays-next") : "";
      row.put("evidence", [turn, quietWords(lane), lane.over_line ? word("lane-slow-line") : ""].filter(Boolean).join(", "));
    }
    if (wordsToo || isNewState || isNewWait) row.put("spoken", laneInWords(lane));
  }
}
