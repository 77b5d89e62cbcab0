// Every text in English, or in another language, for tests of what the pages say.

import { readFileSync, readdirSync } from "node:fs";
import { takeWords } from "../static/words.js";

/** @param {string} folder below web/words @param {string} tag */
export function speak(folder, tag) {
  const here = new URL(`../words/${folder}/`, import.meta.url);
  takeWords(tag, readdirSync(here).map((file) => readFileSync(new URL(file, here), "utf8")).join("\n"));
}

speak("en", "en-GB");
