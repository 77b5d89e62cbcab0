// What is being practised, on the player's page: open before the music, folded away while it plays. One block of text with two
// places. Knows no room and no music.

import { PageElements } from "./page-elements.js";
import { asSentence } from "./sentence.js";
import { phrase, word } from "./words.js";

export class PlayerExercise extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    this.isPlaying = false;
    this.hasName = false;
    this.hasMore = false;
  }

  /**
   * @typedef {import("./words.js").Phrase} Phrase
   * @param {{ name?: Phrase, part?: Phrase, say?: Phrase, goal?: Phrase, cautions?: Phrase[] } | undefined} brief
   */
  take(brief) {
    const [name, part, say, goal] = [brief?.name, brief?.part, brief?.say, brief?.goal].map(phrase);
    const cautions = (brief?.cautions ?? []).map(phrase);
    this.hasName = name !== "";
    this.hasMore = [part, say, goal, ...cautions].some((text) => text !== "");
    this.text("exercise-name", name);
    this.line("exercise-part", part);
    this.line("exercise-say", asSentence(say));
    this.line("exercise-goal", goal && asSentence(word("play-goal", { goal })));
    const list = this.at("exercise-cautions");
    list.hidden = cautions.length === 0;
    const items = cautions.map((caution) => {
      const item = this.page.createElement("li");
      item.textContent = asSentence(caution);
      return item;
    });
    list.replaceChildren(...items);
    this.show();
  }

  /** @param {boolean} isPlaying */
  musicChanged(isPlaying) {
    this.isPlaying = isPlaying;
    this.show();
  }

  show() {
    const home = this.at(this.isPlaying ? "exercise-more" : "exercise");
    const block = this.at("exercise-block");
    if (block.parentElement !== home) home.append(block);
    this.at("exercise").hidden = this.isPlaying || !this.hasName;
    // A name alone stands in the title while it is played.
    this.at("exercise-more").hidden = !this.isPlaying || !this.hasMore;
  }

  /** @param {string} id @param {string} text */
  line(id, text) {
    this.text(id, text);
    this.at(id).hidden = text === "";
  }
}
