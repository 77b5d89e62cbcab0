// "What is stored about me": asks with the device's token in a header, shows the answer in words, downloads, erases.

import { instrumentName, partName } from "./instrument-names.js";
import { forget, recall } from "./kept.js";
import { language, word } from "./words.js";

const HEADER = "x-windrow-device";

/** A day where the reader is. @param {string} date by RFC 3339 */
export const dayInWords = (date) => new Intl.DateTimeFormat(language(), { dateStyle: "long" }).format(new Date(date));

/**
 * One session in a line.
 * @param {{ date: string, section: string, name: string, n_pulses: number, n_spans: number }} session
 */
export const sessionInWords = (session) =>
  word("mine-session", {
    date: dayInWords(session.date),
    section: session.section,
    name: session.name,
    pulses: word("mine-pulses", { n: session.n_pulses }),
    results: word("mine-results", { n: session.n_spans }),
  });

/**
 * What was measured, counted.
 * @param {{ n_pulses: number, n_spans: number, sessions: unknown[] }} mine
 */
export const measuredInWords = (mine) =>
  word("mine-measured-in", {
    pulses: word("mine-pulses", { n: mine.n_pulses }),
    results: word("mine-results", { n: mine.n_spans }),
    sessions: word("mine-sessions", { n: mine.sessions.length }),
  });

/**
 * The devices in words.
 * @param {{ last_in: string, is_this_one: boolean }[]} devices
 */
export function devicesInWords(devices) {
  const others = devices.filter((d) => !d.is_this_one).map((d) => word("mine-other-device", { date: dayInWords(d.last_in) }));
  return [devices.some((d) => d.is_this_one) ? word("mine-this-device") : "", ...others].filter(Boolean).join("; ");
}

/** @param {Document} page */
export function start(page) {
  const at = (/** @type {string} */ id) => /** @type {HTMLElement} */ (page.getElementById(id));
  const token = recall("device-token") ?? "";
  const ask = (/** @type {string} */ path) =>
    fetch(path, { method: "POST", headers: { [HEADER]: token }, cache: "no-store", referrerPolicy: "no-referrer" });
  const trouble = (/** @type {string} */ text) => {
    at("trouble").textContent = text;
    at("trouble").hidden = text === "";
  };
  const show = (/** @type {any} */ mine) => {
    const words = {
      name: mine.name,
      instrument: mine.instrument ? instrumentName(mine.instrument) : "",
      part: mine.part ? partName(mine.part, mine.instrument) : word("mine-no-part"),
      section: mine.section || word("mine-no-section"),
      devices: devicesInWords(mine.devices),
      measured: measuredInWords(mine),
      "keep-days": String(mine.keep_days),
    };
    for (const [id, text] of Object.entries(words)) at(id).textContent = text;
    at("not-all").hidden = mine.is_all;
    at("sessions").replaceChildren(
      ...mine.sessions.map((/** @type {any} */ session) => {
        const line = page.createElement("li");
        line.textContent = sessionInWords(session);
        return line;
      }),
    );
    at("sure-text").textContent = word(mine.is_all ? "mine-sure-all" : "mine-sure-device");
    at("stored").hidden = false;
  };
  const load = async () => {
    const answer = token ? await ask("/mine/summary.json") : null;
    if (answer?.ok) return show(await answer.json());
    if (answer && answer.status !== 404) return trouble(word("mine-busy"));
    at("nothing").hidden = false;
  };
  at("download").addEventListener("click", async () => {
    const answer = await ask("/mine/all.json");
    if (!answer.ok) return trouble(word("mine-not-fetched"));
    const link = page.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(await answer.json(), null, 1)], { type: "application/json" }));
    link.download = "windrow-my-data.json";
    link.click();
    URL.revokeObjectURL(link.href);
  });
  at("erase").addEventListener("click", () => {
    at("sure").hidden = false;
    at("keep").focus();
  });
  at("keep").addEventListener("click", () => {
    at("sure").hidden = true;
    at("erase").focus();
  });
  at("erase-sure").addEventListener("click", async () => {
    const answer = await ask("/mine/erase.json");
    if (!answer.ok) return trouble(word("mine-not-erased"));
    for (const key of ["device-token", "name", "instrument"]) forget(key);
    trouble("");
    at("stored").hidden = true;
    at("done").textContent = word("mine-erased");
    at("done").focus();
  });
  load().catch(() => trouble(word("mine-unreachable")));
}

if (typeof document !== "undefined") start(document);
