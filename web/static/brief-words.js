// What the conductor reads of the plan beside the raster: the present exercise's aim, its rung, a rest's countdown, what comes
// next, and what a suggestion's button says and does. Pure.

import { asSentence } from "./sentence.js";

/** What a ladder's next rung waits for, in words. @type {Record<string, string>} */
const GOES_ON = { "by-itself": "goes on by itself", "when-matched": "goes on when matched", "by-hand": "goes on when you press Go on" };

/**
 * @param {{ number: number, of: number, go_on: string } | undefined} rung
 */
export function rungWords(rung) {
  if (!rung) return "";
  const place = `rung ${rung.number} of ${rung.of}`;
  return rung.number === rung.of ? `${place}, the last` : `${place}, ${GOES_ON[rung.go_on] ?? GOES_ON["by-itself"]}`;
}

/**
 * Whole seconds that a rest still lasts; 0 where there is none.
 * @param {number | undefined} untilUs server time @param {number} nowUs
 */
export const restSeconds = (untilUs, nowUs) => (untilUs === undefined ? 0 : Math.max(0, Math.ceil((untilUs - nowUs) / 1e6)));

/** @param {number} seconds such as "1:05" or "45 s" */
export const countdown = (seconds) => (seconds < 60 ? `${seconds} s` : `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`);

/**
 * The line under the say line: cautions and what to tell the players before it begins, only the aim while it is played.
 * @param {any} exercise of the snapshot @param {boolean} isPlaying @param {number} nowUs server time
 * @returns {{ text: string, caution: string, next: string }}
 */
export function briefWords(exercise, isPlaying, nowUs) {
  const { say = "", goal = "", cautions = [] } = exercise.brief ?? {};
  const resting = restSeconds(exercise.rest_until_us, nowUs);
  const next = exercise.next ? `Next: ${exercise.next}` : exercise.plan ? "The last exercise" : "";
  if (resting > 0) return { text: `Rest, ${countdown(resting)}`, caution: "", next };
  const rung = rungWords(exercise.rung);
  const aim = [rung, goal].filter(Boolean).map(asSentence);
  if (isPlaying) return { text: aim.join(" "), caution: "", next };
  return { text: [...aim, asSentence(say)].filter(Boolean).join(" "), caution: cautions.map(asSentence).join(" "), next };
}

/** What a suggestion's button says and sends; nothing to send: the button lets it go. @type {Record<string, { label: string, command: object | null }>} */
const STEPS = {
  next: { label: "Next", command: { type: "next" } },
  again: { label: "Again", command: { type: "again" } },
  slower: { label: "Slower", command: { type: "slower" } },
  "step-back": { label: "Step back", command: { type: "step-back" } },
  "down-the-line": { label: "Down the line", command: { type: "set-turns", turns: "down-the-line" } },
  spread: { label: "Spread over a triad", command: { type: "set-voicing", voicing: "triad" } },
  rest: { label: "Rest now", command: { type: "stop", at: "bar" } },
};

/** @param {string} step @param {boolean} isPlaying @returns {{ label: string, command: object | null }} */
export function stepOf(step, isPlaying) {
  if (step === "rest" && !isPlaying) return { label: "All right", command: null };
  return STEPS[step] ?? { label: "All right", command: null };
}
