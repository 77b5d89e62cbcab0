// The now rule: one upright line that moves over the raster by itself. Its whole way over a page is handed to the browser at
// once, so that it moves evenly whatever else the page has to do. Knows neither lanes nor room.

/** Pieces in which its way over a beat is told to the browser: a tempo may change within one. */
const BEAT_PIECES = 4;
/** A rule this far from where it should be is put right, ms: less than a pixel at most tempos. */
const OFF_MS = 8;

/**
 * Where the rule stands from now to the end of the page. Pure.
 * @param {object} way
 * @param {import("./raster-geometry.js").PlayTime} way.time
 * @param {number} way.nowUs server time
 * @param {number} way.startBeat left edge of the page
 * @param {number} way.widthBeats
 * @param {number} way.pxPerBeat
 * @param {boolean} way.steps whether it stands on each beat instead of moving
 * @returns {{ us: number, x: number }[]} moments in order
 */
export function rulePath({ time, nowUs, startBeat, widthBeats, pxPerBeat, steps }) {
  const endBeat = startBeat + widthBeats;
  const from = time.beatAt(nowUs);
  const path = [{ us: nowUs, x: ((steps ? Math.floor(from) : from) - startBeat) * pxPerBeat }];
  const pieces = steps ? 1 : BEAT_PIECES;
  for (let beat = Math.floor(from * pieces + 1) / pieces; beat <= endBeat + 1e-9; beat += 1 / pieces) {
    path.push({ us: time.timeOf(beat), x: (beat - startBeat) * pxPerBeat });
  }
  const wide = widthBeats * pxPerBeat;
  return path
    .filter((point, i) => Number.isFinite(point.us) && (i === 0 || point.us > path[i - 1].us))
    .map((point) => ({ us: point.us, x: Math.min(Math.max(point.x, 0), wide) }));
}

export class NowRule {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.element = element;
    /** @type {Animation | null} */
    this.motion = null;
    this.sinceUs = 0;
  }

  /**
   * Sends it on its way.
   * @param {{ us: number, x: number }[]} path
   * @param {boolean} steps
   * @param {number} sinceMs page time of the path's first moment
   */
  follow(path, steps, sinceMs) {
    this.motion?.cancel();
    this.motion = null;
    this.element.hidden = path.length === 0;
    if (path.length === 0) return;
    const [first, last] = [path[0], path[path.length - 1]];
    this.element.style.transform = `translateX(${last.x.toFixed(1)}px)`;
    if (path.length === 1) return;
    const frames = path.map(({ us, x }) => ({
      transform: `translateX(${x.toFixed(1)}px)`,
      offset: (us - first.us) / (last.us - first.us),
      easing: steps ? "steps(1, end)" : "linear",
    }));
    this.motion = this.element.animate(frames, { duration: (last.us - first.us) / 1000, fill: "both" });
    this.motion.startTime = sinceMs;
    this.sinceUs = first.us;
  }

  /**
   * Puts it right where the clocks have been found to differ from what was thought.
   * @param {(serverUs: number) => number} pageMsAt
   */
  keepTime(pageMsAt) {
    if (!this.motion) return;
    const wantedMs = pageMsAt(this.sinceUs);
    if (Math.abs(Number(this.motion.startTime) - wantedMs) > OFF_MS) this.motion.startTime = wantedMs;
  }

  /** Stands still. @param {number} x px, hidden where that is not on the page */
  stand(x) {
    this.motion?.cancel();
    this.motion = null;
    this.element.hidden = !Number.isFinite(x);
    if (Number.isFinite(x)) this.element.style.transform = `translateX(${x.toFixed(1)}px)`;
  }
}
