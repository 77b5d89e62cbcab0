// A canvas as paper: as sharp as the screen, in the page's colours by role. Knows nothing of what is drawn on it.

/** @typedef {Record<"ink" | "quiet" | "ruleBar" | "ruleBeat" | "ruleSubdivision" | "ahead" | "press" | "ground", string>} Palette */

/**
 * The page's colours now; they change with the system's scheme.
 * @param {Element} element
 * @returns {Palette}
 */
export function readPalette(element) {
  const style = getComputedStyle(element);
  const of = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
  return {
    ink: of("--ink"),
    quiet: of("--quiet"),
    ruleBar: of("--rule-bar"),
    ruleBeat: of("--rule-beat"),
    ruleSubdivision: of("--rule-subdivision"),
    ahead: of("--ahead"),
    press: of("--press"),
    ground: of("--ground"),
  };
}

/**
 * Calls back when colours must be read anew.
 * @param {() => void} changed
 */
export function onSchemeChange(changed) {
  for (const query of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)", "(forced-colors: active)"]) {
    matchMedia(query).addEventListener("change", changed);
  }
}

/** @returns {boolean} */
export function prefersStillness() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}

/**
 * Fits the canvas's pixels to its place on the page and gives a cleared context in CSS pixels.
 * @param {HTMLCanvasElement} canvas
 * @returns {{ context: CanvasRenderingContext2D, width: number, height: number } | null} null where it has no size
 */
export function freshSheet(canvas) {
  const width = canvas.clientWidth;
  const height = canvas.clientHeight;
  const context = canvas.getContext("2d");
  if (!context || width === 0 || height === 0) return null;
  const ratio = window.devicePixelRatio || 1;
  const wide = Math.round(width * ratio);
  const high = Math.round(height * ratio);
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
  }
  context.setTransform(wide / width, 0, 0, high / height, 0, 0);
  context.clearRect(0, 0, width, height);
  return { context, width, height };
}

/** @typedef {{ context: CanvasRenderingContext2D, width: number, height: number }} Sheet in CSS pixels */

/**
 * A canvas that keeps what is drawn on it: set to a size that is known, so that the page's layout is not asked, and cleared
 * by the change alone.
 * @param {HTMLCanvasElement} canvas
 * @param {number} width CSS px
 * @param {number} height CSS px
 * @returns {Sheet | null} null where it has no size
 */
export function keptSheet(canvas, width, height) {
  const context = canvas.getContext("2d");
  if (!context || !(width > 0) || !(height > 0)) return null;
  const ratio = window.devicePixelRatio || 1;
  canvas.width = Math.round(width * ratio);
  canvas.height = Math.round(height * ratio);
  context.setTransform(canvas.width / width, 0, 0, canvas.height / height, 0, 0);
  return { context, width, height };
}
