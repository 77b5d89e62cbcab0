// What is said to a player: the state with its shape and what it rests on, one sentence, and after a stretch of playing what that
// came to, in the same place. Its size never changes: a long sentence is set smaller. Knows no socket and no lane.

import { Announcer } from "./announcer.js";
import { cameToWords } from "./came-to-words.js";
import { unmeasuredWord } from "./capture-words.js";
import { PageElements } from "./page-elements.js";
import { drawShape, lookOf } from "./states.js";
import { phrase, word } from "./words.js";

/** Sizes of a sentence, largest first, as the style sheet has them: the first that fits two lines is taken. */
const SIZES = ["", "smaller", "smallest"];

export class PlayerSaid extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    this.state = "not-heard";
    this.announcer = new Announcer();
    /** @type {import("./came-to.js").Outcome | null} */
    this.outcome = null;
    /** What is read out next: the sentence that stands there, after the number where there is one. */
    this.aloud = "";
    drawShape(this.at("shape"), this.state);
    this.text("state", lookOf(this.state).word);
    for (const id of ["sentence", "came-sentence"]) new ResizeObserver(() => this.fit(id)).observe(this.at(id));
  }

  /**
   * @param {{ state: string, evidence: any, sentence: any }} you
   * @param {string | undefined} microphone what became of it
   * @param {boolean} hasMusic
   */
  showYou(you, microphone, hasMusic) {
    this.state = you.state;
    this.at("verdict").dataset.state = you.state;
    drawShape(this.at("shape"), you.state);
    const unmeasured = unmeasuredWord({ state: you.state, microphone });
    this.text("state", unmeasured ? word("play-unmeasured") : lookOf(you.state).word);
    this.text("evidence", unmeasured || phrase(you.evidence));
    // Without music there is nothing to be matched with; what to expect stands there already.
    const isPraiseTooEarly = you.state === "matched" && !hasMusic;
    if (you.sentence && !isPraiseTooEarly) this.say(phrase(you.sentence));
  }

  /** @param {string} text */
  say(text) {
    this.text("sentence", text);
    this.fit("sentence");
    if (!this.outcome) this.aloud = text;
  }

  /** @param {string} cents the pitch centre with its sign, or empty */
  showCentre(cents) {
    this.text("centre", cents);
    this.at("centre-unit").hidden = cents === "";
  }

  /**
   * Shows what a stretch came to in place of what is said now, or that again.
   * @param {import("./came-to.js").Outcome | null} outcome
   * @param {boolean} isCalibrated
   */
  showOutcome(outcome, isCalibrated) {
    if (outcome === this.outcome) return;
    this.outcome = outcome;
    this.at("said").hidden = outcome !== null;
    this.at("came-to").hidden = outcome === null;
    if (!outcome) {
      this.fit("sentence");
      return;
    }
    const words = cameToWords(outcome, isCalibrated);
    drawShape(this.at("came-shape"), words.shape);
    this.text("came-number", words.number);
    this.text("came-unit", words.unit);
    this.text("came-of", words.about);
    this.text("came-sentence", words.sentence);
    this.fit("came-sentence");
    this.aloud = [words.number, words.unit].filter(Boolean).join(" ") + `. ${words.sentence}`;
  }

  /**
   * Time passes: what stands there is read out, once a bar at most.
   * @param {number} nowMs @param {number} barMs
   */
  announce(nowMs, barMs) {
    const text = this.announcer.next(this.aloud, nowMs, barMs);
    if (text !== null) this.text("announced", text);
  }

  /** Sets a sentence so that it has two lines. @param {string} id */
  fit(id) {
    const element = this.at(id);
    for (const size of SIZES) {
      if (element.dataset.size !== size) element.dataset.size = size;
      if (element.scrollHeight <= Number.parseFloat(getComputedStyle(element).minHeight) + 1) return;
    }
  }
}
