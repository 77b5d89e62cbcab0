// What a stretch of playing came to: gathered while it lasts, told once it is over. A stretch is what one player plays without a
// rest, a count-in or another's turn between. What was good or not is the room's word, weighed by time, so that player and
// conductor read the same; the figures are this device's own span results and pulses. Pure; knows no page and no words.

import { easeOf, loudnessTurnOf } from "./came-to-shape.js";
import { SLOT_S } from "./raster-geometry.js";
import { isTurnOf } from "./shared-time.js";

/** After a part has begun the room's word still speaks of what was before, beats: it lags by one, and needs one. */
const SETTLING_BEATS = 2;
/** Shorter playing was begun by mistake, or is over before a rate rests on it, s. As the room's own runs. */
const LEAST_S = 2;
/** Span results come 1.5 s after their end (the listener's CERTAIN_AFTER_US), and a block later, µs. */
const RESULTS_AFTER_US = 1.9e6;
/** Matched for so much of the judged time counts as matched; unheard for more than half as not heard. Our own choice. */
const MATCHED_SHARE = 0.6;
const UNHEARD_SHARE = 0.5;
/** It stays so long at least, µs: two lines and a number are read in five seconds. */
const LEAST_SHOWN_US = 5e6;
/** Before the own turn it gives way to what is to be played, beats. */
const GIVES_WAY_BEATS = 4;
/** Most pulses of a stretch that are kept: over eight minutes at eight a second. */
const MOST_PULSES = 4096;

const PLAYED = new Set(["pulses", "straight", "free"]);
/** States that pass no verdict on what was played. */
const UNJUDGED = new Set(["not-heard", "blended", "resting", "away", "unknown"]);

/**
 * @typedef {import("./raster-geometry.js").Score} Score @typedef {import("./raster-geometry.js").Span} Span
 * @typedef {{ timeUs: number, beat: number, offsetS: number, tick: number, depthDb: number, choked: boolean }} PlayedPulse
 * @typedef {{ key: string, span: Span, spanIdxs: Set<number>, seconds: Map<string, number> }} Part
 *
 * @typedef {object} Stretch
 * @property {Score} score
 * @property {number} startBeat
 * @property {number} endBeat
 * @property {Part[]} parts what asks the same, in order of their beginning
 * @property {PlayedPulse[]} pulses
 * @property {{ beat: number, levelDb: number }[]} levels
 * @property {Map<number, any>} results span results by the span's place
 * @property {number} unmeasuredS
 * @property {number} startedUs
 * @property {number} lastUs
 * @property {number} dueUs
 *
 * @typedef {object} Outcome
 * @property {string} state on the wire; "matched" where there is nothing to change, "unmeasured" where the device did not listen
 * @property {Part} part of which it speaks
 * @property {Stretch} stretch
 * @property {any} result of the part's longest span; undefined where none came
 * @property {{ hit: number, of: number } | null} onTicks
 * @property {import("./came-to-shape.js").EaseFound | null} ease
 * @property {import("./came-to-shape.js").TurnFound | null} turn
 */

export class CameTo {
  constructor() {
    /** @type {Stretch | null} what is being played */
    this.stretch = null;
    /** @type {Stretch | null} what has ended and waits for its results */
    this.ended = null;
    /** @type {Outcome | null} */
    this.outcome = null;
    this.shownUs = 0;
    /** A part that goes on after this beat has settled. */
    this.settledBeat = 0;
  }

  /**
   * The music is another one from here on; call before the time follows it.
   * @param {Score | null} next
   * @param {number} nowUs
   */
  musicChanges(next, nowUs) {
    const { stretch } = this;
    if (!stretch) return;
    if (next && next.start_us === stretch.score.start_us) stretch.score = next;
    else this.end(nowUs, false);
  }

  /**
   * Something this device measured.
   * @param {any} message
   * @param {import("./raster-geometry.js").PlayTime} time
   * @param {number} leftOutUs the device's constant offset
   */
  take(message, time, leftOutUs) {
    const gathering = [this.stretch, this.ended].filter((one) => one !== null);
    if (message.type === "span-result") {
      for (const stretch of gathering) stretch.results.set(message.span_idx, message);
    } else if (message.type === "pulses") {
      for (const pulse of message.pulses) this.takePulse(pulse, time, leftOutUs, gathering);
    } else if (message.type === "reading" && this.stretch) {
      const beat = time.beatAt(message.time_us);
      if (message.trusted && message.hearing !== "silence") this.stretch.levels.push({ beat, levelDb: message.level_db });
    }
  }

  /**
   * @param {any} pulse @param {import("./raster-geometry.js").PlayTime} time @param {number} leftOutUs
   * @param {Stretch[]} gathering
   */
  takePulse(pulse, time, leftOutUs, gathering) {
    const timeUs = pulse.time_us - leftOutUs;
    const beat = time.beatAt(timeUs);
    for (const stretch of gathering) {
      // The first may lie a little ahead of its tick.
      if (beat < stretch.startBeat - 0.25 || beat > stretch.endBeat || stretch.pulses.length >= MOST_PULSES) continue;
      const spanIdx = time.spanAt(Math.max(beat, stretch.startBeat));
      const perBeat = stretch.score.spans[spanIdx]?.target.per_beat ?? 1;
      const tick = Math.round(beat * perBeat) / perBeat;
      const offsetS = (timeUs - time.timeOf(tick)) / 1e6;
      stretch.pulses.push({ timeUs, beat, offsetS, tick, depthDb: pulse.depth_db, choked: pulse.choked === true });
    }
  }

  /**
   * Time passes; call a few times a second.
   * @param {object} now
   * @param {number} now.us server time
   * @param {Score | null} now.score
   * @param {import("./raster-geometry.js").PlayTime} now.time
   * @param {number} now.chair
   * @param {string} now.state the room's word for this player; "unknown" while there is no way to the room
   * @param {boolean} now.isListening whether the device hears anything at all
   */
  look({ us, score, time, chair, state, isListening }) {
    const beat = score ? time.beatAt(us) : NaN;
    const spanIdx = score && beat >= 0 ? time.spanAt(beat) : -1;
    const span = score && spanIdx >= 0 ? score.spans[spanIdx] : null;
    const isPlaying = span !== null && PLAYED.has(span.target.kind) && isTurnOf(span, chair);
    if (this.stretch && !isPlaying) this.end(us, true);
    if (score && span && isPlaying) {
      this.stretch ??= newStretch(score, beat, us, spanIdx);
      this.pass(this.stretch, span, spanIdx, beat, us, isListening ? state : "unmeasured");
    }
    if (this.ended && us >= this.ended.dueUs) {
      this.outcome = outcomeOf(this.ended);
      this.shownUs = us;
      this.ended = null;
    }
    if (this.outcome && this.isDone(us, score, time, beat, span, isPlaying, chair)) this.outcome = null;
  }

  /**
   * @param {Stretch} stretch @param {Span} span @param {number} spanIdx @param {number} beat @param {number} us
   * @param {string} state
   */
  pass(stretch, span, spanIdx, beat, us, state) {
    const key = `${span.target.kind} ${span.target.per_beat ?? ""} ${span.ease ? "eases" : ""}`;
    let part = stretch.parts.find((one) => one.key === key);
    if (!part) {
      part = { key, span, spanIdxs: new Set(), seconds: new Map() };
      stretch.parts.push(part);
    }
    if (!part.spanIdxs.has(spanIdx)) {
      const isSame = stretch.parts[stretch.parts.length - 1] === part && part.spanIdxs.has(spanIdx - 1);
      if (!isSame) this.settledBeat = beat + SETTLING_BEATS;
      part.spanIdxs.add(spanIdx);
    }
    const passedS = Math.min(Math.max((us - stretch.lastUs) / 1e6, 0), 1.5);
    stretch.endBeat = Math.max(beat, stretch.endBeat);
    stretch.lastUs = us;
    if (state === "unmeasured") stretch.unmeasuredS += passedS;
    else if (beat >= this.settledBeat) part.seconds.set(state, (part.seconds.get(state) ?? 0) + passedS);
  }

  /** @param {number} us @param {boolean} isAtItsEnd and not broken off */
  end(us, isAtItsEnd) {
    const { stretch } = this;
    this.stretch = null;
    if (!stretch) return;
    // The last look lies a little before the end that is written.
    const last = stretch.parts[stretch.parts.length - 1];
    const endBeat = last ? endOf(stretch.score, Math.max(...last.spanIdxs)) : Infinity;
    if (isAtItsEnd && endBeat - stretch.endBeat < 1) stretch.endBeat = endBeat;
    stretch.dueUs = us + RESULTS_AFTER_US;
    this.ended = stretch;
  }

  /**
   * Whether it gives way to what is to be played now.
   * @param {number} us @param {Score | null} score @param {import("./raster-geometry.js").PlayTime} time @param {number} beat
   * @param {Span | null} span @param {boolean} isPlaying @param {number} chair
   */
  isDone(us, score, time, beat, span, isPlaying, chair) {
    if (span?.target.kind === "count-in") return true;
    if (!score || us - this.shownUs < LEAST_SHOWN_US) return false;
    return isPlaying || nextOwnBeat(score, time, beat, chair) - beat <= GIVES_WAY_BEATS;
  }
}

/** @param {Score} score @param {number} beat @param {number} us @param {number} spanIdx @returns {Stretch} */
function newStretch(score, beat, us, spanIdx) {
  // The first look lies a little after the beginning.
  const spanStart = endOf(score, spanIdx - 1);
  return {
    score,
    startBeat: beat - spanStart < 1 ? spanStart : beat,
    endBeat: beat,
    parts: [],
    pulses: [],
    levels: [],
    results: new Map(),
    unmeasuredS: 0,
    startedUs: us,
    lastUs: us,
    dueUs: Infinity,
  };
}

/** Beat at which a span ends. @param {Score} score @param {number} spanIdx */
function endOf(score, spanIdx) {
  return score.spans.slice(0, spanIdx + 1).reduce((sum, span) => sum + (span.length_beats ?? Infinity), 0);
}

/** The beat at which this player plays next. @param {Score} score @param {import("./raster-geometry.js").PlayTime} time @param {number} beat @param {number} chair */
function nextOwnBeat(score, time, beat, chair) {
  const here = time.spanAt(Math.max(beat, 0));
  if (here < 0) return Infinity;
  let start = endOf(score, here);
  for (const span of score.spans.slice(here + 1)) {
    if (span.target.kind === "count-in" || (PLAYED.has(span.target.kind) && isTurnOf(span, chair))) return start;
    start += span.length_beats ?? Infinity;
  }
  return Infinity;
}

/** @param {Stretch} stretch @returns {Outcome | null} null where there is nothing to tell */
function outcomeOf(stretch) {
  const seconds = stretch.parts.flatMap((part) => [...part.seconds]);
  const total = sum(seconds.map(([, s]) => s)) + stretch.unmeasuredS;
  if (total === 0 || stretch.lastUs - stretch.startedUs < LEAST_S * 1e6) return null;
  const of = (/** @type {string} */ state) => sum(seconds.filter(([one]) => one === state).map(([, s]) => s));
  const longest = stretch.parts.reduce((a, b) => (beatsOf(stretch, b) > beatsOf(stretch, a) ? b : a));
  const [unmeasuredS, restedS, blendedS, unheardS] = [stretch.unmeasuredS, of("resting") + of("away"), of("blended"), of("not-heard")];
  if (restedS > total * UNHEARD_SHARE) return null;
  if (unmeasuredS > total * UNHEARD_SHARE) return outcome(stretch, longest, "unmeasured");
  if (unmeasuredS + blendedS + unheardS > total * UNHEARD_SHARE) {
    const worst = [["blended", blendedS], ["not-heard", unheardS], ["unmeasured", unmeasuredS]].reduce((a, b) => (b[1] > a[1] ? b : a));
    return outcome(stretch, longest, /** @type {string} */ (worst[0]));
  }
  const judged = seconds.filter(([state]) => !UNJUDGED.has(state));
  const judgedS = sum(judged.map(([, s]) => s));
  // Where the room said nothing, the figures stand alone.
  if (judgedS === 0) return outcome(stretch, longest, "unknown");
  if (of("matched") >= MATCHED_SHARE * judgedS) return outcome(stretch, longest, "matched");
  const faults = stretch.parts.flatMap((part) =>
    [...part.seconds].filter(([state]) => !UNJUDGED.has(state) && state !== "matched").map(([state, s]) => ({ part, state, s })),
  );
  const worst = faults.reduce((a, b) => (b.s > a.s ? b : a));
  return outcome(stretch, worst.part, worst.state);
}

/** @param {Stretch} stretch @param {Part} part @param {string} state @returns {Outcome} */
function outcome(stretch, part, state) {
  const results = [...part.spanIdxs].map((idx) => stretch.results.get(idx)).filter((result) => result !== undefined);
  const result = results.length > 0 ? results.reduce((a, b) => (b.n_pulses > a.n_pulses ? b : a)) : undefined;
  const isPlain = state === "matched" || state === "unknown";
  return {
    state,
    part,
    stretch,
    result,
    onTicks: onTicks(stretch, part),
    ease: isPlain ? easeOf(stretch) : null,
    turn: isPlain ? loudnessTurnOf(stretch) : null,
  };
}

/**
 * Ticks of a part with a pulse in their slot, as the lane draws it.
 * @param {Stretch} stretch @param {Part} part
 */
function onTicks(stretch, part) {
  const perBeat = part.span.target.per_beat ?? 0;
  const of = Math.floor(beatsOf(stretch, part) * perBeat + 1e-3);
  if (perBeat === 0 || of === 0 || part.span.loosely) return null;
  const ticks = new Set();
  for (const pulse of stretch.pulses) {
    const isOwn = [...part.spanIdxs].some((idx) => pulse.tick < endOf(stretch.score, idx) && pulse.tick >= endOf(stretch.score, idx - 1));
    if (isOwn && Math.abs(pulse.offsetS) <= SLOT_S / 2) ticks.add(pulse.tick);
  }
  return { hit: Math.min(ticks.size, of), of };
}

/** Beats of a part that were played. @param {Stretch} stretch @param {Part} part */
function beatsOf({ score, startBeat, endBeat }, part) {
  const played = (/** @type {number} */ idx) => Math.min(endOf(score, idx), endBeat) - Math.max(endOf(score, idx - 1), startBeat);
  return sum([...part.spanIdxs].map((idx) => Math.max(played(idx), 0)));
}

/** @param {number[]} values */
const sum = (values) => values.reduce((a, b) => a + b, 0);
