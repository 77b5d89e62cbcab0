// One player's lane, opened: the last minute in lines of music, the figures with their units, and since when the room has been
// saying what. A panel over the raster; the controls stay within reach. Knows no socket.

import { unmeasuredWord } from "./capture-words.js";
import { centsText } from "./exercise-words.js";
import { MEMORY_US } from "./lane-memory.js";
import { NO_MUSIC, SECONDS_AS_BEATS } from "./no-music.js";
import { drawLines, linesOf } from "./opened-lines.js";
import { keptSheet, readPalette } from "./paper.js";
import { drawShape, lookOf } from "./states.js";
import { figure, phrase, word } from "./words.js";

/** It is drawn again so often, ms: a line of music is read, not watched. */
const EVERY_MS = 400;
/** Words change so often while the state stays, ms. */
const WORDS_MS = 1000;

/** @param {import("./lane-memory.js").Past} past @param {number} nowUs @returns {number} share of the time, 0 to 1 */
export function matchedShare({ states }, nowUs) {
  const from = nowUs - MEMORY_US;
  let [all, matched] = [0, 0];
  states.forEach(({ us, state }, i) => {
    const length = Math.max((states[i + 1]?.us ?? nowUs) - Math.max(us, from), 0);
    if (["away", "resting", "not-heard", "blended"].includes(state)) return;
    all += length;
    if (state === "matched") matched += length;
  });
  return all > 0 ? matched / all : 0;
}

/**
 * What is measured of a lane now, as term and figure; a dash where it is not known.
 * @param {any} lane @param {number} bpm NaN where no music runs
 * @returns {[string, string][]}
 */
export function figuresOf(lane, bpm) {
  const or = (/** @type {number | undefined} */ value, /** @type {number} */ decimals) => (value === undefined ? "–" : figure(value, decimals));
  const isKnown = lane.pulse_rate_hz !== undefined && Number.isFinite(bpm);
  return [
    [word("opened-rate"), or(lane.pulse_rate_hz, 2)],
    [word("opened-per-beat"), isKnown ? figure((lane.pulse_rate_hz * 60) / bpm, 1) : "–"],
    [word("opened-depth"), or(lane.depth_db_pp, 1)],
    [word("opened-swing"), or(lane.swing_cents_pp, 0)],
    [word("opened-centre"), centsText(lane.centre_cents) || "–"],
    [word("opened-timing"), lane.calibrated ? centsText(lane.timing_ms) || "–" : "–"],
  ];
}

export class OpenedLane {
  /**
   * @param {import("./page-elements.js").PageElements} elements
   * @param {import("./shared-time.js").SharedTime} time
   * @param {import("./lane-memory.js").LaneMemory} memory
   */
  constructor(elements, time, memory) {
    this.elements = elements;
    this.time = time;
    this.memory = memory;
    /** @type {string | null} */
    this.playerId = null;
    this.drawnMs = -Infinity;
    this.wordsMs = -Infinity;
    this.state = "";
    /** @type {import("./paper.js").Sheet | null} */
    this.sheet = null;
    this.at("opened-close").addEventListener("click", () => this.close());
    new ResizeObserver(() => this.fit()).observe(this.at("opened-canvas").parentElement);
  }

  /** @param {string} id */
  at(id) {
    return this.elements.at(id);
  }

  isOpen() {
    return this.playerId !== null;
  }

  /** @param {string} playerId */
  open(playerId) {
    const wasOpen = this.isOpen();
    this.playerId = playerId;
    this.wordsMs = this.drawnMs = -Infinity;
    this.at("opened").hidden = false;
    this.elements.page.body.dataset.opened = "true";
    this.fit();
    if (!wasOpen) this.at("opened-title").focus();
  }

  close() {
    if (!this.isOpen()) return;
    this.playerId = null;
    const hadFocus = this.at("opened").contains(this.elements.page.activeElement);
    this.at("opened").hidden = true;
    delete this.elements.page.body.dataset.opened;
    if (hadFocus || this.elements.page.activeElement === this.elements.page.body) this.at("lanes").focus();
  }

  /** Takes the size of its place, and the page's colours. */
  fit() {
    if (!this.isOpen()) return;
    const place = this.at("opened-canvas").parentElement;
    this.palette = readPalette(this.elements.page.documentElement);
    const canvas = this.at("opened-canvas");
    canvas.style.width = `${place.clientWidth}px`;
    canvas.style.height = `${place.clientHeight}px`;
    this.sheet = keptSheet(canvas, place.clientWidth, place.clientHeight);
    this.drawnMs = -Infinity;
  }

  /**
   * @param {any[]} lanes
   * @param {{ nowUs: number, isPlaying: boolean }} moment
   * @param {number} nowMs
   */
  show(lanes, { nowUs, isPlaying }, nowMs) {
    if (!this.isOpen()) return;
    const lane = lanes.find(({ player_id: id }) => id === this.playerId);
    if (!lane) {
      this.close();
      return;
    }
    const past = this.memory.upToNow(lane, nowUs);
    if (lane.state !== this.state || nowMs - this.wordsMs >= WORDS_MS) this.say(lane, past, nowUs, isPlaying, nowMs);
    if (nowMs - this.drawnMs >= EVERY_MS) this.draw(past, nowUs, nowMs);
  }

  /**
   * @param {any} lane
   * @param {import("./lane-memory.js").Past} past
   * @param {number} nowUs @param {boolean} isPlaying @param {number} nowMs
   */
  say(lane, past, nowUs, isPlaying, nowMs) {
    this.wordsMs = nowMs;
    this.state = lane.state;
    const { elements } = this;
    elements.text("opened-title", word("opened-title", { name: lane.name }));
    elements.text("opened-chair", word("opened-chair", { chair: lane.chair, part: phrase(lane.part) }));
    drawShape(this.at("opened-shape"), lane.state);
    elements.text("opened-state", unmeasuredWord(lane) || lookOf(lane.state).word);
    elements.text("opened-evidence", phrase(lane.evidence));
    const bpm = isPlaying && this.time.score ? this.time.bpmAt(this.time.beatAt(nowUs)) : NaN;
    const list = this.at("opened-figures");
    figuresOf(lane, bpm).forEach(([term, value], i) => {
      const row = list.children[i] ?? list.appendChild(elements.page.createElement("div"));
      if (row.children.length === 0) row.append(elements.page.createElement("dt"), elements.page.createElement("dd"));
      if (row.children[0].textContent !== term) row.children[0].textContent = term;
      if (row.children[1].textContent !== value) row.children[1].textContent = value;
    });
    const n = past.pulses.filter((pulse) => nowUs - pulse.time_us <= MEMORY_US).length;
    elements.text("opened-summary", word("opened-summary", { n, matched: Math.round(matchedShare(past, nowUs) * 100) }));
  }

  /** @param {import("./lane-memory.js").Past} past @param {number} nowUs @param {number} nowMs */
  draw(past, nowUs, nowMs) {
    if (!this.sheet || !this.palette) return;
    this.drawnMs = nowMs;
    const score = this.time.score ?? /** @type {any} */ (NO_MUSIC);
    const time = this.time.score ? this.time : SECONDS_AS_BEATS;
    const sinceUs = Math.min(past.pulses[0]?.time_us ?? nowUs, past.tail[0]?.[0] ?? nowUs);
    const lines = linesOf({ score, time, nowUs, sinceUs, width: this.sheet.width, height: this.sheet.height });
    drawLines(this.sheet, this.palette, { score, time, hasTicks: this.time.score !== null, nowUs, lines, past });
  }
}
