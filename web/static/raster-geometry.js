// Where things stand in the raster: pages, rules, marks, floors and densities, as numbers. Pure; draws nothing and knows
// no page. Beats are the score's: beat nought is its first, usually of the count-in.

/** Depth of a full lane, dB: ordinary pulses of 9 dB stand at a little over half. */
export const FULL_LANE_DB = 16;
/** Width of a mark, s: the band "good within 25 ms" to both sides. */
export const MARK_S = 0.05;
/** Width of a slot on the player's page, s: the band "fair within 50 ms" to both sides. */
export const SLOT_S = 0.1;
/** Standard deviation of the bell each pulse adds to the section's density, s. */
export const DENSITY_SIGMA_S = 0.013;
/** The folded density reaches this far to both sides of the tick, s. */
export const FOLD_S = 0.12;

/**
 * What the music asks at one beat and where beats are in server time.
 * @typedef {object} PlayTime
 * @property {(timeUs: number) => number} beatAt
 * @property {(beat: number) => number} timeOf
 * @property {(beat: number) => number} spanAt index of the span, -1 outside the score
 * @property {(beat: number) => number} bpmAt
 * @property {(beat: number) => number} barLineAt beat of the bar line at or before it
 *
 * @typedef {object} Score
 * @property {number} version
 * @property {number} start_us
 * @property {number} beats_per_bar
 * @property {string} [tick] who makes the tick heard: conductor, devices, nobody
 * @property {Span[]} spans
 *
 * @typedef {object} Span
 * @property {number} [length_beats]
 * @property {number} bpm
 * @property {number} [bpm_to]
 * @property {{ kind: string, per_beat?: number }} target
 * @property {string} [note] sounding, of every chair without one of its own
 * @property {{ chair: number, note: string, cents?: number }[]} [notes]
 * @property {number} [cents] where the tuning puts `note`, from equal temperament
 * @property {{ from: string, to: string }} [dynamics]
 * @property {{ from: number, to: number }} [ease] share of the full vibrato at both ends
 * @property {boolean} [loosely] the measure is felt, not kept
 * @property {number[]} [turn] chairs that play, where not all do
 */

/**
 * First beat of the page: so many bars wide, with the present bar as its last.
 * @param {number} barLine beat of the present bar's line
 * @param {number} beatsPerBar
 * @param {number} barsWide
 * @param {number} firstBeat the page never starts before this one
 */
export function pageStart(barLine, beatsPerBar, barsWide, firstBeat = -Infinity) {
  return Math.max(barLine - (barsWide - 1) * beatsPerBar, firstBeat);
}

/**
 * Pulses in a beat at a beat; 0 where none are measured. The count-in has beats alone.
 * @param {Score} score
 * @param {PlayTime} time
 * @param {number} beat
 */
export function perBeatAt(score, time, beat) {
  const span = score.spans[time.spanAt(beat)];
  return span && span.target.kind === "pulses" ? (span.target.per_beat ?? 0) : 0;
}

/**
 * The span of a beat; the first before the score, the last past its end.
 * @param {Score} score
 * @param {PlayTime} time
 * @param {number} beat
 */
export function spanNear(score, time, beat) {
  const i = time.spanAt(Math.max(beat, 0));
  return score.spans[i < 0 ? score.spans.length - 1 : i];
}

/**
 * The first beat after a beat at which another span begins, and that span; null where none is written.
 * @param {Score} score
 * @param {PlayTime} time
 * @param {number} beat
 * @returns {{ beat: number, span: Span } | null}
 */
export function nextSpan(score, time, beat) {
  const here = time.spanAt(Math.max(beat, 0));
  const next = here < 0 ? undefined : score.spans[here + 1];
  if (!next) return null;
  const lengths = score.spans.slice(0, here + 1).map((span) => span.length_beats ?? Infinity);
  return { beat: lengths.reduce((sum, length) => sum + length, 0), span: next };
}

/**
 * @typedef {{ beat: number, kind: "bar" | "beat" | "subdivision", beatInBar: number }} Rule
 */

/**
 * The rules from one beat to another, both included.
 * @param {Score} score
 * @param {PlayTime} time
 * @param {number} fromBeat
 * @param {number} toBeat
 * @returns {Rule[]}
 */
export function rulesBetween(score, time, fromBeat, toBeat) {
  const rules = [];
  for (let beat = Math.ceil(fromBeat - 1e-9); beat <= toBeat + 1e-9; beat += 1) {
    const beatInBar = beat - time.barLineAt(beat);
    rules.push({ beat, kind: beatInBar === 0 ? /** @type {const} */ ("bar") : /** @type {const} */ ("beat"), beatInBar });
    const perBeat = perBeatAt(score, time, beat);
    for (let i = 1; i < perBeat && beat + i / perBeat <= toBeat + 1e-9; i += 1) {
      rules.push({ beat: beat + i / perBeat, kind: /** @type {const} */ ("subdivision"), beatInBar });
    }
  }
  return rules;
}

/**
 * A moment minus the nearest tick of the subdivision, s; null where the score measures no pulses.
 * @param {Score} score
 * @param {PlayTime} time
 * @param {number} timeUs
 */
export function offsetFromTickS(score, time, timeUs) {
  const beat = time.beatAt(timeUs);
  const perBeat = perBeatAt(score, time, beat);
  if (perBeat === 0) return null;
  // The next span may have another tempo: the tick on its first beat is measured in time, not in beats.
  const tick = Math.round(beat * perBeat) / perBeat;
  return (timeUs - time.timeOf(tick)) / 1e6;
}

/**
 * Height of a mark.
 * @param {number} depthDb
 * @param {number} laneHeight height of a full lane, px
 * @returns {{ height: number, isClipped: boolean }}
 */
export function markHeight(depthDb, laneHeight) {
  const height = (Math.max(depthDb, 0) / FULL_LANE_DB) * laneHeight;
  return { height: Math.min(Math.max(height, 1), laneHeight), isClipped: height > laneHeight };
}

/** A tone is taken to sound this long to both sides of a moment at which it was heard, s. */
export const SOUNDS_S = 0.45;
/** The floor is broken this long round a choked valley, s. */
const BREAK_S = 0.1;

/**
 * Stretches of server time in which a lane's tone sounds: the floor is drawn there alone.
 * @param {number[]} heardUs moments at which the tone was heard, in any order
 * @param {{ time_us: number, choked: boolean }[]} pulses in order of time
 * @returns {[number, number][]} from and to, µs, in order and apart from each other
 */
export function floorStretches(heardUs, pulses) {
  const moments = [...heardUs, ...pulses.map((p) => p.time_us)].sort((a, b) => a - b);
  /** @type {[number, number][]} */
  const stretches = [];
  for (const us of moments) {
    const last = stretches[stretches.length - 1];
    if (last && us - last[1] <= SOUNDS_S * 1e6) last[1] = us;
    else stretches.push([us, us]);
  }
  return pulses.reduce(cutValley, stretches).filter(([from, to]) => to > from);
}

/**
 * @param {[number, number][]} stretches
 * @param {{ time_us: number, choked: boolean }} pulse
 * @param {number} i
 * @param {{ time_us: number, choked: boolean }[]} pulses
 * @returns {[number, number][]}
 */
function cutValley(stretches, pulse, i, pulses) {
  if (!pulse.choked || i === 0) return stretches;
  const before = pulses[i - 1].time_us;
  const valley = (before + pulse.time_us) / 2;
  const half = Math.min((BREAK_S / 2) * 1e6, (pulse.time_us - before) / 4);
  return stretches.flatMap(([from, to]) => {
    if (to <= valley - half || from >= valley + half) return [/** @type {[number, number]} */ ([from, to])];
    return /** @type {[number, number][]} */ ([
      [from, valley - half],
      [valley + half, to],
    ]);
  });
}

/**
 * Density of moments: each adds a bell of height one.
 * @param {Iterable<number>} momentsS
 * @param {number} fromS
 * @param {number} toS
 * @param {number} nPoints
 * @param {Float64Array} [into] of so many points, written over: spares the page a new one at every look
 * @returns {Float64Array}
 */
export function density(momentsS, fromS, toS, nPoints, into) {
  const points = into?.length === nPoints ? into.fill(0) : new Float64Array(nPoints);
  const step = (toS - fromS) / Math.max(nPoints - 1, 1);
  // Beyond four standard deviations a bell adds less than 0.0004.
  const reach = 4 * DENSITY_SIGMA_S;
  for (const moment of momentsS) {
    const first = Math.max(Math.ceil((moment - reach - fromS) / step), 0);
    const last = Math.min(Math.floor((moment + reach - fromS) / step), nPoints - 1);
    for (let i = first; i <= last; i += 1) {
      const z = (fromS + i * step - moment) / DENSITY_SIGMA_S;
      points[i] += Math.exp((-z * z) / 2);
    }
  }
  return points;
}

/**
 * The spans that sound between two beats, with where they begin and end.
 * @param {Score} score
 * @param {number} fromBeat
 * @param {number} toBeat
 * @returns {{ span: Span, from: number, to: number }[]}
 */
export function spansBetween(score, fromBeat, toBeat) {
  const found = [];
  let from = 0;
  for (const span of score.spans) {
    const to = from + (span.length_beats ?? Infinity);
    if (from >= toBeat) break;
    if (to > fromBeat) found.push({ span, from, to });
    from = to;
  }
  return found;
}

/** The least height at which a lane still has a name beside its marks, px: in one column, and in two with smaller type. */
export const LEAST_LANE_PX = 28;
export const LEAST_HALF_LANE_PX = 18;

/**
 * How the lanes stand, so that all are seen at once if that is possible: in one column, or in two where one would be too low
 * and the page is wide enough for both. What still does not fit scrolls.
 * @param {number} available height for all lanes, px
 * @param {number} nLanes
 * @param {number} roomy height beyond which a lane does not grow, px
 * @param {boolean} canHalve whether two columns fit beside each other
 * @param {number} [scale] how much larger than usual the type is
 * @returns {{ nColumns: 1 | 2, nRows: number, laneHeight: number }}
 */
export function lanePlaces(available, nLanes, roomy, canHalve, scale = 1) {
  const n = Math.max(nLanes, 1);
  const nColumns = canHalve && available / n < LEAST_LANE_PX * scale ? 2 : 1;
  const nRows = Math.ceil(n / nColumns);
  const least = Math.round((nColumns === 2 ? LEAST_HALF_LANE_PX : LEAST_LANE_PX) * scale);
  return { nColumns, nRows, laneHeight: Math.max(least, Math.min(Math.floor(available / nRows), roomy)) };
}
