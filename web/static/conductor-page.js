// The conductor's page: the wiring between room, view, controls and the heard tick. Rules of a rehearsal are the room's.

import { ClockTrouble } from "./clock-words.js";
import { ConductorControls } from "./conductor-controls.js";
import { ConductorNotices } from "./conductor-notices.js";
import { ConductorPlan } from "./conductor-plan.js";
import { ConductorTick } from "./conductor-tick.js";
import { ConductorView } from "./conductor-view.js";
import { FirstSteps } from "./first-steps.js";
import { ImaginaryLine } from "./imaginary-line.js";
import { keep, recall } from "./kept.js";
import { hurryBack, openOrSay } from "./page-start.js";
import { watchReach } from "./reach-watch.js";
import { ASK_FOR_CHANGES, RoomPicture } from "./room-picture.js";
import { browserSurroundings, RoomSocket, socketUrl } from "./room-socket.js";
import { asSentence } from "./sentence.js";
import { fetchDoor, SharedTime } from "./shared-time.js";
import { keepAwake } from "./wake.js";
import { wireWallWindow } from "./wall-window.js";
import { phrase, word } from "./words.js";

/** A refused command is explained this long, ms. */
const EXPLAINED_MS = 8000;

const TRIES_BEFORE_ADVICE = 4;

async function open() {
  const { module } = await fetchDoor(new URL("./windrow.wasm", import.meta.url).href);
  const instance = await WebAssembly.instantiate(module, {});
  const time = new SharedTime(/** @type {any} */ (instance.exports), () => performance.now(), () => isPlaying);
  const view = new ConductorView(document, time);
  let isPlaying = false;

  const tick = new ConductorTick(document, time, () => isPlaying);
  const command = (/** @type {object} */ what) => {
    // Sound may only begin inside a press, and each command is one.
    tick.start();
    keepAwake();
    if (!socket.send(what)) view.trouble(word("link-not-sent"));
  };
  const plan = new ConductorPlan(document, command, () => time.serverNowUs());
  const controls = new ConductorControls(document, {
    command,
    plan: () => plan.open(),
    chooseNext: (step) => view.chooseNext(step),
    unchoose: () => view.unchoose(),
    openChosen: () => view.openChosen(),
    order: () => view.turnOrder(),
    wall: () => keep("conductor-view", view.toggleWall() ? "wall" : "own"),
    choices: view.choices,
  });
  const first = new FirstSteps(document);
  const imaginary = new ImaginaryLine(document);
  const notices = new ConductorNotices(document, (command) => void socket.send(command));
  const isWallWindow = new URLSearchParams(location.search).has("wall");
  if (isWallWindow) wireWallWindow(document, view.choices, () => controls.turnFull());
  if (isWallWindow || recall("conductor-view") === "wall") view.toggleWall();

  const clockTrouble = new ClockTrouble();
  let explainedUntilMs = 0;
  const picture = new RoomPicture();
  const socket = new RoomSocket(socketUrl(location, "/ws/conductor", document.body.dataset.room), browserSurroundings(), {
    hello: () => null,
    hear: (message) => {
      const room = picture.take(message);
      if (room) {
        const [former, wasPlaying] = [time.score, isPlaying];
        isPlaying = Boolean(room.score);
        controls.show(room);
        plan.show(room);
        view.show(room);
        first.show(room);
        imaginary.show(room);
        notices.show(room.notices ?? []);
        if (time.score !== former || isPlaying !== wasPlaying) tick.musicChanged();
        const nowMs = performance.now();
        if (nowMs > explainedUntilMs) view.trouble(clockTrouble.inWords(time.timeQuality(), nowMs));
      } else if (message.type === "cannot-do") {
        explainedUntilMs = performance.now() + EXPLAINED_MS;
        view.trouble(asSentence(phrase(message.text)));
      }
    },
    exchange: (t1, t2, t3, t4) => time.addExchange(t1, t2, t3, t4),
    status: (status, text) => {
      if (status === "open") socket.send(ASK_FOR_CHANGES);
      if (status !== "trying") view.showLink(status !== "open");
      if (status === "lost") view.trouble(word(socket.nTries < TRIES_BEFORE_ADVICE ? "link-lost" : "link-lost-advice"));
      if (status === "refused") view.trouble(asSentence(text));
    },
  });
  watchReach(/** @type {HTMLImageElement} */ (document.getElementById("pattern")), (reach) => view.showReach(reach));
  socket.start();
  hurryBack(socket);
}

openOrSay(open);
