// Draws the moving beat mark and the count-in's numbers on the player's page. Where they stand is beat-mark.js's; the now
// rule, on which the mark rides, is the lane's. Knows no socket and no sound.

import { heightAt, WAY_PX } from "./beat-mark.js";
import { prefersStillness } from "./paper.js";

export class BeatView {
  /** @param {Document} page */
  constructor(page) {
    this.mark = /** @type {HTMLElement} */ (page.getElementById("beat-mark"));
    this.spoken = /** @type {HTMLElement} */ (page.getElementById("spoken"));
    this.isStarted = false;
  }

  /**
   * @param {import("./shared-time.js").SharedTime} time
   * @param {() => any} scoreNow the music, or null
   * @param {() => number} countNow a number where the music has none; 0 for none
   */
  start(time, scoreNow, countNow) {
    if (this.isStarted) return;
    this.isStarted = true;
    const frame = () => {
      requestAnimationFrame(frame);
      this.draw(time, scoreNow(), countNow);
    };
    requestAnimationFrame(frame);
  }

  /** @param {import("./shared-time.js").SharedTime} time @param {any} score @param {() => number} countNow */
  draw(time, score, countNow) {
    const beat = score && time.isKnown() ? time.beatAt(time.serverNowUs()) : NaN;
    const span = score?.spans[time.spanAt(beat)];
    this.mark.hidden = !span;
    this.speak(span ? time.spokenAt(Math.floor(beat)) || countNow() : 0);
    if (!span) return;
    // The faster end of a span decides for all of it, so that the movement does not change within.
    const height = prefersStillness() ? 0 : heightAt(beat, Math.max(span.bpm, span.bpm_to ?? 0));
    this.mark.style.transform = `translateY(${(-height * WAY_PX).toFixed(1)}px)`;
  }

  /** @param {number} number 0 for none */
  speak(number) {
    const text = number > 0 ? String(number) : "";
    if (this.spoken.textContent !== text) this.spoken.textContent = text;
  }
}
