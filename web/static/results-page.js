// What the section did, kept new: when the room says that there are other results, the page is asked for again and its tables
// take the place of the old ones. There is one place that writes them, the server's template.

import { openOrSay, hurryBack } from "./page-start.js";
import { browserSurroundings, RoomSocket, socketUrl } from "./room-socket.js";
import { asSentence } from "./sentence.js";

async function open() {
  const trouble = /** @type {HTMLElement} */ (document.getElementById("trouble"));
  let isAsking = false;
  let newest = Number(document.getElementById("runs")?.dataset.version ?? 0);

  /** @param {string} text */
  function say(text) {
    trouble.textContent = text;
    trouble.hidden = text === "";
  }

  async function renew() {
    if (isAsking) return;
    isAsking = true;
    try {
      const answer = await fetch(location.pathname, { cache: "no-store" });
      if (answer.ok) take(new DOMParser().parseFromString(await answer.text(), "text/html"));
    } catch {
      // The socket says when the room cannot be reached; the next results bring this page up to date.
    } finally {
      isAsking = false;
    }
  }

  /** @param {Document} page */
  function take(page) {
    const [former, next] = [document.getElementById("runs"), page.getElementById("runs")];
    if (!former || !next) return;
    for (const place of former.querySelectorAll("details[open]")) {
      const run = /** @type {HTMLElement} */ (place).dataset.run;
      next.querySelector(`details[data-run="${run}"]`)?.setAttribute("open", "");
    }
    const seen = [...former.querySelectorAll(".scroll")].map((place) => [place.getAttribute("aria-label"), place.scrollLeft]);
    const focused = document.activeElement?.closest("#runs [aria-label], #runs details")?.getAttribute("aria-label");
    former.replaceWith(document.adoptNode(next));
    for (const place of next.querySelectorAll(".scroll")) {
      const label = place.getAttribute("aria-label");
      place.scrollLeft = Number(seen.find(([name]) => name === label)?.[1] ?? 0);
      if (focused && label === focused) /** @type {HTMLElement} */ (place).focus({ preventScroll: true });
    }
  }

  const socket = new RoomSocket(socketUrl(location, "/ws/conductor"), browserSurroundings(), {
    hello: () => null,
    hear: (message) => {
      if (message.type !== "room") return;
      say("");
      if (message.results === newest) return;
      newest = message.results;
      void renew();
    },
    // Nothing here goes by the room's time.
    exchange: () => false,
    status: (status, text) => {
      if (status === "lost") say("The room cannot be reached; trying again.");
      if (status === "refused") say(asSentence(text));
    },
  });
  socket.start();
  hurryBack(socket);
}

openOrSay(open);
