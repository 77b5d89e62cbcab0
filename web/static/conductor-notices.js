// What the conductor should know or decide about who is who, above the raster: text and one button an answer. The rules are
// the room's; this only draws and sends.

import { phrase, word } from "./words.js";

/** Answers that this page can word; a newer one is shown as it stands. */
const ANSWERS = ["seen", "keep-first", "second-takes-over", "second-is-nickname"];

/**
 * What stands on an answer's button.
 * @param {string} answer
 */
export const answerLabel = (answer) => (ANSWERS.includes(answer) ? word(`answer-${answer}`) : answer);

export class ConductorNotices {
  /**
   * @param {Document} page
   * @param {(command: object) => void} command
   */
  constructor(page, command) {
    this.place = /** @type {HTMLElement} */ (page.getElementById("notices"));
    this.command = command;
    this.shown = "";
  }

  /** @param {{ id: number, text: import("./words.js").Phrase, answers: string[] }[]} notices */
  show(notices) {
    // Drawn only when they change, so that the button under a finger stays.
    const now = JSON.stringify(notices);
    if (now === this.shown) return;
    this.shown = now;
    const page = this.place.ownerDocument;
    this.place.hidden = notices.length === 0;
    this.place.replaceChildren(
      ...notices.map((notice) => {
        const line = page.createElement("li");
        const text = page.createElement("span");
        text.textContent = phrase(notice.text);
        const buttons = notice.answers.map((answer) => {
          const button = page.createElement("button");
          button.type = "button";
          button.textContent = answerLabel(answer);
          button.addEventListener("click", () => this.command({ type: "answer", notice: notice.id, answer }));
          return button;
        });
        line.append(text, ...buttons);
        return line;
      }),
    );
  }
}
