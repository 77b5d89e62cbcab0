// Which one thing the conductor is told to say, to whom, and how often the line may change. Pure; knows no page.

import { unmeasuredWord } from "./capture-words.js";
import { lookOf } from "./states.js";
import { phrase, word } from "./words.js";

/** Where no music runs there are no bars; the line may then change this often, ms. */
const WITHOUT_BARS_MS = 3000;

/**
 * @typedef {{ playerId: string | null, also?: string[], text: string, isHint: boolean }} Said `also` names others whom it is meant for
 */

/** States in which there is something to say to a player; the room has the same. */
const TO_SAY = new Set([
  "choked-valleys", "pitch-led", "straight", "uneven", "fast", "slow", "shallow", "drifting-sharp", "drifting-flat", "sharp", "flat", "early", "late",
]);
/** So far off it is another note, cents: as in the room. */
const OTHER_NOTE_CENTS = 75;

/**
 * What to say to one player, as the room would; how it stands where there is nothing to act on.
 * @param {any} lane @param {{ kind: string, per_beat?: number } | undefined} target
 */
export function sayTo(lane, target) {
  const { name, state } = lane;
  const isPitch = state === "sharp" || state === "flat";
  if (isPitch && Math.abs(lane.centre_cents ?? 0) > OTHER_NOTE_CENTS) return word("say-other-note", { name });
  if (state === "uneven" && target?.kind === "straight") return word("say-uneven-straight", { name });
  if (TO_SAY.has(state)) {
    const count = target?.kind === "pulses" ? word("count-to-the-beat", { n: target.per_beat ?? 1 }) : word("count-none");
    return word(`say-${state}`, { name, count });
  }
  const [as, evidence] = [unmeasuredWord(lane) || lookOf(state).word, phrase(lane.evidence)];
  if (unmeasuredWord(lane) || evidence === "") return word("say-chosen", { name, state: as });
  return word("say-chosen-with", { name, state: as, evidence });
}

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
    return { playerId: chosen.player_id, text: sayTo(chosen, snapshot.settings?.target), isHint: false };
  }
  if (say) return { playerId: say.player_id, also: say.also ?? [], text: phrase(say.text), isHint: false };
  if (score) {
    const measured = lanes.filter((/** @type {any} */ lane) => unmeasuredWord(lane) === "");
    const isAllMatched = measured.length > 0 && measured.every((/** @type {any} */ lane) => lane.state === "matched");
    const text = word(measured.length === lanes.length ? "say-all-matched" : "say-all-measured-matched");
    return { playerId: null, text: isAllMatched ? text : "", isHint: true };
  }
  const rest = snapshot.exercise?.rest_until_us;
  if (rest !== undefined && rest > snapshot.time_us) return { playerId: null, text: word("say-all-rest"), isHint: true };
  const n = lanes.length;
  return { playerId: null, text: n === 0 ? "" : word("say-players-in", { n }), isHint: true };
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
