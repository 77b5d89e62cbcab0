// The conductor's page as it is seen: title, say line, lanes, raster. Takes snapshots of the room and draws them; knows
// no socket and sends no command.

import { codeWord, doorTitle } from "./door-words.js";
import { askOf, namesOf, placeOf, titleOf } from "./exercise-words.js";
import { LaneRows, withTurns } from "./lane-rows.js";
import { NO_MUSIC, SECONDS_AS_BEATS } from "./no-music.js";
import { PageElements } from "./page-elements.js";
import { onSchemeChange, prefersStillness, readPalette } from "./paper.js";
import { drawFold, drawLanes, drawSection } from "./raster.js";
import { laneHeight, nextSpan, pageStart, spanNear, turnedStart, TURN_MS } from "./raster-geometry.js";
import { SayLine, whatToSay } from "./say-line.js";
import { Tally } from "./tally.js";

/** Bars on the page: the present one and the one before. */
const BARS_WIDE = 2;
/** Text alternatives change this often, ms. */
const WORDS_MS = 1000;
/** A lane grows no taller than this, px, nor on a projector than that. */
const ROOMY_PX = 88;
const ROOMY_PROJECTOR_PX = 112;
/** Lanes under this height give their second line away, px. */
const CLOSE_PX = 42;
/** Width under which the raster gives way to words, px; conductor-sizes.css has it too. */
const NARROW_PX = 700;
/** What stands above and below the lanes, px. A figure, not measured: the lanes' own look must not decide their look. */
const FRAME_PX = 294;
const FRAME_PROJECTOR_PX = 410;
/** The line about the exercise is in that frame, px. */
const ABOVE_PX = 34;
/** Letters beyond which the say line is set smaller, on two rows: what fits a laptop's width. */
const LONG_LINE = 50;
/** Height of the words on how to join, px. */
const MORE_PX = 120;

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
    this.rows = new LaneRows(this.at("lanes"), (id) => this.choose(id));
    this.tally = new Tally(this.at("tally"));
    this.isWall = false;
    /** @type {any} */
    this.snapshot = null;
    /** Pulses and tails as they were when the music stopped: what was played stays to be talked about. */
    /** @type {{ beat: number, lanes: any[] } | null} */
    this.stopped = null;
    this.isDirty = true;
    this.wordsMs = -Infinity;
    this.lastTick = NaN;
    this.turn = { fromBeat: NaN, toBeat: NaN, sinceMs: 0 };
    this.palette = readPalette(page.documentElement);
    const again = () => {
      this.palette = readPalette(page.documentElement);
      this.isDirty = true;
      if (this.snapshot?.lanes.length > 0) this.fitLanes(this.snapshot.lanes.length);
    };
    onSchemeChange(again);
    new ResizeObserver(again).observe(this.at("raster"));
    page.fonts?.ready.then(again);
    const frame = (/** @type {number} */ nowMs) => {
      requestAnimationFrame(frame);
      if (this.snapshot && this.snapshot.lanes.length > 0) this.draw(nowMs);
    };
    requestAnimationFrame(frame);
  }

  /** @param {string} playerId chosen again is let go */
  choose(playerId) {
    this.chosenId = this.chosenId === playerId ? null : playerId;
    this.isNewChoice = true;
    if (this.snapshot) this.show(this.snapshot);
  }

  unchoose() {
    this.chosenId = null;
    this.isNewChoice = true;
    if (this.snapshot) this.show(this.snapshot);
  }

  /** @param {number} step by so many lanes, from the one the say line speaks to */
  chooseNext(step) {
    const lanes = this.snapshot?.lanes ?? [];
    if (lanes.length === 0) return;
    const from = lanes.findIndex((/** @type {any} */ l) => l.player_id === (this.chosenId ?? this.sayLine.shown.playerId));
    const to = from < 0 ? (step > 0 ? 0 : lanes.length - 1) : Math.min(Math.max(from + step, 0), lanes.length - 1);
    this.chosenId = lanes[to].player_id;
    this.isNewChoice = true;
    this.show(this.snapshot);
    this.rows.rows.get(lanes[to].player_id)?.item.scrollIntoView({ block: "nearest" });
  }

  /**
   * @param {string} code may change while the page is open
   * @param {import("./door-words.js").Door | undefined} door
   */
  showDoor(code, door) {
    this.text("empty-title", `${doorTitle(door)}, and nobody is in yet`);
    this.text("corner-word", codeWord(door));
    const isOpen = (door ?? "open") === "open";
    this.at("more-open").hidden = !isOpen;
    this.at("more-closed").hidden = isOpen;
    this.text("more-closed", isOpen ? "" : `${doorTitle(door)}: nobody new comes in.`);
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
    const wasPlaying = Boolean(this.snapshot?.score);
    const isPlaying = Boolean(snapshot.score);
    if (wasPlaying && !isPlaying && this.time.score) {
      this.stopped = { beat: this.time.beatAt(this.time.serverNowUs()), lanes: this.snapshot.lanes };
    }
    if (isPlaying) {
      this.stopped = null;
      this.time.setScore(snapshot.score);
    }
    this.snapshot = snapshot;
    this.isDirty = true;
    const nowMs = performance.now();

    this.at("empty").hidden = snapshot.lanes.length > 0;
    this.at("raster").hidden = snapshot.lanes.length === 0;
    this.at("corner").hidden = snapshot.lanes.length === 0;
    this.text("title", snapshot.title);
    this.showDoor(snapshot.code, snapshot.door);
    const { name, number, of } = snapshot.exercise;
    this.text("exercise", `${name}, ${number} of ${of}`);
    this.showSay(snapshot, nowMs);
    const wordsToo = nowMs - this.wordsMs >= WORDS_MS;
    if (wordsToo) this.wordsMs = nowMs;
    this.rows.show(withTurns(snapshot.lanes, snapshot.turn ?? [], this.nextTurn(snapshot)), this.sayLine.shown.playerId, this.chosenId, wordsToo);
    this.tally.show(snapshot.lanes);
    this.showSection(snapshot.section);
    this.fitLanes(snapshot.lanes.length);
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

  /** @param {any} snapshot @param {number} nowMs */
  showSay(snapshot, nowMs) {
    const bar = snapshot.score ? this.time.barLineAt(this.nowBeat()) : NaN;
    const said = this.sayLine.update(whatToSay(snapshot, this.chosenId), bar, nowMs, this.isNewChoice);
    this.isNewChoice = false;
    // The wall names nobody: it says what is asked of all.
    const forAll = snapshot.score && this.isWall ? askOf(spanNear(snapshot.score, this.time, this.nowBeat())) : "";
    const isHint = this.isWall || said.isHint;
    const shown = this.isWall && snapshot.score ? forAll : said.text;
    this.text("say", shown);
    this.at("say").parentElement.classList.toggle("is-hint", isHint);
    this.at("say").parentElement.classList.toggle("is-long", shown.length > LONG_LINE);
  }

  /** Switches between the conductor's own view and the wall's. @returns {boolean} whether it is the wall's now */
  toggleWall() {
    this.isWall = !this.isWall;
    this.page.body.dataset.view = this.isWall ? "wall" : "own";
    this.at("tally").hidden = !this.isWall;
    this.at("wall").setAttribute("aria-pressed", String(this.isWall));
    this.isDirty = true;
    if (this.snapshot) this.show(this.snapshot);
    return this.isWall;
  }

  /** @param {any} section */
  showSection(section) {
    this.text("heard", `${section.n_heard} of ${section.n_players} heard`);
    this.text("together", section.together === undefined ? "" : `together ${section.together.toFixed(2)}`);
    this.text("spread", section.spread_ms === undefined ? "" : `spread ${Math.round(section.spread_ms)} ms`);
  }

  /** @param {number} nLanes */
  fitLanes(nLanes) {
    const isProjector = window.innerWidth >= 1700 && window.innerHeight >= 860;
    const frame = isProjector ? FRAME_PROJECTOR_PX : FRAME_PX;
    // On a phone's width the page scrolls and lanes are as high as their words.
    const isClose = window.innerWidth >= NARROW_PX && (window.innerHeight - frame - this.extraHeight()) / nLanes < CLOSE_PX;
    this.page.body.dataset.room = isClose ? "close" : "wide";
    const roomy = isProjector ? ROOMY_PROJECTOR_PX : ROOMY_PX;
    this.laneHeight = laneHeight(this.at("lanes-area").clientHeight, nLanes, roomy);
    this.at("lanes").style.setProperty("--lane-height", `${this.laneHeight}px`);
    const area = this.at("lanes-area");
    const used = Math.min(nLanes * this.laneHeight, area.clientHeight);
    const top = this.at("now").offsetTop;
    this.at("now").style.height = `${area.offsetTop + used - top}px`;
    // While the music is off and there is room for more lanes, the wall tells how to get one.
    this.at("more").hidden = Boolean(this.snapshot.score) || area.clientHeight - used < MORE_PX;
  }

  /** What notices, a suggestion and opened controls take besides the usual frame, px. None of it depends on how lanes look. */
  extraHeight() {
    return Math.max(0, this.at("above").offsetHeight - ABOVE_PX) + this.at("setup").offsetHeight;
  }

  nowBeat() {
    if (this.stopped) return this.stopped.beat;
    const playTime = this.time.score ? this.time : SECONDS_AS_BEATS;
    return playTime.beatAt(this.time.serverNowUs());
  }

  /** @param {number} nowMs */
  draw(nowMs) {
    if (!this.time.isKnown()) return;
    const hasTicks = this.time.score !== null;
    const score = this.time.score ?? NO_MUSIC;
    const time = hasTicks ? this.time : SECONDS_AS_BEATS;
    const nowBeat = this.nowBeat();
    const widthBeats = BARS_WIDE * score.beats_per_bar;
    const startBeat = this.startBeat(time.barLineAt(nowBeat), score, hasTicks ? 0 : -Infinity, nowMs);
    const isTurning = nowMs - this.turn.sinceMs < TURN_MS + 50;
    const tick = Math.floor(nowBeat * 12);
    this.showNow(nowBeat, startBeat, widthBeats);
    if (!this.isDirty && !isTurning && tick === this.lastTick) return;
    this.isDirty = false;
    this.lastTick = tick;

    const lanes = this.stopped ? this.stopped.lanes : this.snapshot.lanes;
    const picture = { score, time, hasTicks, nowBeat, startBeat, widthBeats, lanes };
    drawSection(this.at("section-canvas"), this.palette, picture);
    drawFold(this.at("fold-canvas"), this.palette, picture);
    drawLanes(this.at("lanes-canvas"), this.palette, picture, this.boxes());
    this.text("bar", this.placeText(nowBeat, score));
  }

  /** @param {number} nowBeat @param {any} score */
  placeText(nowBeat, score) {
    if (!this.snapshot.score) return (this.snapshot.exercise?.rest_until_us ?? 0) > this.snapshot.time_us ? "rest" : this.stopped ? "stopped" : "";
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
    return `${place}, then ${to.turn ? namesOf(to.turn, this.snapshot.lanes) : titleOf(to)}`;
  }

  /**
   * Left edge of the page, turning once a bar.
   * @param {number} barLine of the present bar
   * @param {any} score
   * @param {number} firstBeat
   * @param {number} nowMs
   */
  startBeat(barLine, score, firstBeat, nowMs) {
    const wanted = pageStart(barLine, score.beats_per_bar, BARS_WIDE, firstBeat);
    if (wanted !== this.turn.toBeat) {
      const isNextBar = wanted - this.turn.toBeat === score.beats_per_bar && !prefersStillness();
      this.turn = { fromBeat: isNextBar ? this.turn.toBeat : wanted, toBeat: wanted, sinceMs: nowMs };
      this.isDirty = true;
    }
    return turnedStart(this.turn.fromBeat, this.turn.toBeat, nowMs - this.turn.sinceMs);
  }

  /** @param {number} nowBeat @param {number} startBeat @param {number} widthBeats */
  showNow(nowBeat, startBeat, widthBeats) {
    const now = this.at("now");
    const canvas = this.at("section-canvas");
    const shown = prefersStillness() && !this.stopped ? Math.floor(nowBeat) : nowBeat;
    const x = ((shown - startBeat) / widthBeats) * canvas.clientWidth;
    now.hidden = x < 0 || x > canvas.clientWidth;
    now.style.transform = `translateX(${(canvas.offsetLeft + x).toFixed(1)}px)`;
  }

  boxes() {
    const rasterWidth = this.at("section-canvas").clientWidth;
    const wide = this.at("lanes-canvas").clientWidth;
    const fold = this.at("fold-canvas");
    const hasPitch = fold.clientWidth > 0 && !this.isWall;
    const pitchLeft = hasPitch ? fold.offsetLeft - this.at("section-canvas").offsetLeft : NaN;
    return { rasterWidth, pitchLeft, pitchWidth: wide - pitchLeft, laneHeight: this.laneHeight ?? 48 };
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

  /** The controls took room from the lanes, or gave some back. */
  resized() {
    this.isDirty = true;
    if (this.snapshot) this.fitLanes(this.snapshot.lanes.length);
  }
}
