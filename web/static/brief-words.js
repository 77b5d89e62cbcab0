// What the conductor reads of the plan beside the raster: the present exercise's aim, its rung, a rest's countdown, what comes
// next, and what a suggestion's button says and does. Pure.

import { asSentence } from "./sentence.js";
import { phrase, word } from "./words.js";

/** What a ladder's next rung waits for. */
const WAITS = ["by-itself", "when-matched", "by-hand"];

/**
 * @param {{ number: number, of: number, go_on: string } | undefined} rung
 */
export function rungWords(rung) {
  if (!rung) return "";
  const { number, of } = rung;
  if (number === of) return word("brief-rung-last", { number, of });
  const waits = WAITS.includes(rung.go_on) ? rung.go_on : "by-itself";
  return word("brief-rung", { number, of, waits: word(`brief-goes-on-${waits}`) });
}

/**
 * Whole seconds that a rest still lasts; 0 where there is none.
 * @param {number | undefined} untilUs server time @param {number} nowUs
 */
export const restSeconds = (untilUs, nowUs) => (untilUs === undefined ? 0 : Math.max(0, Math.ceil((untilUs - nowUs) / 1e6)));

/** @param {number} seconds such as "1:05" or "45 s" */
export const countdown = (seconds) =>
  seconds < 60 ? word("seconds-left", { n: seconds }) : `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

/** @param {number} seconds of a rest to come: whole minutes as such */
const restBefore = (seconds) => (seconds % 60 === 0 ? word("minutes-long", { n: seconds / 60 }) : word("seconds-left", { n: seconds }));

/**
 * The line under the say line: cautions and what to tell the players before it begins, only the aim while it is played.
 * @param {any} exercise of the snapshot @param {boolean} isPlaying @param {number} nowUs server time
 * @returns {{ text: string, caution: string, next: string, between: string }}
 */
export function briefWords(exercise, isPlaying, nowUs) {
  const brief = exercise.brief ?? {};
  const [say, goal] = [phrase(brief.say), phrase(brief.goal)];
  const cautions = /** @type {import("./words.js").Phrase[]} */ (brief.cautions ?? []);
  const resting = restSeconds(exercise.rest_until_us, nowUs);
  const next = exercise.next ? word("brief-next", { name: phrase(exercise.next) }) : exercise.plan ? word("brief-last") : "";
  const between = exercise.rest_s && resting === 0 ? word("brief-between", { left: restBefore(exercise.rest_s) }) : "";
  if (resting > 0) return { text: word("brief-rest", { left: countdown(resting) }), caution: "", next, between };
  const rung = rungWords(exercise.rung);
  const aim = [rung, goal].filter(Boolean).map(asSentence);
  if (isPlaying) return { text: aim.join(" "), caution: "", next, between };
  return { text: [...aim, asSentence(say)].filter(Boolean).join(" "), caution: cautions.map((caution) => asSentence(phrase(caution))).join(" "), next, between };
}

/** What a suggestion's button sends. @type {Record<string, object>} */
const STEPS = {
  next: { type: "next" },
  again: { type: "again" },
  slower: { type: "slower" },
  "step-back": { type: "step-back" },
  "down-the-line": { type: "set-turns", turns: "down-the-line" },
  spread: { type: "set-voicing", voicing: "triad" },
  rest: { type: "stop", at: "bar" },
};

/**
 * What a suggestion's button says and sends; nothing to send: the button lets it go.
 * @param {string} step @param {boolean} isPlaying @returns {{ label: string, command: object | null }}
 */
export function stepOf(step, isPlaying) {
  const isDone = step === "rest" && !isPlaying;
  if (isDone || !STEPS[step]) return { label: word("suggestion-all-right"), command: null };
  return { label: word(`suggestion-${step}`), command: STEPS[step] };
}
