// Which one thing the conductor is told to say, to whom, and how often the line may change. Pure; knows no page.

import { unmeasuredWord } from "./capture-words.js";
import { lookOf } from "./states.js";

/** Where no music runs there are no bars; the line may then change this often, ms. */
const WITHOUT_BARS_MS = 3000;

/**
 * @typedef {{ playerId: string | null, text: string, isHint: boolean }} Said
 */

/**
 * What the line should say now.
 * @param {any} snapshot of the room
 * @param {string | null} chosenId the player the conductor chose, or null for the room's own choice
 * @returns {Said}
 */
export function whatToSay(snapshot, chosenId) {
  const { lanes, say, score } = snapshot;
  const chosen = lanes.find((/** @type {any} */ lane) => lane.player_id === chosenId);
  if (chosen && chosen.player_id !== say?.player_id) {
    const evidence = chosen.evidence ? `, ${chosen.evidence}` : "";
    const words = unmeasuredWord(chosen) || `${lookOf(chosen.state).word}${evidence}`;
    return { playerId: chosen.player_id, text: `${chosen.name}: ${words}`, isHint: false };
  }
  if (say) return { playerId: say.player_id, text: say.text, isHint: false };
  if (score) {
    const measured = lanes.filter((/** @type {any} */ lane) => unmeasuredWord(lane) === "");
    const isAllMatched = measured.length > 0 && measured.every((/** @type {any} */ lane) => lane.state === "matched");
    const who = measured.length === lanes.length ? "Everyone" : "Everyone who is measured";
    return { playerId: null, text: isAllMatched ? `${who} is matched.` : "", isHint: true };
  }
  const rest = snapshot.exercise?.rest_until_us;
  if (rest !== undefined && rest > snapshot.time_us) return { playerId: null, text: "Everybody rests. Start begins the next one at once.", isHint: true };
  const n = lanes.length;
  const who = n === 1 ? "One player is in." : `${n} players are in.`;
  return { playerId: null, text: n === 0 ? "" : `${who} Start counts them in.`, isHint: true };
}

/** Lets the line change at most once a bar, so that it can be read and is not read out without end. */
export class SayLine {
  constructor() {
    /** @type {Said} */
    this.shown = { playerId: null, text: "", isHint: true };
    this.bar = NaN;
    this.changedMs = -Infinity;
  }

  /**
   * @param {Said} wanted
   * @param {number} bar number of the present bar; NaN where no music runs
   * @param {number} nowMs
   * @param {boolean} isChosen the conductor has just chosen: shows at once
   */
  update(wanted, bar, nowMs, isChosen) {
    const isSame = wanted.text === this.shown.text && wanted.playerId === this.shown.playerId;
    const isNewBar = Number.isNaN(bar) ? nowMs - this.changedMs >= WITHOUT_BARS_MS : bar !== this.bar;
    if (!isSame && (isChosen || isNewBar || this.shown.isHint)) {
      this.shown = wanted;
      this.bar = bar;
      this.changedMs = nowMs;
    }
    return this.shown;
  }
}
