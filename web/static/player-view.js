// What the player sees while playing: title, note, lane, state, sentence, notices. Takes facts, draws them; knows no
// socket and no microphone.

import { unmeasuredWord } from "./capture-words.js";
import { comingOf } from "./coming-words.js";
import { centsText, fullAskOf, placeOf, titleOf, tuningWords, turnOf } from "./exercise-words.js";
import { NO_MUSIC, SECONDS_AS_BEATS } from "./no-music.js";
import { PageElements } from "./page-elements.js";
import { onSchemeChange, prefersStillness, readPalette } from "./paper.js";
import { expressionOf, isPlain } from "./player-expression.js";
import { drawLane, nowX } from "./player-lane.js";
import { nextSpan, spanNear } from "./raster-geometry.js";
import { centsOf, isTurnOf, noteOf } from "./shared-time.js";
import { drawShape, lookOf } from "./states.js";
import { clefOf, drawNote, midiOf, spelled, writtenMidi } from "./written-note.js";

/** The canvas is drawn anew this often, ms; the now rule itself moves with every frame. */
const DRAW_MS = 66;
/** The lane's words change this often, ms. */
const WORDS_MS = 2000;
const BEFORE = "Play a few notes: your pulses are drawn here. The beat starts when your conductor starts it.";
const AFTER = "Rest: breathe as usual until the count comes back.";

export class PlayerView extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    this.canvas = /** @type {HTMLCanvasElement} */ (this.at("lane-canvas"));
    this.now = this.at("now");
    this.palette = readPalette(page.documentElement);
    onSchemeChange(() => {
      this.palette = readPalette(page.documentElement);
    });
    /** @type {Map<string, { text: string, offersListening: boolean }>} */
    this.notices = new Map();
    this.lastDrawnMs = 0;
    this.lastWordsMs = 0;
    this.state = "not-heard";
    this.hasMusic = false;
    /** Seat, whose notes are shown. */
    this.chair = 0;
    this.instrument = "";
    /** @type {string | null | undefined} the note on the staff; undefined before any */
    this.shownNote = undefined;
    /** Whether the music has come to its end, and is not just broken off. */
    this.isOver = false;
    drawShape(this.at("shape"), this.state);
  }

  /**
   * Starts drawing.
   * @param {import("./shared-time.js").SharedTime} time
   * @param {import("./player-hearing.js").PlayerHearing} hearing
   * @param {() => any} scoreNow the music, or null
   */
  start(time, hearing, scoreNow) {
    const frame = (/** @type {number} */ nowMs) => {
      requestAnimationFrame(frame);
      if (this.at("play-view").hidden || !time.isKnown()) return;
      this.draw(nowMs, time, hearing, scoreNow());
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
    this.now.style.transform = `translateX(${nowX(nowBeat, this.canvas.clientWidth, music.beats_per_bar).toFixed(1)}px)`;
    if (nowMs - this.lastDrawnMs < (prefersStillness() ? DRAW_MS * 4 : DRAW_MS)) return;
    this.lastDrawnMs = nowMs;

    const isOwn = this.state !== "blended";
    const barBeat = playTime.barLineAt(nowBeat);
    const expression = expressionOf(music, barBeat, barBeat + music.beats_per_bar, this.chair);
    this.at("lane").dataset.expression = String(!isPlain(expression));
    drawLane(this.canvas, this.palette, {
      score: music,
      time: playTime,
      hasTicks: score !== null,
      nowBeat,
      pulses: hearing.drawnPulses(),
      centres: hearing.centres,
      heardUs: hearing.heardUs,
      expression,
      isOwn,
    });
    const reading = hearing.fresh(nowUs);
    const last = hearing.centres[hearing.centres.length - 1];
    const isNew = reading && last && nowUs - last.timeUs < 1e6;
    this.text("centre", isOwn && isNew ? centsText(last.cents) : "");
    this.text("bar", score ? placeOf(score, time, nowBeat) : "");
    if (score) this.showPlace(score, time, nowBeat);
    if (nowMs - this.lastWordsMs > WORDS_MS) {
      this.lastWordsMs = nowMs;
      this.at("lane").setAttribute("aria-label", hearing.inWords(nowUs));
    }
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
    const turn = this.isOver ? { title: "Rest", asked: "" } : turnOf(here, next, this.chair);
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
    this.text("who", `${who.name}, ${welcome.part}`);
    this.chair = welcome.chair;
    if (!this.at("play-view").hidden) return;
    this.at("join-view").hidden = true;
    this.at("play-view").hidden = false;
    // The form may have been scrolled; a screen reader goes on at the new heading.
    window.scrollTo(0, 0);
    this.at("title").focus({ preventScroll: true });
  }

  /** Back to the form. */
  leave() {
    this.at("join-view").hidden = false;
    this.at("play-view").hidden = true;
  }

  /** @param {any} score @param {string} instrument slug */
  showScore(score, instrument) {
    if (score !== null && !this.hasMusic) this.text("sentence", "Listen to the beat, then play with it.");
    this.hasMusic = score !== null;
    this.instrument = instrument;
    this.shownNote = undefined;
    this.at("note").hidden = score === null;
    if (score !== null) return;
    this.text("title", this.isOver ? "Rest" : "Ready");
    this.text("coming", "");
    this.text("sentence", this.isOver ? AFTER : BEFORE);
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
      this.text("note-written", "any note");
      this.text("note-sounds", "one that is easy for you");
      return;
    }
    drawNote(this.at("staff"), midi, clefOf(instrument));
    const written = spelled(midi);
    const heard = spelled(sounding);
    this.text("note-written", `${written.name}${written.octave}`);
    this.text("note-sounds", midi === sounding ? "" : `sounds ${heard.name}${heard.octave}`);
    this.at("note").setAttribute("aria-label", `Your note: ${written.inWords} ${written.octave}`);
  }

  /**
   * @param {{ state: string, evidence: string, sentence: string }} you
   * @param {string | undefined} microphone what became of it
   */
  showYou(you, microphone) {
    this.state = you.state;
    this.at("verdict").dataset.state = you.state;
    drawShape(this.at("shape"), you.state);
    const unmeasured = unmeasuredWord({ state: you.state, microphone });
    this.text("state", unmeasured ? "not measured" : lookOf(you.state).word);
    this.text("evidence", unmeasured || you.evidence);
    // Without music there is nothing to be matched with; what to expect stands there already.
    const isPraiseTooEarly = you.state === "matched" && !this.hasMusic;
    if (you.sentence && !isPraiseTooEarly) this.text("sentence", you.sentence);
  }

  /**
   * Shows or takes away one notice; several can stand at once.
   * @param {string} about
   * @param {string} text empty to take it away
   * @param {boolean} offersListening whether a button to listen again helps
   */
  notice(about, text, offersListening) {
    if (text) this.notices.set(about, { text, offersListening });
    else this.notices.delete(about);
    const all = [...this.notices.values()];
    this.at("notice").hidden = all.length === 0;
    this.text("notice-text", all.map((n) => n.text).join(" "));
    this.at("listen").hidden = !all.some((n) => n.offersListening);
  }

  /** @param {"socket" | "line"} way how this page goes to the room */
  showWay(way) {
    this.text(
      "about-way",
      way === "socket"
        ? "Connected to the room the usual way."
        : "Connected to the room by the slow line: this device or network lets no socket through. All works; the beat may be a little less exact.",
    );
  }

  /** @returns {number | null} the sounding note that is asked of this player now; null for any */
  askedMidi() {
    return this.hasMusic && this.shownNote ? midiOf(this.shownNote) : null;
  }

  /** @param {boolean} isLost no way to the room */
  showLink(isLost) {
    this.page.body.dataset.link = isLost ? "lost" : "open";
  }

  /** @param {boolean} isResting */
  showRest(isResting) {
    this.text("rest", isResting ? "I am back" : "I need a rest");
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
