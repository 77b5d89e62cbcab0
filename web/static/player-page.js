// The player's page: joining, and the wiring between microphone, room and lane. Rules of a rehearsal are the room's,
// measuring is the Worker's, drawing is player-view.js's; this file only carries things from one to the other.

import { CaptureTrouble } from "./capture-words.js";
import { ClockTrouble } from "./clock-words.js";
import { JoinForm } from "./join-form.js";
import { Listening } from "./listen.js";
import { MicrophoneTrouble, openMicrophone } from "./microphone.js";
import { Outbox } from "./outbox.js";
import { PlayerCheck } from "./player-check.js";
import { PlayerExercise } from "./player-exercise.js";
import { PlayerHearing } from "./player-hearing.js";
import { PlayerTick } from "./player-tick.js";
import { PlayerTiming } from "./player-timing.js";
import { PlayerView } from "./player-view.js";
import { browserSurroundings, RoomSocket, socketUrl } from "./room-socket.js";
import { fetchDoor, SharedTime } from "./shared-time.js";
import { keepAwake } from "./wake.js";

/** Version of the messages this page speaks; the room refuses another. */
const PROTOCOL_VERSION = 5;
/** What is said about a player's place stands this long, ms: time to read it between two phrases. */
const PLACE_NOTICE_MS = 45_000;

const fetchedDoor = fetchDoor(new URL("./windrow.wasm", import.meta.url).href);
// A failure is shown when the player joins; until then it must not count as unhandled.
fetchedDoor.catch(() => {});

const view = new PlayerView(document);
const exercise = new PlayerExercise(document);
const form = new JoinForm(document, { join: (who) => join(who), stop: () => socket?.stop() });
const outbox = new Outbox();
const hearing = new PlayerHearing();
const captureTrouble = new CaptureTrouble();
const clockTrouble = new ClockTrouble();

/** @type {import("./join-form.js").Who} */
let who = { code: "", name: "", instrument: "" };
/** @type {SharedTime | null} */
let time = null;
/** @type {RoomSocket | null} */
let socket = null;
/** @type {Listening | null} */
let listening = null;
/** @type {any} the microphone's last report, told again after a break */
let microphoneReport = null;
/** @type {any} the room's answer to the hello */
let welcome = null;
/** The player this page was last welcomed as, through any refusal. */
let playedAs = "";
/** @type {any} */
let score = null;
let isResting = false;
let lastRefusal = "";
/** @type {any} */
let placeNoticeTimer = null;

const tick = new PlayerTick(document, () => score, (isHeard) => listening?.setOwnTick(isHeard));
const timing = new PlayerTiming(document, {
  listening: () => listening,
  tick: () => tick.tick,
  isPlaying: () => score !== null,
  changed: (calibrated) => void (welcome && socket?.send({ type: "timing", calibrated })),
});

const check = new PlayerCheck(document, {
  isListening: () => listening?.isStarted ?? false,
  report: () => microphoneReport,
  expectedMidi: () => view.askedMidi(),
  isPlaying: () => score !== null,
  instrument: () => who.instrument,
  done: (message) => void (welcome && socket?.send(message)),
});

/** @param {typeof who} asked */
async function join(asked) {
  who = asked;
  form.busy(true);
  form.trouble("");
  // The microphone first: the audio context must be made after it, inside the same click.
  const heard = listening ? null : await askMicrophone();
  try {
    await startTime();
    if (heard) await openListening(heard);
    if (time) tick.start(time, listening?.clock ?? null);
  } catch (error) {
    form.busy(false);
    form.trouble(error instanceof Error ? error.message : String(error));
    return;
  }
  socket?.stop();
  socket = new RoomSocket(socketUrl(location, "/ws/player"), browserSurroundings((way) => view.showWay(way)), {
    hello: () => ({
      type: "hello",
      version: PROTOCOL_VERSION,
      ...who,
      calibrated: timing.isCalibrated,
    }),
    hear: hearRoom,
    exchange: (t1, t2, t3, t4) => {
      const hasJumped = time?.addExchange(t1, t2, t3, t4) ?? false;
      listening?.tellTime();
      return hasJumped;
    },
    status: showStatus,
  });
  socket.start();
}

/** @returns {Promise<MediaStream | null>} null where there is none; the reason is shown once the player is in */
async function askMicrophone() {
  try {
    return await openMicrophone(navigator);
  } catch (error) {
    const trouble = error instanceof MicrophoneTrouble ? error : new MicrophoneTrouble("missing", String(error));
    report({ type: "microphone", status: trouble.status });
    view.notice("microphone", `${trouble.message} Until then you can follow the beat without being measured.`, true);
    return null;
  }
}

async function startTime() {
  if (time) return;
  const { module } = await fetchedDoor;
  const instance = await WebAssembly.instantiate(module, {});
  time = new SharedTime(/** @type {any} */ (instance.exports), () => performance.now(), () => Boolean(score));
  view.start(time, hearing, () => score);
}

/** @param {MediaStream} stream */
async function openListening(stream) {
  listening = new Listening(stream, await fetchedDoor, {
    message: hearSelf,
    report,
    trouble: (text) => view.notice("listening", text, false),
    isClockKnown: () => time?.isKnown() ?? false,
    serverUsAt: (pageMs) => time?.serverUsAt(pageMs) ?? NaN,
  });
  view.notice("microphone", "", false);
  await timing.look("first look");
}

/** @param {any} message what this device measured */
function hearSelf(message) {
  hearing.take(message);
  if (message.type === "reading") {
    captureTrouble.takeCapture(message.capture, performance.now());
    check.take(message);
    showCapture();
  }
  const send = socket?.isOpen && welcome ? (/** @type {object} */ m) => void socket?.send(m) : null;
  if (message.type === "reading") outbox.newest(message, send, socket?.bufferedBytes() ?? 0);
  else outbox.keep(message, send);
}

function showCapture() {
  view.notice("capture", captureTrouble.inWords(performance.now()), false);
}

/** @param {any} message of type "microphone" */
function report(message) {
  microphoneReport = message;
  socket?.send(message);
  captureTrouble.takeReport(message);
  showCapture();
  if (message.status === "lost") {
    view.notice("microphone", "The microphone was taken away. Close calls and recorders, then press “Listen”.", true);
  } else if (message.status === "listening") {
    view.notice("microphone", "", false);
  }
}

/** @param {any} message from the room */
function hearRoom(message) {
  switch (message.type) {
    case "welcome":
      welcomed(message);
      break;
    case "exercise":
      exercise.take(message);
      break;
    case "score":
      takeScore(message.score ?? null);
      break;
    case "ack":
      outbox.acknowledge(message.seq);
      break;
    case "you":
      hearing.leaveOut(message.left_out_ms);
      view.showYou(message, microphoneReport?.status);
      break;
    case "seat":
      takeSeat(message);
      break;
    case "notice":
      if (welcome) showPlaceNotice(message.text);
      else form.waiting(message.text);
      break;
    case "refused":
      lastRefusal = message.reason;
      break;
  }
}

/** @param {any} message */
function welcomed(message) {
  // A new player in the room's eyes: what is still here has the times of another server's clock, or of another room, or was
  // played by somebody else.
  if (playedAs && playedAs !== message.player_id) outbox.forget();
  playedAs = message.player_id;
  welcome = message;
  // From here on the token says who this is.
  who = { code: who.code, name: message.name, instrument: message.instrument, token: message.token };
  form.welcomed(message);
  showPlaceNotice("");
  view.showWelcome(message, who);
  const resumeSeq = Math.max(message.acknowledged, outbox.lastSeq);
  listening?.start(message.a4_hz).then(
    () => {
      listening?.resumeAfter(resumeSeq);
      tellScore();
      check.offer();
    },
    (error) => view.notice("listening", `Listening did not start: ${error.message}. Reload the page.`, false),
  );
  if (microphoneReport) socket?.send(microphoneReport);
  if (check.message) socket?.send(check.message);
  if (isResting) socket?.send({ type: "rest", resting: true });
  outbox.resume(message.acknowledged, (m) => void socket?.send(m));
  exercise.take(message.exercise);
  takeScore(message.score ?? null);
  keepAwake();
}

/** @param {any} next */
function takeScore(next) {
  score = next;
  if (next) time?.setScore(next);
  view.showScore(next, who.instrument);
  exercise.musicChanged(next !== null);
  tick.musicChanged();
  timing.musicChanged();
  tellScore();
}

function tellScore() {
  listening?.setScore(score, welcome?.chair ?? 0);
}

/** @param {string} text about the player's place; it need not stand for long */
function showPlaceNotice(text) {
  view.notice("place", text, false);
  clearTimeout(placeNoticeTimer);
  placeNoticeTimer = setTimeout(() => view.notice("place", "", false), PLACE_NOTICE_MS);
}

/** @param {{ chair: number, name: string, instrument: string, part: string }} seat where the conductor put this player */
function takeSeat(seat) {
  if (!welcome) return;
  welcome = { ...welcome, ...seat };
  who = { ...who, name: seat.name, instrument: seat.instrument };
  view.showWelcome(welcome, who);
  takeScore(score);
}

const TRIES_BEFORE_ADVICE = 4;
const ADVICE = "Is this device still in the room's Wi-Fi? If so, point the camera at the pattern again.";

/** @param {string} status @param {string} text */
function showStatus(status, text) {
  if (status === "refused") {
    welcome = null;
    // What was said of the last connection is not true of the next.
    view.notice("room", "", false);
    // Nobody listens for a room the player is not in.
    tick.stop();
    listening?.stop();
    listening = null;
    view.leave();
    form.refused(lastRefusal, text);
    return;
  }
  const isLost = status === "lost" || (status === "trying" && (socket?.nTries ?? 0) > 0);
  const isLong = (socket?.nTries ?? 0) >= TRIES_BEFORE_ADVICE;
  const kept = `The room cannot be reached; trying again. What you play is kept until it can.${isLong ? ` ${ADVICE}` : ""}`;
  view.showLink(isLost);
  if (welcome) view.notice("room", isLost ? kept : "", false);
  else form.trouble(isLost ? "The room cannot be reached; trying again. Is this device on the room's Wi-Fi?" : "");
}

async function listenAgain() {
  const stream = await askMicrophone();
  if (!stream) return;
  listening?.stop();
  await openListening(stream);
  if (!welcome || !listening) return;
  await listening.start(welcome.a4_hz);
  listening.resumeAfter(Math.max(welcome.acknowledged, outbox.lastSeq));
  tellScore();
  check.offer();
  if (time) tick.start(time, listening.clock);
}

function toggleRest() {
  isResting = !isResting;
  view.showRest(isResting);
  socket?.send({ type: "rest", resting: isResting });
}

view.onListen(() => listenAgain().catch((error) => view.notice("listening", String(error.message ?? error), false)));
view.onRest(toggleRest);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible" || !welcome) return;
  socket?.hurry();
  listening?.wake();
  tick.wake();
  keepAwake();
});
window.addEventListener("online", () => socket?.hurry());
setInterval(() => {
  if (welcome && time) view.notice("clock", clockTrouble.inWords(time.timeQuality(), performance.now()), false);
}, 1000);
