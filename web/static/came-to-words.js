// What a stretch of playing came to, in words: one number with its unit, of what it speaks, one sentence with one thing to do. The
// number is the one that matters for what was asked and for what there is to change. Pure; knows no page.

import { isHairpin } from "./came-to-shape.js";
import { centsText, titleOf } from "./exercise-words.js";
import { figure, word } from "./words.js";

/** Growing over less than half of the beats was a switch rather than a growth. Our own choice. */
const EASED_SHARE = 0.5;
/** A hairpin whose loudest moment lies within a beat of the written one turned there. Our own choice. */
const TURN_BEATS = 1;

/**
 * @typedef {{ number: string, unit: string, about: string, sentence: string, shape: string }} CameToWords
 * @typedef {import("./came-to.js").Outcome} Outcome
 */

/** States that are told by a sentence alone. */
const WITHOUT_NUMBER = new Set(["unmeasured", "not-heard", "blended"]);

/** @param {Outcome} outcome @param {boolean} isCalibrated whether early and late are meant absolutely @returns {CameToWords} */
export function cameToWords(outcome, isCalibrated) {
  const { state, part, ease, turn } = outcome;
  const about = titleOf(part.span);
  const shape = state === "unmeasured" || state === "unknown" ? "not-heard" : state;
  if (WITHOUT_NUMBER.has(state)) return { number: word(`came-state-${state}`), unit: "", about, sentence: word(`came-${state}`), shape };
  if (turn) return { ...turnWords(turn), about, shape };
  if (ease) return { ...easeWords(ease), about, shape };
  const [number, unit] = measureWords(outcome, isCalibrated);
  return { number, unit, about, sentence: word(sentenceOf(outcome)), shape };
}

/** @param {Outcome} outcome @returns {string} id */
function sentenceOf({ state, part }) {
  const isStraight = part.span.target.kind === "straight";
  if (isStraight && state === "matched") return "came-matched-straight";
  if (isStraight && state === "uneven") return "came-uneven-straight";
  return state === "matched" && part.span.target.kind === "free" ? "came-matched-free" : `came-${state}`;
}

/** One decimal, none where it is nought. @param {number} value */
const tenths = (value) => figure(value, Math.round(value * 10) % 10 === 0 ? 0 : 1);

/**
 * The one number, and its unit; both empty where the device has none.
 * @param {Outcome} outcome @param {boolean} isCalibrated @returns {[number: string, unit: string]}
 */
function measureWords({ state, part, result, onTicks, stretch }, isCalibrated) {
  const { span } = part;
  const { kind, per_beat: perBeat } = span.target;
  /** @type {[string, string]} */
  const none = ["", ""];
  const has = (/** @type {unknown} */ value) => value !== undefined && value !== null;
  switch (state) {
    case "sharp":
    case "flat":
    case "drifting-sharp":
    case "drifting-flat":
      return has(result?.centre_cents) ? [centsText(result.centre_cents), word("came-cents")] : none;
    case "pitch-led":
      return has(result?.swing_cents_pp) ? [figure(Math.round(result.swing_cents_pp)), word("came-swing")] : none;
    case "shallow":
      return has(result?.depth_db_pp) ? [tenths(result.depth_db_pp), word("came-depth")] : none;
    case "choked-valleys": {
      const { pulses } = stretch;
      const broken = pulses.filter(({ choked }) => choked).length;
      return broken > 0 ? [figure(broken), word("came-broke", { of: pulses.length })] : none;
    }
    case "early":
    case "late": {
      const ms = result?.timing_ms;
      if (isCalibrated && has(ms)) return [figure(Math.abs(Math.round(ms))), word(ms < 0 ? "came-ms-early" : "came-ms-late")];
      return onTicks ? [figure(onTicks.hit), word("came-on-ticks", { of: onTicks.of })] : none;
    }
    case "straight":
      return [figure(result?.n_pulses ?? 0), word("came-pulses", { n: result?.n_pulses ?? 0 })];
  }
  if (kind === "straight") {
    if (state === "uneven" && has(result?.depth_db_pp)) return [tenths(result.depth_db_pp), word("came-wobble")];
    return has(result?.centre_cents) ? [centsText(result.centre_cents), word("came-cents")] : none;
  }
  if (state === "uneven" && has(result?.evenness_cv)) return [figure(Math.round(result.evenness_cv * 100)), word("came-uneven-by")];
  if (state === "matched" && onTicks) return [figure(onTicks.hit), word("came-on-ticks", { of: onTicks.of })];
  if (!has(result?.pulse_rate_hz)) return none;
  if (!perBeat) return [tenths(result.pulse_rate_hz), word("came-rate")];
  // In the middle of a tempo that is on its way.
  const bpm = span.bpm_to === undefined ? span.bpm : (span.bpm + span.bpm_to) / 2;
  return [figure((result.pulse_rate_hz * 60) / bpm, 1), word("came-to-the-beat", { asked: perBeat })];
}

/** @param {import("./came-to-shape.js").EaseFound} ease */
function easeWords({ grows, beats, of }) {
  const isEased = beats >= EASED_SHARE * of;
  const sentence = isEased ? word(grows ? "came-grew" : "came-faded") : word(grows ? "came-grow-slower" : "came-fade-slower", { of });
  return { number: figure(Math.round(beats)), unit: word(grows ? "came-beats-growing" : "came-beats-fading", { of }), sentence };
}

/** @param {import("./came-to-shape.js").TurnFound} turn */
function turnWords(turn) {
  if (!isHairpin(turn)) {
    return { number: figure(Math.round(turn.changeDb)), unit: word("came-louder"), sentence: word("came-hairpin-more") };
  }
  const [beat, wanted] = [Math.floor(turn.beat) + 1, Math.round(turn.wantedBeat) + 1];
  const isThere = Math.abs(turn.beat - turn.wantedBeat) <= TURN_BEATS;
  const sentence = isThere
    ? word("came-turn-there")
    : word(turn.beat < turn.wantedBeat ? "came-turn-early" : "came-turn-late", { beat: wanted });
  return { number: word("came-beat", { beat }), unit: word("came-loudest", { beat: wanted }), sentence };
}
