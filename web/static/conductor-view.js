// The conductor's page as it is seen: title, say line, lanes, raster, a lane opened. Takes snapshots of the room and shows
// them; knows no socket and sends no command.

import { ConductorLayout } from "./conductor-layout.js";
import { codeWord, doorTitle } from "./door-words.js";
import { askOf, namesOf, placeOf, titleOf } from "./exercise-words.js";
import { keep, recall } from "./kept.js";
import { LaneMemory } from "./lane-memory.js";
import { LaneOrder } from "./lane-order.js";
import { LaneRows, withTurns, withWaits } from "./lane-rows.js";
import { OpenedLane } from "./opened-lane.js";
import { PageElements } from "./page-elements.js";
import { onSchemeChange, readPalette } from "./paper.js";
import { nextSpan, spanNear } from "./raster-geometry.js";
import { RasterPapers } from "./raster-papers.js";
import { RasterView } from "./raster-view.js";
import { SayLine, whatToSay } from "./say-line.js";
import { Tally } from "./tally.js";
import { WallChoices } from "./wall-choices.js";
import { figure, phrase, word } from "./words.js";

/** Size of all type, and of what is laid out by it, for whoever stands further off: a quarter more than the browser's own. */
const FAR = "125%";
/** Letters beyond which the say line is set smaller, on two rows: what fits a laptop's width. */
const LONG_LINE = 50;

export class ConductorView extends PageElements {
  /**
   * @param {Document} page
   * @param {import("./shared-time.js").SharedTime} time
   */
  constructor(page, time) {
    super(page);
    this.time = time;
    this.sayLine = new SayLine();
    /** @type {string | null} */
    this.chosenId = null;
    this.isNewChoice = false;
    this.isWall = false;
    /** @type {any} */
    this.snapshot = null;
    /** @type {any[]} in the order in which they stand */
    this.lanes = [];
    /** Lanes as they were when the music stopped: what was played stays to be talked about. */
    /** @type {{ beat: number, lanes: any[] } | null} */
    this.stopped = null;
    this.fitted = "";
    this.order = new LaneOrder();
    this.memory = new LaneMemory();
    this.choices = new WallChoices(() => this.showChoices());
    this.tally = new Tally(this.at("tally"));
    this.opened = new OpenedLane(this, time, this.memory);
    this.rows = new LaneRows(this.at("lanes"), (id) => this.openLane(id));
    this.layout = new ConductorLayout(this);
    const parts = {
      sections: [this.at("section-canvas"), this.at("section-canvas-2")],
      lanes: [this.at("lanes-canvas"), this.at("lanes-canvas-2")],
      fold: this.at("fold-canvas"),
      pitch: this.at("pitch-canvas"),
    };
    const papers = new RasterPapers(parts, () => ({ early: word("section-early"), late: word("section-late") }));
    const rules = [this.at("now"), this.at("now-2")];
    this.raster = new RasterView(time, { papers, rules }, () => this.showPlace());
    for (const seen of ["pointermove", "pointerdown"]) {
      this.at("lanes").addEventListener(seen, () => this.order.touched(performance.now()), { passive: true });
    }
    onSchemeChange(() => this.refit());
    const sizes = new ResizeObserver(() => this.refit());
    for (const id of ["raster", "above", "setup"]) sizes.observe(this.at(id));
    page.fonts?.ready.then(() => this.refit());
    this.chooseOrder(recall("lane-order") === "worst-first" ? "worst-first" : "seated");
    this.showChoices();
  }

  /** Sizes or colours are other ones. */
  refit() {
    this.fitted = "";
    if (this.snapshot) this.fit();
    this.opened.fit();
  }

  /** @param {string} playerId */
  openLane(playerId) {
    this.choose(playerId);
    this.opened.open(playerId);
    this.show(this.snapshot);
  }

  /** Opens the lane that is chosen, else the one that is spoken of. */
  openChosen() {
    const id = this.chosenId ?? this.sayLine.shown.playerId ?? this.lanes[0]?.player_id;
    if (id && !this.isWall) this.openLane(id);
  }

  /** @param {string | null} playerId null to leave it to the room */
  choose(playerId) {
    this.chosenId = playerId;
    this.isNewChoice = true;
  }

  /** Closes what is open, else leaves the say line to the room again. */
  unchoose() {
    if (this.opened.isOpen()) this.opened.close();
    this.choose(null);
    if (this.snapshot) this.show(this.snapshot);
  }

  /** @param {number} step by so many lanes, from the one the say line speaks to */
  chooseNext(step) {
    const { lanes } = this;
    if (lanes.length === 0 || this.isWall) return;
    const from = lanes.findIndex((lane) => lane.player_id === (this.chosenId ?? this.sayLine.shown.playerId));
    const to = from < 0 ? (step > 0 ? 0 : lanes.length - 1) : Math.min(Math.max(from + step, 0), lanes.length - 1);
    this.choose(lanes[to].player_id);
    if (this.opened.isOpen()) this.opened.open(lanes[to].player_id);
    this.show(this.snapshot);
    this.rows.rows.get(lanes[to].player_id)?.item.scrollIntoView({ block: "nearest" });
  }

  /** @param {import("./lane-order.js").Order} order */
  chooseOrder(order) {
    this.order.choose(order);
    keep("lane-order", order);
    this.text("order-label", word(order === "seated" ? "order-seated" : "order-worst-first"));
    if (this.snapshot) this.show(this.snapshot);
  }

  turnOrder() {
    this.chooseOrder(this.order.order === "seated" ? "worst-first" : "seated");
  }

  /**
   * @param {string} code may change while the page is open
   * @param {import("./door-words.js").Door | undefined} door
   */
  showDoor(code, door) {
    this.text("empty-title", word("door-nobody-in", { door: doorTitle(door) }));
    this.text("corner-word", codeWord(door));
    const isOpen = (door ?? "open") === "open";
    this.at("more-open").hidden = !isOpen;
    this.at("more-closed").hidden = isOpen;
    this.text("more-closed", isOpen ? "" : word("door-nobody-new", { door: doorTitle(door) }));
    for (const element of this.page.querySelectorAll("[data-code]")) {
      if (element.textContent !== code) element.textContent = code;
    }
  }

  /**
   * How devices get here, which changes with the network.
   * @param {{ short_address: string }} reach
   */
  showReach(reach) {
    for (const element of this.page.querySelectorAll("[data-join]")) {
      if (element.textContent !== reach.short_address) element.textContent = reach.short_address;
    }
  }

  /** @param {any} snapshot of the room */
  show(snapshot) {
    const isPlaying = Boolean(snapshot.score);
    if (this.snapshot?.score && !isPlaying && this.time.score) {
      this.stopped = { beat: this.time.beatAt(this.time.serverNowUs()), lanes: this.snapshot.lanes };
    }
    if (isPlaying) {
      this.stopped = null;
      this.time.setScore(snapshot.score);
    }
    this.snapshot = snapshot;
    this.memory.take(snapshot);
    const nowMs = performance.now();
    const bar = isPlaying ? this.time.barLineAt(this.nowBeat()) : NaN;

    this.at("empty").hidden = snapshot.lanes.length > 0;
    this.at("raster").hidden = snapshot.lanes.length === 0;
    this.page.body.dataset.music = isPlaying ? "on" : "off";
    this.text("title", phrase(snapshot.title));
    this.showDoor(snapshot.code, snapshot.door);
    const { name, number, of } = snapshot.exercise;
    this.text("exercise", word("place-exercise", { name: phrase(name), number, of }));
    this.showSay(snapshot, bar, nowMs);

    const inOrder = (/** @type {any[]} */ lanes) => (this.isWall ? lanes : this.order.of(lanes, bar, nowMs));
    this.lanes = inOrder(snapshot.lanes);
    this.rows.wallLabel = this.isWall ? this.choices.labelsOf(snapshot.lanes) : null;
    const rows = withTurns(withWaits(this.lanes, isPlaying && this.isBeginning(snapshot.score)), snapshot.turn ?? [], this.nextTurn(snapshot));
    const { playerId, also = [] } = this.sayLine.shown;
    this.rows.show(rows, new Set([playerId, ...also]), this.chosenId, nowMs);
    if (this.isWall) this.tally.show(rows);
    this.showSection(snapshot.section);
    this.fit();
    this.raster.take({ lanes: this.stopped ? inOrder(this.stopped.lanes) : this.lanes, stoppedBeat: this.stopped?.beat ?? null });
    this.opened.show(snapshot.lanes, { nowUs: this.nowUs(), isPlaying }, nowMs);
  }

  /** Whether it is counted in, or was a bar ago: until then a tone may be on its way. @param {any} score */
  isBeginning(score) {
    const barAgo = this.nowBeat() - score.beats_per_bar;
    return barAgo < 0 || spanNear(score, this.time, barAgo)?.target.kind === "count-in";
  }

  /** Server time, which stands still with the music. */
  nowUs() {
    return this.stopped ? this.time.timeOf(this.stopped.beat) : this.time.serverNowUs();
  }

  nowBeat() {
    return this.raster.playTime().beatAt(this.nowUs());
  }

  /** Lays the lanes out where that has become due. */
  fit() {
    const n = this.snapshot.lanes.length;
    const isPlaying = Boolean(this.snapshot.score);
    const key = `${n} ${isPlaying} ${this.isWall}`;
    if (n === 0 || key === this.fitted) return;
    this.fitted = key;
    const sizes = this.layout.fit(n, isPlaying);
    this.raster.fit(sizes, readPalette(this.page.documentElement));
  }

  /** Chairs whose turn comes next. @param {any} snapshot @returns {number[]} */
  nextTurn(snapshot) {
    if (!snapshot.score || !this.time.score) return [];
    const here = this.time.spanAt(Math.max(this.nowBeat(), 0));
    /** @type {{ turn?: number[] }[]} */
    const spans = snapshot.score.spans;
    const now = String(spans[here]?.turn ?? "");
    // A turn may be of several spans, as a hairpin is, and rests may stand between two.
    return spans.slice(here + 1).find(({ turn }) => turn?.length && String(turn) !== now)?.turn ?? [];
  }

  /** @param {any} snapshot @param {number} bar @param {number} nowMs */
  showSay(snapshot, bar, nowMs) {
    const said = this.sayLine.update(whatToSay(snapshot, this.chosenId), bar, nowMs, this.isNewChoice);
    this.isNewChoice = false;
    // The wall names nobody: it says what is asked of all.
    const forAll = snapshot.score && this.isWall ? askOf(spanNear(snapshot.score, this.time, this.nowBeat())) : "";
    const isHint = forAll === "" && (this.isWall || said.isHint);
    const shown = forAll || (this.isWall && snapshot.score ? "" : said.text);
    this.text("say", shown);
    this.at("say").parentElement.classList.toggle("is-hint", isHint);
    this.at("say").parentElement.classList.toggle("is-long", shown.length > LONG_LINE);
  }

  /** The wall's choices, and how large all is. */
  showChoices() {
    this.at("tally").hidden = !this.isWall || !this.choices.isTallied;
    const root = this.page.documentElement;
    root.classList.toggle("is-far", this.choices.isFar);
    root.style.fontSize = this.choices.isFar ? FAR : "";
    this.page.body.dataset.tally = this.choices.isTallied ? "on" : "off";
    this.refit();
    if (this.snapshot) this.show(this.snapshot);
  }

  /** Switches between the conductor's own view and the wall's. @returns {boolean} whether it is the wall's now */
  toggleWall() {
    this.isWall = !this.isWall;
    if (this.isWall) this.opened.close();
    this.page.body.dataset.view = this.isWall ? "wall" : "own";
    this.at("wall").setAttribute("aria-pressed", String(this.isWall));
    this.showChoices();
    return this.isWall;
  }

  /** @param {any} section */
  showSection(section) {
    const heard = { n: section.n_heard, of: section.n_players };
    const isWorstFirst = this.order.order === "worst-first" && !this.isWall;
    this.text("heard", isWorstFirst ? word("section-heard-worst-first", heard) : word("section-heard", heard));
    const { together, spread_ms: spreadMs } = section;
    this.text("together", together === undefined ? "" : word("section-together", { share: figure(together, 2) }));
    this.text("spread", spreadMs === undefined ? "" : word("section-spread", { ms: figure(spreadMs) }));
  }

  /** Where the music is, told anew with each tick. */
  showPlace() {
    if (this.snapshot) this.text("bar", this.placeText(this.nowBeat(), this.time.score));
  }

  /** @param {number} nowBeat @param {any} score */
  placeText(nowBeat, score) {
    const { snapshot } = this;
    if (!snapshot.score || !score) {
      const rests = (snapshot.exercise?.rest_until_us ?? 0) > snapshot.time_us;
      return rests ? word("place-rest") : this.stopped ? word("place-stopped") : "";
    }
    const { time } = this;
    const spoken = time.spokenAt(nowBeat);
    const place = [placeOf(score, time, nowBeat), ...(spoken > 0 ? [String(spoken)] : [])].join(", ");
    const next = nextSpan(score, time, nowBeat);
    // What is to come is told in the bar before it.
    const isNext = next !== null && next.beat - time.barLineAt(nowBeat) <= score.beats_per_bar;
    if (!isNext || spoken > 0) return place;
    const isCountedIn = next.span.target.kind === "count-in";
    const to = isCountedIn ? (nextSpan(score, time, next.beat)?.span ?? next.span) : next.span;
    // Whoever has the turn need not be told what the present ones are told already.
    return word("place-then", { place, next: to.turn ? namesOf(to.turn, snapshot.lanes) : titleOf(to) });
  }

  /** @param {string} text empty to take it away */
  trouble(text) {
    this.text("trouble", text);
    this.at("trouble").hidden = text === "";
  }

  /** @param {boolean} isLost no way to the room: what was judged of the players is not shown as if it were now */
  showLink(isLost) {
    this.page.body.dataset.link = isLost ? "lost" : "open";
  }
}
