// What the section did, kept new: when the room says that there are other results, the page is asked for again and what it says
// takes the place of the old. There is one place that writes it, the server's template; here fields are drawn and runs opened. A past
// rehearsal is the same page from another source.

import { hurryBack, openOrSay } from "./page-start.js";
import { drawStrip, wireStrip } from "./results-strip.js";
import { Replay } from "./results-replay.js";
import { ASK_FOR_CHANGES, RoomPicture } from "./room-picture.js";
import { browserSurroundings, RoomSocket, socketUrl } from "./room-socket.js";
import { asSentence } from "./sentence.js";
import { word } from "./words.js";

async function open() {
  const at = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
  const [trouble, main] = [at("trouble"), /** @type {HTMLElement} */ (document.querySelector("main"))];
  const { source, past } = at("runs").dataset;
  const replay = new Replay(document, source ?? "");
  let isAsking = false;
  let newest = Number(at("runs").dataset.version ?? 0);

  /** @param {string} text */
  function say(text) {
    trouble.textContent = text;
    trouble.hidden = text === "";
  }

  const review = async () => (await fetch(`${source}/review.json`, { cache: "no-store" })).json();

  async function renew() {
    if (isAsking) return;
    isAsking = true;
    try {
      const [answer, glances] = await Promise.all([fetch(location.pathname, { cache: "no-store" }), review()]);
      if (answer.ok) take(new DOMParser().parseFromString(await answer.text(), "text/html"), glances);
      await replay.renew();
    } catch {
      // The socket says when the room cannot be reached; the next results bring this page up to date.
    } finally {
      isAsking = false;
    }
  }

  /** @param {Document} page @param {any} glances */
  function take(page, glances) {
    const [former, next] = [document.getElementById("runs"), page.getElementById("runs")];
    const summary = page.getElementById("summary");
    if (!former || !next || !summary) return;
    for (const place of former.querySelectorAll("details[open]")) {
      const run = /** @type {HTMLElement} */ (place).dataset.run;
      next.querySelector(`details[data-run="${run}"]`)?.setAttribute("open", "");
    }
    const scrolled = [...former.querySelectorAll("[tabindex][role=region]")].map((place) => [place.getAttribute("aria-label"), place.scrollLeft]);
    const focused = former.contains(document.activeElement) ? selectorOf(document.activeElement) : null;
    document.adoptNode(next);
    drawStrip(next, glances);
    former.replaceWith(next);
    at("summary").textContent = summary.textContent;
    wireBelow(next);
    for (const place of next.querySelectorAll("[tabindex][role=region]")) {
      const label = place.getAttribute("aria-label");
      place.scrollLeft = Number(scrolled.find(([name]) => name === label)?.[1] ?? 0);
    }
    if (focused) focusOn(next.querySelector(focused));
  }

  /** @param {Element} place */
  function wireBelow(place) {
    const print = place.querySelector("#print");
    print?.removeAttribute("hidden");
    print?.addEventListener("click", () => window.print());
  }

  if (newest > 0) {
    drawStrip(at("runs"), await review());
    // What was played last, and who needs what.
    document.querySelector(".strip-scroll")?.scrollTo({ left: Number.MAX_SAFE_INTEGER, behavior: "instant" });
  }
  wireBelow(at("runs"));
  wireStrip(main, (run, playerId) => {
    replay.closed = () => focusOn(document.querySelector(`a.field[data-run="${run}"][data-player="${CSS.escape(playerId)}"]`));
    void replay.open(run, playerId);
  });
  openWhatIsLed();
  window.addEventListener("hashchange", openWhatIsLed);
  // A rehearsal that is over has no news.
  if (past === "true") return;

  const picture = new RoomPicture();
  const socket = new RoomSocket(socketUrl(location, "/ws/conductor", document.body.dataset.room), browserSurroundings(), {
    hello: () => null,
    hear: (message) => {
      const room = picture.take(message);
      if (!room) return;
      say("");
      if (room.results === newest) return;
      newest = room.results;
      void renew();
    },
    // Nothing here goes by the room's time.
    exchange: () => false,
    status: (status, text) => {
      if (status === "open") socket.send(ASK_FOR_CHANGES);
      if (status === "lost") say(word("review-trouble-lost"));
      if (status === "refused") say(asSentence(text));
    },
  });
  socket.start();
  hurryBack(socket);
}

/** A way to the same thing in another version of the page. @param {Element | null} element */
function selectorOf(element) {
  if (!(element instanceof HTMLElement)) return null;
  if (element.matches("a.field")) return `a.field[data-run="${element.dataset.run}"][data-player="${CSS.escape(element.dataset.player ?? "")}"]`;
  if (element.id) return `#${CSS.escape(element.id)}`;
  if (element.matches("summary")) return `details[data-run="${/** @type {HTMLElement} */ (element.parentElement).dataset.run}"] > summary`;
  const label = element.closest("[aria-label]")?.getAttribute("aria-label");
  return label ? `[aria-label="${CSS.escape(label)}"]` : null;
}

/** @param {Element | null} element */
function focusOn(element) {
  if (element instanceof HTMLElement) element.focus({ preventScroll: true });
}

/** A link to a run's figures opens them. */
function openWhatIsLed() {
  const led = /^#run-\d+$/.test(location.hash) ? document.querySelector(location.hash) : null;
  led?.closest("details")?.setAttribute("open", "");
  led?.scrollIntoView();
}

openOrSay(open);
