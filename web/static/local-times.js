// Times as the reader's clock has them: the server knows no time zones and writes UTC. Knows nothing of what the times are of.

import { language } from "./words.js";

/**
 * A time to read, in the reader's zone.
 * @param {string} date by RFC 3339 @param {string} locale @param {"long" | "medium"} style of the day
 * @param {string} [zone] the reader's own where there is none
 */
export const timeInWords = (date, locale, style, zone) =>
  new Intl.DateTimeFormat(locale, { dateStyle: style, timeStyle: "short", timeZone: zone }).format(new Date(date));

/** A day as files are named by it. @param {string} date by RFC 3339 @param {string} [zone] */
export function dayOf(date, zone) {
  const parts = new Intl.DateTimeFormat("en-GB", { year: "numeric", month: "2-digit", day: "2-digit", timeZone: zone }).formatToParts(new Date(date));
  return ["year", "month", "day"].map((kind) => parts.find((part) => part.type === kind)?.value).join("-");
}

/** @param {Document} page */
function start(page) {
  const locale = language();
  for (const time of page.querySelectorAll("time[datetime]")) {
    const { dateTime, dataset } = /** @type {HTMLTimeElement} */ (time);
    const inUtc = time.textContent ?? "";
    time.textContent = timeInWords(dateTime, locale, dataset.style === "long" ? "long" : "medium");
    // Links that name the time name the same one.
    for (const link of time.closest("tr")?.querySelectorAll("a[aria-label]") ?? []) {
      link.setAttribute("aria-label", (link.getAttribute("aria-label") ?? "").replace(inUtc, time.textContent));
    }
  }
  const first = /** @type {HTMLTimeElement | null} */ (page.querySelector("main.sheet time[datetime]"));
  // The title is what a browser calls a PDF.
  if (first) page.title = page.title.replace(first.dateTime.slice(0, 10), dayOf(first.dateTime));
}

if (typeof document !== "undefined") start(document);
