// How a stretch of playing was shaped: over how many beats the vibrato grew or faded, and where the loudness turned. Pure; takes
// pulses and levels with their beats, knows neither room nor page.

/** Growing is told from 10 % to 90 % of the full depth (as `windrow measure` tells it). */
const FULL_SHARE = 0.9;
/** Less than this of the way is left when the first pulse is heard: it was switched on. */
const LEAST_SHARE = 0.1;
/** Loudness is a mean over so many beats to both sides: more than a pulse, less than a hairpin. Our own choice. */
const SMOOTH_BEATS = 0.75;
/** A turn of the loudness under this is no hairpin, dB: as `windrow measure` takes it. */
const LEAST_DB = 3;
const FEWEST_PULSES = 4;

/** @typedef {import("./came-to.js").Stretch} Stretch */
/** @typedef {{ grows: boolean, beats: number, of: number }} EaseFound @typedef {{ beat: number, wantedBeat: number, changeDb: number }} TurnFound */

const MARKS = ["pp", "p", "mp", "mf", "f", "ff"];

/**
 * Over how many beats the vibrato grew in the stretch's first growing span, or faded where none grows; null where none is
 * written, or too little was heard.
 * @param {Stretch} stretch @returns {EaseFound | null}
 */
export function easeOf(stretch) {
  const isFromNothing = (/** @type {{ from: number, to: number }} */ { from, to }) => from !== to && Math.min(from, to) <= LEAST_SHARE;
  const spans = placesOf(stretch).filter(({ span }) => span.ease && isFromNothing(span.ease));
  const place = spans.find(({ span }) => grows(span)) ?? spans[0];
  if (!place) return null;
  const isGrowing = grows(place.span);
  const of = place.end - place.start;
  const within = stretch.pulses.filter((pulse) => pulse.beat >= place.start - 0.25 && pulse.beat < place.end);
  if (within.length < FEWEST_PULSES) return null;
  // A fade is a growth that is read backwards.
  const way = within.map(({ beat, depthDb }) => ({ beat: isGrowing ? beat - place.start : place.end - beat, depthDb }));
  way.sort((a, b) => a.beat - b.beat);
  const full = quantile(way.map(({ depthDb }) => depthDb), FULL_SHARE);
  const first = way[0];
  const reached = way.find(({ depthDb }) => depthDb >= FULL_SHARE * full);
  if (!reached || full <= 0) return null;
  const left = FULL_SHARE - first.depthDb / full;
  // On a straight way from nothing, so much of it lies between the first pulse and nine tenths.
  const beats = left < LEAST_SHARE ? 0 : Math.min((reached.beat - first.beat) / left, of);
  return { grows: isGrowing, beats, of };
}

/**
 * Where the loudness turned from rising to falling, counted in beats from the hairpin's beginning, 0 for its first; null where no
 * hairpin is written, or the loudness hardly moved.
 * @param {Stretch} stretch @returns {TurnFound | null}
 */
export function loudnessTurnOf(stretch) {
  const places = placesOf(stretch);
  const up = places.findIndex(({ span }) => louder(span) > 0);
  const down = up < 0 ? -1 : places.findIndex(({ span }, i) => i > up && louder(span) < 0);
  if (down < 0) return null;
  const [from, to] = [places[up].start, places[down].end];
  const heard = stretch.levels.filter(({ beat }) => beat >= from && beat <= to);
  const smooth = heard.map(({ beat }) => {
    const near = heard.filter((other) => Math.abs(other.beat - beat) <= SMOOTH_BEATS);
    return { beat, db: near.reduce((sum, { levelDb }) => sum + levelDb, 0) / near.length };
  });
  if (smooth.length < FEWEST_PULSES) return null;
  const top = smooth.reduce((a, b) => (b.db > a.db ? b : a));
  const changeDb = top.db - Math.min(...smooth.map(({ db }) => db));
  return { beat: top.beat - from, wantedBeat: places[down].start - from, changeDb };
}

/** Whether a hairpin was heard at all. @param {TurnFound} turn */
export const isHairpin = (turn) => turn.changeDb >= LEAST_DB;

/** The spans that were played, with their beats. @param {Stretch} stretch */
function placesOf({ score, parts }) {
  const played = new Set(parts.flatMap((part) => [...part.spanIdxs]));
  let start = 0;
  const places = [];
  for (const [idx, span] of score.spans.entries()) {
    const end = start + (span.length_beats ?? Infinity);
    if (played.has(idx)) places.push({ span, start, end });
    start = end;
  }
  return places;
}

/** @param {import("./raster-geometry.js").Span} span */
const grows = (span) => (span.ease?.from ?? 0) < (span.ease?.to ?? 0);

/** @param {import("./raster-geometry.js").Span} span above nought where it gets louder */
const louder = ({ dynamics }) => (dynamics ? MARKS.indexOf(dynamics.to) - MARKS.indexOf(dynamics.from) : 0);

/** @param {number[]} values @param {number} share */
function quantile(values, share) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(Math.floor(share * sorted.length), sorted.length - 1)];
}
