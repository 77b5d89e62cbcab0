// The time of a run that is played again: its bars, what stood at a moment, and the playhead. Pure; takes its clock as an
// argument and knows no page.

/**
 * @typedef {{ number: number, fromMs: number, toMs: number }} Bar
 */

/**
 * The bars of a run. The first may have begun before it, the last may be broken off.
 * @param {[number, number][]} ticks ms and weight, 0 for the first of a bar
 * @param {number} firstBar number of the first one
 * @param {number} lastsMs
 * @returns {Bar[]} at least one
 */
export function barsOf(ticks, firstBar, lastsMs) {
  const lines = ticks.filter(([ms, weight]) => weight === 0 && ms > 0).map(([ms]) => ms);
  const starts = [0, ...lines];
  const bars = starts.map((fromMs, i) => ({ number: firstBar + i, fromMs, toMs: starts[i + 1] ?? lastsMs }));
  return bars.filter((bar, i) => i === 0 || bar.toMs > bar.fromMs);
}

/** @param {Bar[]} bars @param {number} ms @returns {number} place of the bar that holds a moment */
export function barAt(bars, ms) {
  const next = bars.findIndex((bar) => bar.fromMs > ms);
  return Math.max((next < 0 ? bars.length : next) - 1, 0);
}

/**
 * The page a bar stands on: so many bars, which turn all at once.
 * @param {Bar[]} bars
 * @param {number} bar place of a bar
 * @param {number} barsWide
 * @returns {{ first: number, bars: Bar[], fromMs: number, toMs: number }} to where the page would end if it were full
 */
export function pageOf(bars, bar, barsWide) {
  const first = Math.floor(bar / barsWide) * barsWide;
  const onPage = bars.slice(first, first + barsWide);
  const fromMs = onPage[0].fromMs;
  const endMs = onPage[onPage.length - 1].toMs;
  // Bars of a page that is not full are as wide as those before: as the run's longest.
  const usualMs = Math.max(...bars.map((one) => one.toMs - one.fromMs));
  return { first, bars: onPage, fromMs, toMs: Math.max(endMs, onPage.length < barsWide ? fromMs + barsWide * usualMs : endMs) };
}

/**
 * What stood at a moment, of entries that each stand until the next.
 * @template T
 * @param {[number, T][]} entries in order of time
 * @param {number} ms
 * @returns {T | null} null before the first
 */
export function standingAt(entries, ms) {
  let found = null;
  for (const [sinceMs, value] of entries) {
    if (sinceMs > ms) break;
    found = value;
  }
  return found;
}

/**
 * A lane's state at a moment; null before anything could be said of it, which is no verdict that nobody was heard.
 * @param {[number, string][]} states as they changed
 * @param {number} ms
 */
export function stateAt(states, ms) {
  const isUnheard = states.every(([sinceMs, state]) => sinceMs > ms || state === "not-heard");
  const isHeardLater = states.some(([sinceMs, state]) => sinceMs > ms && state !== "not-heard");
  return isUnheard && isHeardLater ? null : (standingAt(states, ms) ?? "not-heard");
}

/** A pitch centre speaks for so long after it was heard, ms: as a reading does in the room. */
const CENTRE_STANDS_MS = 1500;

/** @param {[number, number][]} centres ms and cents @param {number} ms @returns {number | null} */
export function centreAt(centres, ms) {
  const last = standingAt(centres.map(([at, cents]) => [at, /** @type {const} */ ([at, cents])]), ms);
  return last && ms - last[0] <= CENTRE_STANDS_MS ? last[1] : null;
}

/** Who presses twice while it plays wants the bar before: the usual second press comes within this time. Common practice, no source. */
const JUST_PAST_MS = 700;

/** Half speed, and as it was. */
export const SPEEDS = Object.freeze({ half: 0.5, whole: 1 });

export class Playhead {
  /** @param {() => number} nowMs a clock that nobody can set */
  constructor(nowMs) {
    this.nowMs = nowMs;
    this.lastsMs = 0;
    this.speed = SPEEDS.whole;
    this.isPlaying = false;
    this.placeMs = 0;
    this.sinceMs = 0;
  }

  /** Where it is, ms since the run's beginning; never past its end. */
  get ms() {
    const played = this.isPlaying ? (this.nowMs() - this.sinceMs) * this.speed : 0;
    return Math.min(this.placeMs + played, this.lastsMs);
  }

  get isAtEnd() {
    return this.ms >= this.lastsMs;
  }

  /** From the beginning once the end was reached. */
  play() {
    if (this.isAtEnd) this.placeMs = 0;
    this.sinceMs = this.nowMs();
    this.isPlaying = true;
  }

  pause() {
    this.placeMs = this.ms;
    this.isPlaying = false;
  }

  /** @param {number} ms */
  seek(ms) {
    this.placeMs = Math.min(Math.max(ms, 0), this.lastsMs);
    this.sinceMs = this.nowMs();
  }

  /** @param {number} speed */
  setSpeed(speed) {
    this.seek(this.ms);
    this.speed = speed;
  }

  /**
   * To a bar line: back goes to the present one first, unless it was only just passed.
   * @param {Bar[]} bars
   * @param {number} way -1 or 1
   */
  jump(bars, way) {
    const here = barAt(bars, this.ms);
    const isJustPast = this.ms - bars[here].fromMs < (this.isPlaying ? JUST_PAST_MS * this.speed : 1);
    const to = way > 0 ? here + 1 : here - Number(isJustPast);
    if (to >= bars.length) this.seek(this.lastsMs);
    else this.seek(bars[Math.max(to, 0)].fromMs);
  }
}
