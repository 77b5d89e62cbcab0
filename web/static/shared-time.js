// The page's side of the wasm door: the room's clock and the beats of its score. All arithmetic of time and beat is the
// protocol's own, compiled; this file only carries numbers and text across. Knows no socket, no page and no sound.

import { midiOf } from "./written-note.js";

/**
 * The door's exports that pages use; the listener's own are in listen-worker.js.
 * @typedef {object} Door
 * @property {WebAssembly.Memory} memory
 * @property {() => number} score_in_ptr
 * @property {() => number} score_in_capacity
 * @property {() => number} output_ptr
 * @property {() => number} output_len
 * @property {(nNumbers: number) => number} score_set
 * @property {(timeUs: number) => number} score_beat_at
 * @property {(beat: number) => number} score_time_of
 * @property {(beat: number) => number} score_span_at
 * @property {(beat: number) => number} score_bpm_at
 * @property {(beat: number) => number} score_bar_line_at
 * @property {(beat: number) => number} score_bar_at
 * @property {(beat: number) => number} score_spoken_at
 * @property {(fromUs: number, toUs: number) => number} score_ticks
 * @property {() => number} ticks_ptr
 * @property {(t1Us: number, t2Us: number, t3Us: number, t4Us: number) => number} clock_add 2: time jumped
 * @property {() => void} clock_settle
 * @property {() => number} clock_n_exchanges
 * @property {(deviceUs: number) => number} clock_server_us
 * @property {(serverUs: number) => number} clock_device_us
 * @property {(deviceUs: number) => number} clock_quality place in QUALITIES
 * @property {(deviceUs: number) => number} clock_error_us
 * @property {(deviceUs: number) => number} clock_error_bound_us
 */

/**
 * Fetches and compiles the wasm. The bytes come along for engines that cannot hand a Module to a Worker.
 * @param {string} url
 * @returns {Promise<{ module: WebAssembly.Module, bytes: () => Promise<ArrayBuffer> }>}
 */
export async function fetchDoor(url) {
  const bytes = async () => {
    const response = await fetch(url);
    if (!response.ok) throw new Error(`${url}: ${response.status}`);
    return response.arrayBuffer();
  };
  if (typeof WebAssembly.compileStreaming === "function") {
    try {
      return { module: await WebAssembly.compileStreaming(fetch(url)), bytes };
    } catch {
      // A proxy may have changed the content type; compiling the bytes does not mind.
    }
  }
  return { module: await WebAssembly.compile(await bytes()), bytes };
}

/**
 * The text of the door's last call.
 * @param {Pick<Door, "memory" | "output_ptr" | "output_len">} door
 */
export function outputText(door) {
  // Views are made anew each time, after the calls: memory that has grown leaves old ones empty.
  const at = door.output_ptr();
  const length = door.output_len();
  return new TextDecoder().decode(new Uint8Array(door.memory.buffer, at, length));
}

/** Kinds of spans, in the order in which the door counts them. */
const KINDS = ["straight", "pulses", "free", "rest", "count-in"];

/** Weights of ticks, in the order in which the door counts them. */
const WEIGHTS = /** @type {const} */ (["bar", "beat", "between"]);

/**
 * The sounding note of a chair in a span, as it stands on the wire.
 * @param {{ note?: string, notes?: { chair: number, note: string }[] }} span
 * @param {number} chair from 1; 0 for none
 * @returns {string | null} null where the span names none
 */
export function noteOf(span, chair) {
  return span.notes?.find((own) => own.chair === chair)?.note ?? span.note ?? null;
}

/**
 * Where the tuning puts a chair's note, cents from its place in equal temperament.
 * @param {{ cents?: number, notes?: { chair: number, note: string, cents?: number }[] }} span
 * @param {number} chair from 1; 0 for none
 * @returns {number | null} null where it stays there
 */
export function centsOf(span, chair) {
  const own = span.notes?.find((note) => note.chair === chair);
  return (own ? own.cents : span.cents) ?? null;
}

/**
 * Whether a chair is to play in a span, where anybody is.
 * @param {{ turn?: number[] }} span
 * @param {number} chair from 1; 0 for none in particular
 */
export function isTurnOf(span, chair) {
  return chair === 0 || !span.turn || span.turn.includes(chair);
}

/**
 * A score as the row of numbers the door takes; its `score_set` says which.
 * @param {any} score as it came over the socket
 * @param {number} chair whose notes and turns are meant; 0 for none
 * @returns {number[]}
 */
export function scoreNumbers(score, chair) {
  const spans = score.spans.flatMap((/** @type {any} */ span) => [
    span.length_beats ?? NaN,
    span.bpm,
    span.bpm_to ?? NaN,
    KINDS.indexOf(isTurnOf(span, chair) ? span.target.kind : "rest"),
    span.target.per_beat ?? 0,
    span.first_bar ?? NaN,
    midiOf(noteOf(span, chair) ?? "") ?? NaN,
    centsOf(span, chair) ?? NaN,
  ]);
  return [score.version, score.start_us, score.beats_per_bar, ...spans];
}

/**
 * Writes a score through the door.
 * @param {Pick<Door, "memory" | "score_in_ptr" | "score_in_capacity" | "score_set" | "output_ptr" | "output_len">} door
 * @param {object | null} score as it came over the socket
 * @param {number} chair whose notes are meant; 0 for none
 */
export function setScore(door, score, chair) {
  const numbers = score ? scoreNumbers(score, chair) : [];
  if (numbers.length > door.score_in_capacity()) {
    throw new Error(`the score has ${numbers.length} numbers, more than the ${door.score_in_capacity()} there is room for`);
  }
  const at = door.score_in_ptr();
  new Float64Array(door.memory.buffer, at, numbers.length).set(numbers);
  if (door.score_set(numbers.length) !== 0) throw new Error(outputText(door));
}

/** How well the server's time is known, in the order in which the door counts. */
const QUALITIES = /** @type {const} */ (["unknown", "poor", "fair", "good"]);

/** What `clock_add` says when time jumped. */
const JUMPED = 2;

/** A clock that has only just begun may step: nothing has been kept in time with it, and it gets better quickly. */
const FIRST_EXCHANGES = 16;

export class SharedTime {
  /**
   * @param {Door} door
   * @param {() => number} nowMs the page's clock: performance.now, which nobody can set
   * @param {() => boolean} [isPlaying] whether a step of time could be heard or seen
   */
  constructor(door, nowMs, isPlaying) {
    this.door = door;
    this.nowMs = nowMs;
    this.isPlaying = isPlaying ?? (() => this.score !== null);
    /** @type {import("./raster-geometry.js").Score | null} */
    this.score = null;
    /**
     * How often time has jumped: this device or the server slept, or the server is another. What was scheduled by the
     * former time is void.
     */
    this.nJumps = 0;
  }

  /**
   * Takes in a clock exchange. While music plays a better estimate is neared at 0.5 % at most, without a step; a new
   * connection to the same server keeps what is known, and another server is noticed by its first exchange.
   * @param {number} t1Us @param {number} t2Us @param {number} t3Us @param {number} t4Us
   * @returns {boolean} whether time jumped
   */
  addExchange(t1Us, t2Us, t3Us, t4Us) {
    const hasJumped = this.door.clock_add(t1Us, t2Us, t3Us, t4Us) === JUMPED;
    if (hasJumped) this.nJumps += 1;
    if (!this.isPlaying() || this.door.clock_n_exchanges() <= FIRST_EXCHANGES) this.door.clock_settle();
    return hasJumped;
  }

  isKnown() {
    return this.door.clock_quality(this.nowMs() * 1000) > 0;
  }

  /**
   * Whether this device's beat can be relied on: "good" within what can be heard (6 ms), "fair" within what a group can
   * play with (25 ms), "poor" beyond, "unknown" before the first exchange.
   * @returns {{ word: "good" | "fair" | "poor" | "unknown", errorMs: number, boundMs: number }} the likely error, and
   *   the largest possible one if no clock stood still; NaN while unknown
   */
  timeQuality() {
    const nowUs = this.nowMs() * 1000;
    return {
      word: QUALITIES[this.door.clock_quality(nowUs)],
      errorMs: this.door.clock_error_us(nowUs) / 1000,
      boundMs: this.door.clock_error_bound_us(nowUs) / 1000,
    };
  }

  /**
   * Server time of a moment near the present one: further off the drift between the clocks is only extrapolated.
   * @param {number} pageMs a moment of the page's clock
   */
  serverUsAt(pageMs) {
    return this.door.clock_server_us(pageMs * 1000);
  }

  /** @param {number} serverUs */
  pageMsAt(serverUs) {
    return this.door.clock_device_us(serverUs) / 1000;
  }

  serverNowUs() {
    return this.serverUsAt(this.nowMs());
  }

  /**
   * Takes a score. The last one stays when the music stops, so that what was played can still be read.
   * @param {import("./raster-geometry.js").Score} score
   */
  setScore(score) {
    if (this.score && this.score.version === score.version && this.score.start_us === score.start_us) return;
    setScore(this.door, score, 0);
    this.score = score;
  }

  /** @param {number} timeUs */
  beatAt(timeUs) {
    return this.door.score_beat_at(timeUs);
  }

  /** @param {number} beat */
  timeOf(beat) {
    return this.door.score_time_of(beat);
  }

  /** @param {number} beat @returns {number} -1 outside the score */
  spanAt(beat) {
    return this.door.score_span_at(beat);
  }

  /** @param {number} beat @returns {number} tempo there, bpm */
  bpmAt(beat) {
    return this.door.score_bpm_at(beat);
  }

  /** @param {number} beat @returns {number} beat of the bar line at or before it */
  barLineAt(beat) {
    return this.door.score_bar_line_at(beat);
  }

  /** @param {number} beat @returns {number} number of its bar; nought and less in a count-in */
  barAt(beat) {
    return this.door.score_bar_at(beat);
  }

  /** @param {number} beat @returns {number} the number spoken there in a count-in, 0 where none is */
  spokenAt(beat) {
    return this.door.score_spoken_at(beat);
  }

  /**
   * The ticks from one server time (included) to another (not included), at most some thousands.
   * @param {number} fromUs
   * @param {number} toUs
   * @returns {{ timeUs: number, kind: "bar" | "beat" | "between" }[]}
   */
  ticksBetween(fromUs, toUs) {
    const nTicks = this.door.score_ticks(fromUs, toUs);
    const pairs = new Float64Array(this.door.memory.buffer, this.door.ticks_ptr(), 2 * nTicks);
    return Array.from({ length: nTicks }, (_, i) => ({ timeUs: pairs[2 * i], kind: WEIGHTS[pairs[2 * i + 1]] }));
  }
}
