// What a score asks, in words: its title, what the player does, where in it one is. Pure; the words are the protocol's.

const PER_BEAT_WORDS = ["", "Quarters", "Eighths", "Triplets", "Sixteenths", "Quintuplets", "Sextuplets", "Septuplets", "Thirty-seconds"];

/** @typedef {{ bpm: number, target: { kind: string, per_beat?: number } }} SpanAsked */

/** @param {SpanAsked} span */
export function titleOf(span) {
  const bpm = Math.round(span.bpm * 10) / 10;
  switch (span.target.kind) {
    case "pulses":
      return `${PER_BEAT_WORDS[span.target.per_beat ?? 0] ?? "Pulses"} at ${bpm}`;
    case "straight":
      return `Straight at ${bpm}`;
    case "rest":
      return "Rest";
    default:
      return `Free at ${bpm}`;
  }
}

/** @param {SpanAsked} span */
export function askOf(span) {
  switch (span.target.kind) {
    case "pulses":
      return span.target.per_beat === 1 ? "1 on the beat" : `${span.target.per_beat} to the beat`;
    case "straight":
      return "straight tone";
    case "rest":
      return "rest";
    default:
      return "as you like";
  }
}

/**
 * Where in the music a beat is.
 * @param {number} beat
 * @param {number} beatsPerBar
 * @param {number} countInBeats
 */
export function placeOf(beat, beatsPerBar, countInBeats) {
  if (beat >= 0) return `bar ${Math.floor(beat / beatsPerBar) + 1}`;
  return beat >= -countInBeats ? "counting in" : "about to start";
}

/** @param {number | undefined | null} cents with sign, a true minus and no decimals */
export function centsText(cents) {
  if (cents === undefined || cents === null) return "";
  const whole = Math.round(cents);
  if (whole === 0) return "0";
  return whole > 0 ? `+${whole}` : `\u2212${-whole}`;
}
