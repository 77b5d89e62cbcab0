// The rehearsal's strip: draws what each field shows into the table that came with the page, and lets the arrow keys go from
// field to field. Knows no socket and no rule of a rehearsal.

import { FIELD_HEIGHT, FIELD_WIDTH, fieldPaths, foldPath } from "./results-fields.js";
import { drawShape } from "./states.js";

const SVG = "http://www.w3.org/2000/svg";

/** States that need no shape: what is right is plain. */
const PLAIN = "matched";

/** More than these on one sheet of paper are drawn closer. */
const MANY_RUNS = 9;
const MANY_PLAYERS = 12;

/**
 * Draws every field of a strip.
 * @param {Element} place the element that holds the strip
 * @param {any} review as it came from the server
 */
export function drawStrip(place, review) {
  const glances = new Map(review.runs.map((/** @type {any} */ glance) => [String(glance.number), glance]));
  for (const field of place.querySelectorAll("a.field")) drawField(/** @type {HTMLElement} */ (field), glances);
  for (const cell of place.querySelectorAll("td.fold")) {
    const glance = glances.get(/** @type {HTMLElement} */ (cell).dataset.run ?? "");
    const d = glance ? foldPath(glance.fold) : "";
    if (d === "") continue;
    cell.prepend(picture([["fold-tick", `M${FIELD_WIDTH / 2} 0V${FIELD_HEIGHT}`], ["fold-area", d]]));
  }
  for (const table of place.querySelectorAll("table.strip")) {
    const [nRuns, nPlayers] = ["th.column", "tbody tr"].map((what) => table.querySelectorAll(what).length);
    const place = /** @type {HTMLElement} */ (table.parentElement);
    place.style.setProperty("--n-runs", String(nRuns));
    place.style.setProperty("--n-players", String(nPlayers));
    Object.assign(/** @type {HTMLElement} */ (table).dataset, { drawn: "true", many: nRuns > MANY_RUNS, large: nPlayers > MANY_PLAYERS });
  }
  oneStop(fieldsOf(place), null);
}

/** @param {HTMLElement} field @param {Map<string, any>} glances */
function drawField(field, glances) {
  const state = field.dataset.state ?? "";
  const glance = glances.get(field.dataset.run ?? "");
  const lane = glance?.lanes.find((/** @type {any} */ one) => one.player_id === field.dataset.player);
  const bar = lane && glance.bars[lane.bar];
  const hasPlayed = state !== "resting" && state !== "away";
  field.dataset.plays = String(Boolean(glance?.has_replay));
  if (bar && hasPlayed) {
    const paths = fieldPaths(lane, bar);
    field.prepend(picture([["ticks", paths.ticks], ["floor", paths.floor], ["hollow", paths.hollow], ["marks", paths.own]]));
  }
  if (state === PLAIN) return;
  const shape = document.createElementNS(SVG, "svg");
  shape.setAttribute("class", "shape");
  drawShape(shape, state);
  field.append(shape);
}

/** @param {[string, string][]} paths class and path of each */
function picture(paths) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "picture");
  svg.setAttribute("viewBox", `0 0 ${FIELD_WIDTH} ${FIELD_HEIGHT}`);
  svg.setAttribute("preserveAspectRatio", "none");
  svg.setAttribute("aria-hidden", "true");
  for (const [name, d] of paths.filter(([, d]) => d !== "")) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", name);
    path.setAttribute("d", d);
    svg.append(path);
  }
  return svg;
}

/** @param {Element} place @returns {HTMLElement[][]} rows of fields, gaps left out */
function fieldsOf(place) {
  const rows = [...place.querySelectorAll("table.strip tbody tr")];
  return rows.map((row) => [.../** @type {NodeListOf<HTMLElement>} */ (row.querySelectorAll("a.field"))]);
}

/**
 * One field is reached by Tab, all others by the arrow keys.
 * @param {HTMLElement[][]} rows
 * @param {HTMLElement | null} chosen the first one where there is none
 */
function oneStop(rows, chosen) {
  const stop = chosen ?? rows.flat()[0];
  for (const field of rows.flat()) field.tabIndex = field === stop ? 0 : -1;
}

/**
 * The field an arrow key leads to.
 * @template T
 * @param {(T | null)[][]} grid rows of columns, null where a player was not in
 * @param {T} from
 * @param {string} key
 * @returns {T | null} null where there is none that way
 */
export function fieldTowards(grid, from, key) {
  const row = grid.findIndex((line) => line.includes(from));
  const column = grid[row]?.indexOf(from) ?? -1;
  if (column < 0) return null;
  const line = grid[row];
  const first = (/** @type {(T | null)[]} */ way) => way.find((field) => field !== null) ?? null;
  switch (key) {
    case "ArrowRight":
      return first(line.slice(column + 1));
    case "ArrowLeft":
      return first(line.slice(0, column).reverse());
    case "ArrowDown":
      return first(grid.slice(row + 1).map((other) => other[column]));
    case "ArrowUp":
      return first(grid.slice(0, row).map((other) => other[column]).reverse());
    case "Home":
      return first(line);
    case "End":
      return first([...line].reverse());
    default:
      return null;
  }
}

/** @param {Element} place @returns {(HTMLElement | null)[][]} */
function gridOf(place) {
  const rows = [...place.querySelectorAll("table.strip tbody tr")];
  return rows.map((row) => [...row.querySelectorAll("td:not(.needs)")].map((cell) => /** @type {HTMLElement | null} */ (cell.querySelector("a.field"))));
}

/**
 * Opens fields and moves between them; `place` stays while what is in it is replaced.
 * @param {Element} place
 * @param {(run: number, playerId: string) => void} open
 */
export function wireStrip(place, open) {
  place.addEventListener("click", (event) => {
    const field = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("a.field"));
    if (!field) return;
    event.preventDefault();
    oneStop(fieldsOf(place), field);
    open(Number(field.dataset.run), field.dataset.player ?? "");
  });
  place.addEventListener("keydown", (event) => {
    const { key, target, altKey, ctrlKey, metaKey } = /** @type {KeyboardEvent} */ (event);
    const field = /** @type {HTMLElement | null} */ (/** @type {Element} */ (target).closest("a.field"));
    if (!field || altKey || ctrlKey || metaKey) return;
    const next = fieldTowards(gridOf(place), field, key);
    if (!next) return;
    event.preventDefault();
    oneStop(fieldsOf(place), next);
    next.focus();
  });
}
