// The page's side of the wasm door: the room's clock and the beats of its score. All arithmetic of time and beat is the
// protocol's own, compiled; this file only carries numbers and text across. Knows no socket, no page and no sound.

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
 * @property {(t1Us: number, t2Us: number, t3Us: number, t4Us: number) => void} clock_add
 * @property {() => void} clock_reset
 * @property {() => number} clock_offset_us
 * @property {() => number} clock_error_bound_us
 */

/**
 * Fetches and compiles the wasm. The bytes come along for engines that cannot hand a Module to a Worker.
 * @param {string} url
 * @returns {Promise<{ module: WebAssembly.Module, bytes: () => Promise<ArrayBuffer> }>}
 */
export async function fetchDoor(url) {
  const bytes = async () => {
    const response = await fetch(url);
    if (!response.ok) throw new Error(`the listening part did not load (${response.status}): reload the page`);
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
const KINDS = ["straight", "pulses", "free", "rest"];

/**
 * A score as the row of numbers the door takes; its `score_set` says which.
 * @param {any} score as it came over the socket
 * @returns {number[]}
 */
export function scoreNumbers(score) {
  const spans = score.spans.flatMap((/** @type {any} */ span) => [
    span.length_beats ?? -1,
    span.bpm,
    KINDS.indexOf(span.target.kind),
    span.target.per_beat ?? 0,
  ]);
  return [score.version, score.start_us, score.beats_per_bar, score.count_in_bars, ...spans];
}

/**
 * Writes a score through the door.
 * @param {Pick<Door, "memory" | "score_in_ptr" | "score_in_capacity" | "score_set" | "output_ptr" | "output_len">} door
 * @param {object | null} score as it came over the socket
 */
export function setScore(door, score) {
  const numbers = score ? scoreNumbers(score) : [];
  if (numbers.length > door.score_in_capacity()) {
    throw new Error(`the score has ${numbers.length} numbers, more than the ${door.score_in_capacity()} there is room for`);
  }
  const at = door.score_in_ptr();
  new Float64Array(door.memory.buffer, at, numbers.length).set(numbers);
  if (door.score_set(numbers.length) !== 0) throw new Error(outputText(door));
}

export class SharedTime {
  /**
   * @param {Door} door
   * @param {() => number} nowMs the page's clock: performance.now
   */
  constructor(door, nowMs) {
    this.door = door;
    this.nowMs = nowMs;
    /** @type {import("./raster-geometry.js").Score | null} */
    this.score = null;
  }

  /** @param {number} t1Us @param {number} t2Us @param {number} t3Us @param {number} t4Us */
  addExchange(t1Us, t2Us, t3Us, t4Us) {
    this.door.clock_add(t1Us, t2Us, t3Us, t4Us);
  }

  /** A new connection: the server's clock begins anew when the server does. */
  forgetClock() {
    this.door.clock_reset();
  }

  isKnown() {
    return Number.isFinite(this.door.clock_offset_us());
  }

  /** @param {number} pageMs a moment of the page's clock */
  serverUsAt(pageMs) {
    return pageMs * 1000 + this.door.clock_offset_us();
  }

  /** @param {number} serverUs */
  pageMsAt(serverUs) {
    return (serverUs - this.door.clock_offset_us()) / 1000;
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
    setScore(this.door, score);
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

  /** First beat of the count-in. */
  firstBeat() {
    return this.score ? -this.score.count_in_bars * this.score.beats_per_bar : 0;
  }
}
