// What the player sees while playing: title, note, the way ahead, lane, notices. Takes facts, draws them; what is said to the player
// is player-said.js's. Knows no socket and no microphone.

import { comingOf, countInOf } from "./coming-words.js";
import { centsText, fullAskOf, placeOf, titleOf, tuningWords, turnOf } from "./exercise-words.js";
import { partName } from "./instrument-names.js";
import { NO_MUSIC, SECONDS_AS_BEATS } from "./no-music.js";
import { noteName, spokenNote } from "./note-names.js";
import { PageElements } from "./page-elements.js";
import { onSchemeChange, prefersStillness, readPalette } from "./paper.js";
import { drawAhead, isShaped, loudAt } from "./player-ahead.js";
import { drawLane, laneParts, nowX } from "./player-lane.js";
import { PlayerSaid } from "./player-said.js";
import { nextSpan, spanNear } from "./raster-geometry.js";
import { centsOf, isTurnOf, noteOf } from "./shared-time.js";
import { word } from "./words.js";
import { clefOf, drawNote, midiOf, writtenMidi } from "./written-note.js";

/** The canvas is drawn anew this often, ms; the now rule itself moves with every frame. */
const DRAW_MS = 66;
/** The lane's words change this often, ms. */
const WORDS_MS = 2000;

/**
 * How much a notice weighs: light ones stand above the lane, lasting ones beside the music with a button to listen again, heavy ones
 * in place of the sentence, "listen" so and with the button. The last that is there counts.
 */
const WEIGHTS = /** @type {const} */ (["light", "lasting", "heavy", "listen"]);

/** @typedef {(typeof WEIGHTS)[number]} Weight */

export class PlayerView extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    this.canvas = /** @type {HTMLCanvasElement} */ (this.at("lane-canvas"));
    this.ahead = /** @type {HTMLCanvasElement} */ (this.at("ahead-canvas"));
    this.now = this.at("now");
    this.said = new PlayerSaid(page);
    this.palette = readPalette(page.documentElement);
    onSchemeChange(() => {
      this.palette = readPalette(page.documentElement);
    });
    /** @type {Map<string, { text: string, weight: Weight }>} */
    this.notices = new Map();
    this.lastDrawnMs = 0;
    this.lastWordsMs = 0;
    this.hasMusic = false;
    /** Seat, whose notes are shown. */
    this.chair = 0;
    this.instrument = "";
    /** @type {string | null | undefined} the note on the staff; undefined before any */
    this.shownNote = undefined;
    /** Whether the music has come to its end, and is not just broken off. */
    this.isOver = false;
    /** Counts the own turn in; 0 elsewhere. */
    this.ownCount = 0;
    /** Whether there is a way to the room. */
    this.isLinked = true;
    this.width = 0;
    // Turned or made another size: drawn anew at once, in the place it has now.
    new ResizeObserver(() => this.placed()).observe(this.canvas);
  }

  placed() {
    const { canvas } = this;
    this.width = canvas.clientWidth;
    const { top, floor, pitchTop, pitch, spoken } = laneParts(canvas.clientHeight);
    const lane = this.at("lane");
    lane.style.setProperty("--lane-top", `${top}px`);
    lane.style.setProperty("--lane-floor", `${floor}px`);
    lane.style.setProperty("--lane-end", `${pitchTop + pitch}px`);
    lane.style.setProperty("--spoken", `${spoken}px`);
    this.lastDrawnMs = 0;
    this.drawNow?.();
  }

  /**
   * Starts drawing.
   * @param {import("./shared-time.js").SharedTime} time
   * @param {import("./player-hearing.js").PlayerHearing} hearing
   * @param {() => any} scoreNow the music, or null
   */
  start(time, hearing, scoreNow) {
    this.drawNow = () => {
      if (!this.at("play-view").hidden && time.isKnown()) this.draw(performance.now(), time, hearing, scoreNow());
    };
    const frame = () => {
      requestAnimationFrame(frame);
      this.drawNow?.();
    };
    requestAnimationFrame(frame);
  }

  /**
   * @param {number} nowMs
   * @param {import("./shared-time.js").SharedTime} time
   * @param {import("./player-hearing.js").PlayerHearing} hearing
   * @param {any} score
   */
  draw(nowMs, time, hearing, score) {
    const nowUs = time.serverNowUs();
    const playTime = score ? time : SECONDS_AS_BEATS;
    const music = score ?? NO_MUSIC;
    const nowBeat = playTime.beatAt(nowUs);
    this.now.hidden = false;
    this.now.style.transform = `translateX(${nowX(nowBeat, this.width, music.beats_per_bar).toFixed(1)}px)`;
    if (nowMs - this.lastDrawnMs < (prefersStillness() ? DRAW_MS * 4 : DRAW_MS)) return;
    this.lastDrawnMs = nowMs;

    const isOwn = this.said.state !== "blended";
    drawLane(this.canvas, this.palette, {
      score: music,
      time: playTime,
      hasTicks: score !== null,
      nowBeat,
      pulses: hearing.drawnPulses(),
      centres: hearing.centres,
      heardUs: hearing.heardUs,
      gaps: hearing.gaps,
      isOwn,
    });
    if (score && !this.at("ahead").hidden) this.drawAhead(score, time, nowBeat, hearing.levels);
    const reading = hearing.fresh(nowUs);
    const last = hearing.centres[hearing.centres.length - 1];
    const isNew = reading && last && nowUs - last.timeUs < 1e6;
    this.said.showCentre(isOwn && isNew ? centsText(last.cents) : "");
    this.text("bar", score ? placeOf(score, time, nowBeat) : "");
    if (score) this.showPlace(score, time, nowBeat);
    if (nowMs - this.lastWordsMs > WORDS_MS) {
      this.lastWordsMs = nowMs;
      this.at("lane").setAttribute("aria-label", hearing.inWords(nowUs));
    }
    const barMs = score ? (time.timeOf(nowBeat + music.beats_per_bar) - time.timeOf(nowBeat)) / 1000 : 0;
    this.said.announce(nowMs, Number.isFinite(barMs) ? barMs : 0);
  }

  /**
   * @param {any} score @param {import("./shared-time.js").SharedTime} time @param {number} nowBeat
   * @param {{ timeUs: number, levelDb: number }[]} levels
   */
  drawAhead(score, time, nowBeat, levels) {
    const { chair } = this;
    drawAhead(this.ahead, this.palette, { score, time, nowBeat, chair, levels });
    // While it is counted in, how it begins.
    const here = spanNear(score, time, nowBeat);
    const beat = here.target.kind === "count-in" ? (nextSpan(score, time, nowBeat)?.beat ?? nowBeat) : nowBeat;
    this.text("loud", loudAt(score, beat, chair));
  }

  /**
   * What is asked now; while counting in, what is to come.
   * @param {import("./raster-geometry.js").Score} score
   * @param {import("./shared-time.js").SharedTime} time
   * @param {number} nowBeat
   */
  showPlace(score, time, nowBeat) {
    const here = spanNear(score, time, nowBeat);
    const next = nextSpan(score, time, nowBeat)?.span;
    const asked = here.target.kind === "count-in" ? (next ?? here) : here;
    this.isOver = time.spanAt(Math.max(nowBeat, 0)) < 0;
    const turn = this.isOver ? { title: word("play-title-rest"), asked: "" } : turnOf(here, next, this.chair);
    this.ownCount = countInOf(score, time, nowBeat, this.chair);
    this.text("title", turn?.title ?? titleOf(asked));
    this.text("asked", turn?.asked ?? fullAskOf(asked));
    this.text("coming", comingOf(score, time, nowBeat, this.chair, this.instrument));
    // Who waits sees the note of the own turn.
    const isOwn = (/** @type {import("./raster-geometry.js").Span} */ span) => isTurnOf(span, this.chair);
    const own = isOwn(asked) ? asked : score.spans.find((span) => span.turn && isOwn(span));
    this.showNote(noteOf(own ?? asked, this.chair), centsOf(own ?? asked, this.chair));
  }

  /** @param {any} welcome @param {{ name: string }} who */
  showWelcome(welcome, who) {
    this.text("who", `${who.name}, ${partName(welcome.part, welcome.instrument)}`);
    this.chair = welcome.chair;
    if (!this.at("play-view").hidden) return;
    this.at("join-view").hidden = true;
    this.at("play-view").hidden = false;
    this.page.body.dataset.view = "play";
    // The form may have been scrolled; a screen reader goes on at the new heading.
    window.scrollTo(0, 0);
    this.at("title").focus({ preventScroll: true });
  }

  /** Back to the form. */
  leave() {
    this.at("join-view").hidden = false;
    this.at("play-view").hidden = true;
    delete this.page.body.dataset.view;
  }

  /** @param {any} score @param {string} instrument slug */
  showScore(score, instrument) {
    if (score !== null && !this.hasMusic) this.said.say(word("play-begin"));
    this.hasMusic = score !== null;
    this.instrument = instrument;
    this.shownNote = undefined;
    this.page.body.dataset.music = String(this.hasMusic);
    this.at("note").hidden = score === null;
    this.at("ahead").hidden = score === null || !isShaped(score, this.chair);
    if (score !== null) return;
    this.ownCount = 0;
    this.text("title", this.isOver ? word("play-title-rest") : word("play-title-ready"));
    this.text("coming", "");
    this.said.say(this.isOver ? word("play-after") : word("play-before"));
    this.isOver = false;
  }

  /**
   * @param {string | null} note sounding; null for any
   * @param {number | null} cents where the tuning puts it
   */
  showNote(note, cents) {
    const tuning = note === null ? "" : tuningWords(cents);
    this.text("note-tuned", tuning);
    this.at("note-tuned").hidden = tuning === "";
    if (note === this.shownNote) return;
    this.shownNote = note;
    const { instrument } = this;
    const midi = note ? writtenMidi(note, instrument) : null;
    this.at("staff").toggleAttribute("hidden", midi === null);
    const sounding = note ? midiOf(note) : null;
    if (midi === null || sounding === null) {
      this.text("note-written", word("play-any-note"));
      this.text("note-sounds", word("play-easy-note"));
      return;
    }
    drawNote(this.at("staff"), midi, clefOf(instrument));
    this.text("note-written", noteName(midi));
    this.text("note-sounds", midi === sounding ? "" : word("play-sounds", { note: noteName(sounding) }));
    this.at("note").setAttribute("aria-label", word("play-your-note-is", { note: spokenNote(midi) }));
  }

  /**
   * Shows or takes away one notice; several can stand at once.
   * @param {string} about
   * @param {string} text empty to take it away
   * @param {Weight} weight
   */
  notice(about, text, weight = "light") {
    if (text) this.notices.set(about, { text, weight });
    else this.notices.delete(about);
    const all = [...this.notices.values()];
    this.at("notice").hidden = all.length === 0;
    const most = Math.max(...all.map((n) => WEIGHTS.indexOf(n.weight)), 0);
    this.page.body.dataset.trouble = WEIGHTS[most];
    this.text("notice-text", all.map((n) => n.text).join(" "));
    this.at("listen").hidden = !all.some((n) => n.weight === "listen" || n.weight === "lasting");
  }

  /** @param {"socket" | "line"} way how this page goes to the room */
  showWay(way) {
    this.text("about-way", word(way === "socket" ? "play-way-socket" : "play-way-line"));
  }

  /** @returns {number | null} the sounding note that is asked of this player now; null for any */
  askedMidi() {
    return this.hasMusic && this.shownNote ? midiOf(this.shownNote) : null;
  }

  /** @param {boolean} isLost no way to the room */
  showLink(isLost) {
    this.isLinked = !isLost;
    this.page.body.dataset.link = isLost ? "lost" : "open";
  }

  /** @param {boolean} isResting */
  showRest(isResting) {
    this.text("rest", word(isResting ? "play-back" : "play-rest"));
    this.at("rest").dataset.on = String(isResting);
  }

  /** @param {() => void} run */
  onListen(run) {
    this.at("listen").addEventListener("click", run);
  }

  /** @param {() => void} run */
  onRest(run) {
    this.at("rest").addEventListener("click", run);
  }
}
