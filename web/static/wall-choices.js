// How the room is shown to everyone: what stands for a player, whether states are counted, how large it is. Kept by this browser,
// so that the conductor's page and a wall in a window of its own have the same. Knows no room.

import { keep, recall } from "./kept.js";
import { phrase } from "./words.js";

/** @typedef {"parts" | "initials" | "chairs"} Labels */

/** @type {Labels[]} */
export const LABELS = ["parts", "initials", "chairs"];

/**
 * The shortest beginnings of names that tell the players apart, up to three letters; equal ones get their chairs.
 * @param {{ name: string, chair: number }[]} lanes
 * @returns {Map<number, string>} by chair
 */
export function initialsOf(lanes) {
  const letters = (/** @type {string} */ name, /** @type {number} */ n) => [...name].slice(0, n).join("");
  return new Map(
    lanes.map(({ name, chair }) => {
      for (let n = 1; n <= 3; n += 1) {
        const own = letters(name, n);
        if (lanes.every((other) => other.chair === chair || letters(other.name, n) !== own)) return [chair, own];
      }
      return [chair, `${letters(name, 1)} ${chair}`];
    }),
  );
}

export class WallChoices {
  /** @param {() => void} changed also when another window of this browser has chosen */
  constructor(changed) {
    this.changed = changed;
    window.addEventListener("storage", (event) => {
      if (event.key === null || event.key.startsWith("windrow-wall-") || event.key === "windrow-distance") changed();
    });
  }

  /** @returns {Labels} */
  get labels() {
    const kept = /** @type {Labels} */ (recall("wall-labels"));
    return LABELS.includes(kept) ? kept : "parts";
  }

  set labels(labels) {
    keep("wall-labels", labels);
    this.changed();
  }

  get isTallied() {
    return recall("wall-tally") !== "off";
  }

  set isTallied(isTallied) {
    keep("wall-tally", isTallied ? "on" : "off");
    this.changed();
  }

  /** Whether all is a quarter larger, for whoever stands further off. */
  get isFar() {
    return recall("distance") === "far";
  }

  set isFar(isFar) {
    keep("distance", isFar ? "far" : "near");
    this.changed();
  }

  nextLabels() {
    this.labels = LABELS[(LABELS.indexOf(this.labels) + 1) % LABELS.length];
  }

  /**
   * What stands for each player.
   * @param {any[]} lanes
   * @returns {(lane: any) => string}
   */
  labelsOf(lanes) {
    if (this.labels === "chairs") return (lane) => String(lane.chair);
    if (this.labels === "parts") return (lane) => phrase(lane.part);
    const initials = initialsOf(lanes);
    return (lane) => initials.get(lane.chair) ?? "";
  }
}
