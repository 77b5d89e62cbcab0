// The raster as it runs: turns the page at bar lines, lets ticks fall behind, sends the now rule on its way, draws what a new
// picture of the room brings. Nothing runs by frames: a timer waits for the next tick. Knows no socket, no words, no controls.

import { NO_MUSIC, SECONDS_AS_BEATS } from "./no-music.js";
import { NowRule, rulePath } from "./now-rule.js";
import { prefersStillness } from "./paper.js";
import { pageStart } from "./raster-geometry.js";
import { BARS_WIDE, RasterPapers } from "./raster-papers.js";

/** A timer may wake a little early by the page's clock, and then the tick is still ahead, ms. */
const AFTER_TICK_MS = 3;
/** Where nothing falls behind by itself, it is looked again so often, ms. */
const IDLE_MS = 500;

/**
 * @typedef {object} Shown what is drawn
 * @property {any[]} lanes in the order in which they stand
 * @property {number | null} stoppedBeat where the music stopped; null while it runs or where none has
 */

export class RasterView {
  /**
   * @param {import("./shared-time.js").SharedTime} time
   * @param {object} parts
   * @param {RasterPapers} parts.papers
   * @param {HTMLElement[]} parts.rules one a column
   * @param {() => void} onBeat after each tick and bar line
   */
  constructor(time, { papers, rules }, onBeat) {
    this.time = time;
    this.papers = papers;
    this.rules = rules.map((element) => new NowRule(element));
    this.onBeat = onBeat;
    /** @type {import("./raster-papers.js").Sizes | null} */
    this.sizes = null;
    /** @type {Shown} */
    this.shown = { lanes: [], stoppedBeat: null };
    this.key = "";
    /** @type {any} */
    this.timer = null;
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.afresh();
    });
  }

  /**
   * @param {import("./raster-papers.js").Sizes} sizes
   * @param {import("./paper.js").Palette} palette
   */
  fit(sizes, palette) {
    this.sizes = sizes;
    this.papers.fit(sizes, palette);
    this.afresh();
  }

  /** Draws all of it again. */
  afresh() {
    this.key = "";
    this.look();
  }

  /** @param {Shown} shown */
  take(shown) {
    this.shown = shown;
    if (!this.look()) this.papers.take(shown.lanes, this.nowBeat());
    for (const rule of this.rules) rule.keepTime((us) => this.time.pageMsAt(us));
  }

  /** Music or, where none runs, seconds. */
  playTime() {
    return this.time.score ? this.time : SECONDS_AS_BEATS;
  }

  nowBeat() {
    return this.shown.stoppedBeat ?? this.playTime().beatAt(this.time.serverNowUs());
  }

  /** @returns {boolean} whether the page is another one, and so all of it is drawn */
  look() {
    clearTimeout(this.timer);
    if (!this.sizes || this.shown.lanes.length === 0 || !this.time.isKnown()) {
      this.timer = setTimeout(() => this.look(), IDLE_MS);
      return false;
    }
    const score = /** @type {any} */ (this.time.score ?? NO_MUSIC);
    const time = this.playTime();
    const nowBeat = this.nowBeat();
    const hasTicks = this.time.score !== null;
    const barLine = time.barLineAt(nowBeat);
    const startBeat = pageStart(barLine, score.beats_per_bar, BARS_WIDE, hasTicks ? 0 : -Infinity);
    const key = `${startBeat} ${score.version} ${score.start_us} ${this.shown.stoppedBeat}`;
    const isNew = key !== this.key;
    if (isNew) {
      this.key = key;
      // At once: marks that slid by would flash, four and more in a bar (WCAG 2.3.1).
      this.papers.turn({ startBeat, score, time, hasTicks }, this.shown.lanes, nowBeat);
      this.sendRules(time, score, startBeat);
    } else {
      this.papers.pass(this.shown.lanes, nowBeat);
    }
    this.onBeat();
    this.waitForTick(time, barLine + score.beats_per_bar, nowBeat);
    return isNew;
  }

  /**
   * @param {any} time
   * @param {any} score
   * @param {number} startBeat
   */
  sendRules(time, score, startBeat) {
    const widthBeats = BARS_WIDE * score.beats_per_bar;
    const pxPerBeat = (this.sizes?.rasterWidth ?? 0) / widthBeats;
    const { stoppedBeat } = this.shown;
    const nowUs = this.time.serverNowUs();
    const steps = prefersStillness();
    const way = { time, nowUs, startBeat, widthBeats, pxPerBeat, steps };
    const path = stoppedBeat === null ? rulePath(way) : [];
    this.rules.forEach((rule, column) => {
      if (column >= (this.sizes?.nColumns ?? 1)) rule.stand(NaN);
      else if (stoppedBeat === null) rule.follow(path, steps, this.time.pageMsAt(nowUs));
      else rule.stand(stoppedBeat >= startBeat ? (stoppedBeat - startBeat) * pxPerBeat : NaN);
    });
  }

  /**
   * @param {any} time
   * @param {number} barLine the next one
   * @param {number} nowBeat
   */
  waitForTick(time, barLine, nowBeat) {
    if (this.shown.stoppedBeat !== null) return;
    const rule = this.papers.page?.rules.find(({ beat }) => beat > nowBeat);
    const beat = Math.min(rule?.beat ?? Infinity, barLine);
    const inMs = this.time.pageMsAt(time.timeOf(beat)) - performance.now();
    this.timer = setTimeout(() => this.look(), Number.isFinite(inMs) ? Math.max(inMs, 0) + AFTER_TICK_MS : IDLE_MS);
  }
}
