// What each player did in the last minute, gathered from the pictures of the room. It is the page's own: nothing of it is asked
// from the server or kept there, and a page that is loaded again begins with the last bars. Pure; knows no page.

/** How far back it reaches, µs. */
export const MEMORY_US = 60e6;
/** Most pulses and points of a player: eight a second, and four. More than that comes from a device that is wrong. */
const MOST_PULSES = 480;
const MOST_POINTS = 240;
/** A picture holds the last bars, so it is enough to take pulses from one a second, µs. */
const TAKE_EVERY_US = 1e6;

/**
 * @typedef {object} Past
 * @property {{ time_us: number, depth_db: number, choked: boolean }[]} pulses oldest first
 * @property {[number, number][]} tail server time, µs, and cents
 * @property {{ us: number, state: string }[]} states from when on the room said what, oldest first
 */

/**
 * What was known, without what is too old, followed by what a picture tells: what that reaches is the picture's, since a
 * device's delay may have been found out meanwhile.
 * @template T
 * @param {T[]} known
 * @param {T[]} told
 * @param {(item: T) => number} usOf
 * @param {number} nowUs
 * @param {number} most
 */
function joined(known, told, usOf, nowUs, most) {
  const from = told.length > 0 ? usOf(told[0]) : Infinity;
  const before = known.filter((item) => usOf(item) < from && nowUs - usOf(item) <= MEMORY_US);
  return before.concat(told).slice(-most);
}

export class LaneMemory {
  constructor() {
    /** @type {Map<string, Past>} */
    this.players = new Map();
    this.takenUs = -Infinity;
  }

  /** @param {{ time_us: number, lanes: any[] }} snapshot */
  take({ time_us: nowUs, lanes }) {
    const ids = new Set(lanes.map((lane) => lane.player_id));
    for (const id of this.players.keys()) if (!ids.has(id)) this.players.delete(id);
    const isDue = nowUs - this.takenUs >= TAKE_EVERY_US || nowUs < this.takenUs;
    if (isDue) this.takenUs = nowUs;
    for (const lane of lanes) {
      const past = this.of(lane.player_id);
      if (past.states[past.states.length - 1]?.state !== lane.state) past.states.push({ us: nowUs, state: lane.state });
      // The state that was said when the minute began is kept, from its beginning on.
      while (past.states.length > 1 && nowUs - past.states[1].us > MEMORY_US) past.states.shift();
      if (!isDue) continue;
      past.pulses = joined(past.pulses, lane.pulses, (pulse) => pulse.time_us, nowUs, MOST_PULSES);
      past.tail = joined(past.tail, lane.centre_tail, ([us]) => us, nowUs, MOST_POINTS);
    }
  }

  /** @param {string} playerId @returns {Past} */
  of(playerId) {
    let past = this.players.get(playerId);
    if (!past) {
      past = { pulses: [], tail: [], states: [] };
      this.players.set(playerId, past);
    }
    return past;
  }

  /**
   * A player's last minute with what the newest picture tells.
   * @param {any} lane @param {number} nowUs @returns {Past}
   */
  upToNow(lane, nowUs) {
    const past = this.of(lane.player_id);
    return {
      pulses: joined(past.pulses, lane.pulses, (pulse) => pulse.time_us, nowUs, MOST_PULSES),
      tail: joined(past.tail, lane.centre_tail, ([us]) => us, nowUs, MOST_POINTS),
      states: past.states,
    };
  }
}
