// In which order the lanes stand: as the players sit, or whoever needs a word first. Pure; knows no page.

/**
 * States in the order in which a teacher turns to them, as the room chooses its say line (room/src/sayings.rs, urgency):
 * how the pulse is made, whether there is one, its measure, its size, then pitch and the finer timing. After them what is
 * no fault of the player's but keeps a verdict away, then what is well.
 */
const RANKS = [
  ["choked-valleys"],
  ["pitch-led"],
  ["straight"],
  ["uneven"],
  ["fast", "slow"],
  ["shallow"],
  ["drifting-sharp", "drifting-flat"],
  ["sharp", "flat"],
  ["early", "late"],
  ["not-heard", "blended"],
  ["matched"],
  ["resting"],
  ["away"],
];

/** @type {Map<string, number>} */
const RANK = new Map(RANKS.flatMap((states, rank) => states.map((state) => /** @type {[string, number]} */ ([state, rank]))));

/** How soon a state wants a word: smaller is sooner. @param {string} state */
export const rankOf = (state) => RANK.get(state) ?? RANKS.length;

/** Fingers and pointers hold the order for so long after they were last seen on the lanes, ms. */
const HELD_MS = 3000;

/** @typedef {"seated" | "worst-first"} Order */

/**
 * Keeps the order of the lanes: worst first is sorted anew at bar lines alone, and never under a finger.
 */
export class LaneOrder {
  constructor() {
    /** @type {Order} */
    this.order = "seated";
    /** @type {string[]} players from the first lane to the last, where the order is not the chairs' */
    this.ids = [];
    this.bar = NaN;
    this.touchedMs = -Infinity;
  }

  /** @param {Order} order */
  choose(order) {
    this.order = order;
    this.ids = [];
    this.bar = NaN;
  }

  /** A finger or a pointer is on the lanes. @param {number} nowMs */
  touched(nowMs) {
    this.touchedMs = nowMs;
  }

  /**
   * @template {{ player_id: string, state: string }} T
   * @param {T[]} lanes in chair order
   * @param {number} bar the present one, by its bar line; NaN where no music runs
   * @param {number} nowMs
   * @returns {T[]}
   */
  of(lanes, bar, nowMs) {
    if (this.order === "seated") return lanes;
    const isDue = this.ids.length === 0 || (!Object.is(bar, this.bar) && nowMs - this.touchedMs > HELD_MS);
    if (isDue) {
      this.bar = bar;
      // Equal ones stay as they sit.
      const sorted = lanes.map((lane, i) => ({ lane, i })).sort((a, b) => rankOf(a.lane.state) - rankOf(b.lane.state) || a.i - b.i);
      this.ids = sorted.map(({ lane }) => lane.player_id);
    }
    const places = new Map(this.ids.map((id, i) => [id, i]));
    // Whoever has come since stands last until the next bar line.
    const place = (/** @type {T} */ lane) => places.get(lane.player_id) ?? this.ids.length;
    return lanes.map((lane, i) => ({ lane, i })).sort((a, b) => place(a.lane) - place(b.lane) || a.i - b.i).map(({ lane }) => lane);
  }
}
