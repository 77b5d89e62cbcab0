// The room before the music: the wiring between the room's socket, the page and the check. Rules are the room's.

import { askJson } from "./ask-json.js";
import { ConductorNotices } from "./conductor-notices.js";
import { ConductorTick } from "./conductor-tick.js";
import { ImaginaryLine } from "./imaginary-line.js";
import { hurryBack, openOrSay } from "./page-start.js";
import { watchReach } from "./reach-watch.js";
import { ASK_FOR_CHANGES, RoomPicture } from "./room-picture.js";
import { browserSurroundings, RoomSocket, socketUrl } from "./room-socket.js";
import { RoomView } from "./room-view.js";
import { asSentence } from "./sentence.js";
import { fetchDoor, SharedTime } from "./shared-time.js";
import { keepAwake } from "./wake.js";
import { phrase, word } from "./words.js";

/** A refused command is explained this long, ms. */
const EXPLAINED_MS = 8000;

async function open() {
  const { module } = await fetchDoor(new URL("./windrow.wasm", import.meta.url).href);
  const instance = await WebAssembly.instantiate(module, {});
  let isPlaying = false;
  const time = new SharedTime(/** @type {any} */ (instance.exports), () => performance.now(), () => isPlaying);
  const view = new RoomView(document);
  const notices = new ConductorNotices(document, (command) => void socket.send(command));
  const imaginary = new ImaginaryLine(document);
  const tick = new ConductorTick(document, time, () => isPlaying);
  let explainedUntilMs = 0;
  let foundVersion = 0;
  const picture = new RoomPicture();

  const socket = new RoomSocket(socketUrl(location, "/ws/conductor", document.body.dataset.room), browserSurroundings(), {
    hello: () => null,
    hear: (message) => {
      const room = picture.take(message);
      if (room) {
        const [former, wasPlaying] = [time.score, isPlaying];
        isPlaying = Boolean(room.score);
        if (isPlaying) time.setScore(room.score);
        if (time.score !== former || isPlaying !== wasPlaying) tick.musicChanged();
        view.show(room);
        imaginary.show(room);
        notices.show(room.notices ?? []);
        if (performance.now() > explainedUntilMs) view.trouble("");
        if ((room.check?.version ?? 0) !== foundVersion) {
          foundVersion = room.check?.version ?? 0;
          askJson("/conduct/check.json").then((found) => found && view.showCheck(found));
        }
      } else if (message.type === "cannot-do") {
        explain(asSentence(phrase(message.text)));
      }
    },
    exchange: (t1, t2, t3, t4) => time.addExchange(t1, t2, t3, t4),
    status: (status, text) => {
      if (status === "open") socket.send(ASK_FOR_CHANGES);
      if (status === "lost") view.trouble(word("room-unreachable"));
      if (status === "refused") view.trouble(asSentence(phrase(text)));
    },
  });

  /** @param {string} text */
  function explain(text) {
    explainedUntilMs = performance.now() + EXPLAINED_MS;
    view.trouble(text);
  }

  function check() {
    tick.start();
    keepAwake();
    const command = picture.now?.check?.is_running ? { type: "stop", at: "now" } : { type: "check-room" };
    if (!socket.send(command)) explain(word("room-not-sent"));
  }

  function whole() {
    const done = document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen();
    done.catch(() => explain(word("room-no-full-screen")));
  }

  const keys = /** @type {HTMLInputElement} */ (document.getElementById("keys"));
  document.getElementById("check")?.addEventListener("click", check);
  document.getElementById("whole")?.addEventListener("click", whole);
  document.addEventListener("keydown", (event) => {
    const isTyping = event.target instanceof Element && event.target.closest("input, select, textarea") !== null;
    if (!keys.checked || isTyping || event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    if (event.key === "c" || event.key === "C") check();
    else if (event.key === "f" || event.key === "F") whole();
    else return;
    event.preventDefault();
  });

  watchReach(/** @type {HTMLImageElement} */ (document.getElementById("pattern")), (reach) => view.showReach(reach));
  socket.start();
  hurryBack(socket);
}

openOrSay(open);
