// "What is stored about me": asks with the device's token in a header, shows the answer in words, downloads, erases.

import { forget, recall } from "./kept.js";

const HEADER = "x-windrow-device";

/** @param {number} n @param {string} one @param {string} many */
export const counted = (n, one, many = `${one}s`) => `${n === 0 ? "no" : n} ${n === 1 ? one : many}`;

/**
 * One session in a line.
 * @param {{ date: string, section: string, name: string, n_pulses: number, n_spans: number }} session
 */
export const sessionInWords = (session) =>
  `${session.date}, ${session.section}, as ${session.name}: ${counted(session.n_pulses, "pulse")}, ${counted(session.n_spans, "result")}`;

/**
 * The devices in words.
 * @param {{ last_in: string, is_this_one: boolean }[]} devices
 */
export function devicesInWords(devices) {
  const others = devices.filter((d) => !d.is_this_one).map((d) => `one last in on ${d.last_in}`);
  return [devices.some((d) => d.is_this_one) ? "this one" : "", ...others].filter(Boolean).join("; ");
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
      instrument: mine.instrument,
      part: mine.part || "none",
      section: mine.section || "none; you came with a nickname",
      devices: devicesInWords(mine.devices),
      measured: `${counted(mine.n_pulses, "pulse")} and ${counted(mine.n_spans, "result")} in ${counted(mine.sessions.length, "session")}`,
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
    at("sure-text").textContent = mine.is_all
      ? "All of it, of every session, is erased for good and cannot be brought back. Your conductor is told that you did."
      : "What this device recorded is erased for good and cannot be brought back. Your conductor is told that you did.";
    at("stored").hidden = false;
  };
  const load = async () => {
    const answer = token ? await ask("/mine/summary.json") : null;
    if (answer?.ok) return show(await answer.json());
    if (answer && answer.status !== 404) return trouble("The conductor's computer cannot say just now. Load this page again in a moment.");
    at("nothing").hidden = false;
  };
  at("download").addEventListener("click", async () => {
    const answer = await ask("/mine/all.json");
    if (!answer.ok) return trouble("It could not be fetched just now. Try again in a moment.");
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
    if (!answer.ok) return trouble("It could not be erased just now, so it is all still there. Try again in a moment.");
    for (const key of ["device-token", "name", "instrument"]) forget(key);
    trouble("");
    at("stored").hidden = true;
    at("done").textContent = "It is erased. This device is a stranger here again.";
    at("done").focus();
  });
  load().catch(() => trouble("The conductor's computer cannot be reached. Is this device on the room's Wi-Fi? Then load this page again."));
}

if (typeof document !== "undefined") start(document);
