// A run, played again: the dialog with its raster, the now rule, who stood how, and the controls. Knows no socket.

import { onSchemeChange, prefersStillness, readPalette } from "./paper.js";
import { ReplayClick } from "./results-click.js";
import { drawLanesPage, drawSectionPage } from "./results-raster.js";
import { barAt, barsOf, centreAt, pageOf, Playhead, SPEEDS, standingAt, stateAt } from "./results-time.js";
import { drawShape } from "./states.js";
import { phrase, word } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";

/** A beat is at least so wide, px, and a page at most so many bars. */
const LEAST_BEAT = 52;
const MOST_BARS = 4;
/** Lanes share the height there is, between these, px. */
const LEAST_LANE = 28;
const ROOMY_LANE = 84;
/** The now rule begins under the beats' figures, px. */
const NOW_TOP = 26;
/** Words beside the lanes change at most this often, ms. */
const WORDS_EVERY_MS = 250;

export class Replay {
  /** @param {Document} page @param {string} source where the runs' rasters are asked for */
  constructor(page, source) {
    this.page = page;
    this.source = source;
    this.playhead = new Playhead(() => performance.now());
    this.click = new ReplayClick(this.playhead);
    /** @type {any} */
    this.replay = null;
    this.etag = "";
    /** @type {import("./results-time.js").Bar[]} */
    this.bars = [];
    this.run = 0;
    this.playerId = "";
    this.shownPage = "";
    this.saidMs = -Infinity;
    /** @type {() => void} */
    this.closed = () => {};
    this.wire();
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  wire() {
    const dialog = this.at("replay");
    this.at("replay-play").addEventListener("click", () => this.toggle());
    this.at("replay-back").addEventListener("click", () => this.jump(-1));
    this.at("replay-on").addEventListener("click", () => this.jump(1));
    this.at("replay-half").addEventListener("click", () => this.toggleSpeed());
    this.at("replay-tick").addEventListener("click", () => void this.toggleTick());
    this.at("replay-close").addEventListener("click", () => dialog.close());
    this.at("replay-place").addEventListener("input", () => this.moveTo(this.bars[Number(this.at("replay-place").value)]?.fromMs ?? 0));
    dialog.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => this.press(event));
    dialog.addEventListener("close", () => this.end());
    onSchemeChange(() => this.redraw());
    new ResizeObserver(() => this.redraw()).observe(this.at("replay-raster"));
    this.at("replay-raster").addEventListener("click", (/** @type {MouseEvent} */ event) => this.point(event));
  }

  /** @param {number} run @param {string} playerId whose lane is marked */
  async open(run, playerId) {
    this.run = run;
    this.playerId = playerId;
    this.replay = null;
    this.etag = "";
    this.playhead.pause();
    this.at("replay-title").textContent = "";
    this.at("replay-raster").hidden = true;
    this.at("replay-message").textContent = word("review-replay-loading");
    this.showFigures();
    this.at("replay").showModal();
    this.at("replay-title").focus();
    await this.fetch();
    if (!this.replay) return;
    this.playhead.seek(0);
    this.at("replay-play").focus();
  }

  /** What is played still grows: called whenever the room has other results. */
  async renew() {
    if (!this.at("replay").open || this.replay?.is_over !== false) return;
    await this.fetch();
  }

  async fetch() {
    const { run } = this;
    try {
      const headers = this.etag ? { "If-None-Match": this.etag } : {};
      const answer = await fetch(`${this.source}/${run}/raster.json`, { headers, cache: "no-store" });
      if (run !== this.run || answer.status === 304) return;
      if (!answer.ok) {
        this.at("replay-message").textContent = word(answer.status === 404 ? "review-replay-gone" : "review-replay-failed");
        return;
      }
      const replay = await answer.json();
      this.etag = answer.headers.get("etag") ?? "";
      this.show(replay);
    } catch {
      if (!this.replay) this.at("replay-message").textContent = word("review-replay-failed");
    }
  }

  /** @param {any} replay */
  show(replay) {
    this.replay = replay;
    this.bars = barsOf(replay.ticks, replay.first_bar, replay.lasts_ms);
    this.playhead.lastsMs = replay.lasts_ms;
    this.click.ticks = replay.ticks;
    this.click.follow();
    this.at("replay-title").textContent = word("review-replay", { number: replay.number, name: phrase(replay.name) });
    this.at("replay-message").textContent = "";
    this.at("replay-place").max = String(this.bars.length - 1);
    this.at("replay-raster").hidden = false;
    this.at("replay-players").replaceChildren(...replay.lanes.map((/** @type {any} */ lane) => this.row(lane)));
    this.redraw();
    this.at("replay-players").querySelector("[data-chosen]")?.scrollIntoView({ block: "nearest" });
  }

  /** The run's table of figures, as it stands on the page. */
  showFigures() {
    const table = this.page.querySelector(`#runs table[data-run="${this.run}"]`);
    this.at("replay-table").replaceChildren(...(table ? [table.cloneNode(true)] : []));
    this.at("replay-figures").hidden = !table;
    this.at("replay-figures").open = false;
  }

  /** @param {any} lane */
  row(lane) {
    const row = this.page.createElement("li");
    row.dataset.chair = String(lane.chair);
    if (lane.player_id === this.playerId) row.dataset.chosen = "true";
    const put = (/** @type {string} */ name, /** @type {string} */ text) => {
      const place = this.page.createElement("span");
      place.className = name;
      place.textContent = text;
      return place;
    };
    const shape = this.page.createElementNS(SVG, "svg");
    shape.setAttribute("class", "shape");
    row.append(put("name", lane.name), " ", put("part", lane.part), " ", put("cents", ""), shape, put("word", ""));
    return row;
  }

  redraw() {
    if (!this.replay || !this.at("replay").open) return;
    const [raster, players, canvas] = [this.at("replay-raster"), this.at("replay-players"), this.at("replay-canvas")];
    const [n, section] = [this.replay.lanes.length, this.at("replay-section").clientHeight];
    const high = Math.min(Math.max(Math.floor((raster.clientHeight - section) / Math.max(n, 1)), LEAST_LANE), ROOMY_LANE);
    raster.style.setProperty("--lane", `${high}px`);
    players.dataset.close = String(high < 44);
    canvas.style.height = `${high * n}px`;
    this.at("replay-now").style.height = `${section + high * n - NOW_TOP}px`;
    this.laneHeight = high;
    this.shownPage = "";
    this.saidMs = -Infinity;
    this.step();
  }

  barsWide() {
    const beats = this.replay.ticks.filter((/** @type {number[]} */ [, weight]) => weight < 2).length;
    const perBar = Math.max(beats / this.bars.length, 1);
    const fit = Math.floor(this.at("replay-canvas").clientWidth / (LEAST_BEAT * perBar));
    return Math.min(Math.max(fit, 1), MOST_BARS, this.bars.length);
  }

  /** Shows the moment, and goes on while it plays. */
  step() {
    if (!this.replay || !this.at("replay").open) return;
    const { ms } = this.playhead;
    const place = barAt(this.bars, ms);
    const page = pageOf(this.bars, place, this.barsWide());
    const key = `${page.first} ${page.bars.length} ${page.toMs} ${this.etag}`;
    if (key !== this.shownPage) {
      this.shownPage = key;
      const palette = readPalette(this.page.documentElement);
      drawSectionPage(this.at("replay-section"), palette, page, this.replay);
      drawLanesPage(this.at("replay-canvas"), palette, page, this.replay, this.laneHeight ?? LEAST_LANE);
    }
    this.placeNow(page, ms);
    if (this.playhead.isAtEnd && this.playhead.isPlaying) this.stop();
    this.say(place, ms);
    if (this.playhead.isPlaying) requestAnimationFrame(() => this.step());
  }

  /** @param {ReturnType<typeof pageOf>} page @param {number} ms */
  placeNow(page, ms) {
    const canvas = this.at("replay-canvas");
    let at = ms;
    if (prefersStillness()) {
      // Beat by beat instead of gliding.
      const beats = this.replay.ticks.filter((/** @type {number[]} */ [, weight]) => weight < 2);
      at = Math.max(standingAt(beats.map((/** @type {number[]} */ [time]) => [time, time]), ms) ?? 0, page.fromMs);
    }
    const x = canvas.offsetLeft + ((at - page.fromMs) / (page.toMs - page.fromMs)) * canvas.clientWidth;
    this.at("replay-now").style.transform = `translateX(${x}px)`;
  }

  /** @param {number} place of the bar @param {number} ms */
  say(place, ms) {
    const now = performance.now();
    if (this.playhead.isPlaying && now - this.saidMs < WORDS_EVERY_MS) return;
    this.saidMs = now;
    const seconds = (/** @type {number} */ time) => Math.round(time / 1000);
    const slider = this.at("replay-place");
    slider.value = String(place);
    // All that there is stands on the page already.
    slider.parentElement.hidden = this.bars.length <= this.barsWide();
    const bar = this.bars[place].number;
    const short = word("review-replay-bar-short", { bar, of: this.bars[this.bars.length - 1].number });
    slider.setAttribute("aria-valuetext", short);
    this.at("replay-bar").textContent = word("review-replay-bar", { bar, second: seconds(ms), of: seconds(this.replay.lasts_ms) });
    const part = standingAt(this.replay.parts.map((/** @type {any} */ one) => [one.from_ms, one]), ms);
    this.at("replay-part").textContent = phrase(part?.title);
    [...this.at("replay-players").children].forEach((row, i) => this.sayLane(row, this.replay.lanes[i], ms));
  }

  /** @param {any} row @param {any} lane @param {number} ms */
  sayLane(row, lane, ms) {
    const state = stateAt(lane.states, ms);
    if (state) drawShape(row.querySelector(".shape"), state);
    row.dataset.state = state ?? "";
    row.querySelector(".word").textContent = state ? word(`state-${state}`) : "";
    const cents = centreAt(lane.centres, ms);
    const sign = cents === null || Math.round(cents) === 0 ? "" : cents > 0 ? "+" : "\u2212";
    row.querySelector(".cents").textContent = cents === null ? "" : `${sign}${Math.abs(Math.round(cents))}`;
  }

  toggle() {
    if (!this.replay) return;
    if (this.playhead.isPlaying) this.stop();
    else {
      this.playhead.play();
      this.moved();
    }
    this.label();
  }

  stop() {
    this.playhead.pause();
    this.click.follow();
    this.label();
    this.saidMs = -Infinity;
  }

  label() {
    this.at("replay-play").textContent = word(this.playhead.isPlaying ? "review-replay-pause" : "review-replay-play");
  }

  /** @param {number} way */
  jump(way) {
    if (!this.replay) return;
    this.playhead.jump(this.bars, way);
    this.moved();
  }

  /** @param {number} ms */
  moveTo(ms) {
    this.playhead.seek(ms);
    this.moved();
  }

  moved() {
    this.saidMs = -Infinity;
    this.click.follow();
    this.step();
  }

  toggleSpeed() {
    this.playhead.setSpeed(this.playhead.speed === SPEEDS.whole ? SPEEDS.half : SPEEDS.whole);
    this.at("replay-half").setAttribute("aria-pressed", String(this.playhead.speed === SPEEDS.half));
    this.click.follow();
  }

  async toggleTick() {
    const isWanted = !this.click.isWanted;
    try {
      await this.click.want(isWanted);
    } catch {
      this.click.isWanted = false;
      this.at("replay-message").textContent = word("review-replay-silent");
    }
    this.at("replay-tick").setAttribute("aria-pressed", String(this.click.isWanted));
  }

  /** The moment that was pointed at. @param {MouseEvent} event */
  point(event) {
    const canvas = this.at("replay-canvas");
    const box = canvas.getBoundingClientRect();
    const share = (event.clientX - box.left) / box.width;
    if (!this.replay || share < 0 || share > 1) return;
    const page = pageOf(this.bars, barAt(this.bars, this.playhead.ms), this.barsWide());
    this.moveTo(page.fromMs + share * (page.toMs - page.fromMs));
  }

  /** @param {KeyboardEvent} event */
  press(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    // What has the focus keeps the keys that are its own.
    const isOwn = target.closest("input, summary, .scroll") !== null || (event.key === " " && target.closest("button") !== null);
    if (isOwn) return;
    if (event.key === " ") this.toggle();
    else if (event.key === "ArrowLeft") this.jump(-1);
    else if (event.key === "ArrowRight") this.jump(1);
    else return;
    event.preventDefault();
  }

  end() {
    this.playhead.pause();
    this.click.end();
    this.at("replay-tick").setAttribute("aria-pressed", "false");
    this.label();
    this.replay = null;
    this.closed();
  }
}
