// Everything the pages say, in the reader's language: texts by their id, with what fills their gaps. The texts come with the
// page, as a data block; Project Fluent reads them. Knows no room, and of the page only that block.

import { FluentBundle, FluentNumber, FluentResource } from "./fluent/index.js";

/** @typedef {string | { id: string, args?: Record<string, Arg> }} Phrase as the room says it; a text is a person's own */
/** @typedef {string | number | Phrase | Phrase[]} Arg */

/** @type {FluentBundle | null} */
let bundle = null;
let tag = "en-GB";

/**
 * Takes the texts to speak with.
 * @param {string} language tag such as "de"
 * @param {string} source in Fluent's syntax
 */
export function takeWords(language, source) {
  tag = language;
  // Marks around what fills a gap are for languages that are written in both directions.
  bundle = new FluentBundle(language, { useIsolating: false });
  bundle.addResource(new FluentResource(source), { allowOverrides: true });
}

/** The language of the page, as a tag. */
export function language() {
  return tag;
}

/**
 * A text of the catalogue.
 * @param {string} id
 * @param {Record<string, Arg>} [args] numbers are rounded before
 * @returns {string}
 */
export function word(id, args = {}) {
  const pattern = bundle?.getMessage(id)?.value;
  if (!bundle || !pattern) {
    console.error(`no text "${id}"`);
    return id;
  }
  const gaps = Object.fromEntries(Object.entries(args).map(([name, arg]) => [name, gapOf(arg)]));
  return bundle.formatPattern(pattern, gaps, []);
}

/**
 * What the room says, in words.
 * @param {Phrase | undefined | null} said
 * @returns {string}
 */
export function phrase(said) {
  if (said === undefined || said === null) return "";
  return typeof said === "string" ? said : word(said.id, said.args);
}

/** "a, b and c". @param {string[]} items */
export function listed(items) {
  if (items.length < 2) return items.join("");
  return word("list-and", { first: items.slice(0, -1).join(", "), last: items[items.length - 1] });
}

/** Writers of numbers, by language and decimals: to make one takes longer than to write a hundred numbers with it. */
/** @type {Map<string, Intl.NumberFormat>} */
const writers = new Map();

/** A number as the language writes it: 3.2, 3,2. @param {number} number @param {number} [decimals] at least and at most */
export function figure(number, decimals = 0) {
  const key = `${tag} ${decimals}`;
  let writer = writers.get(key);
  if (!writer) {
    const places = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
    writer = new Intl.NumberFormat(tag, { ...places, useGrouping: false });
    writers.set(key, writer);
  }
  return writer.format(number);
}

/** @param {Arg} arg */
function gapOf(arg) {
  if (typeof arg === "number") return new FluentNumber(arg, { useGrouping: false });
  return Array.isArray(arg) ? listed(arg.map(phrase)) : phrase(arg);
}

const block = globalThis.document?.getElementById("words");
if (block) takeWords(block.getAttribute("lang") ?? tag, block.textContent ?? "");
