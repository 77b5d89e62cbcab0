// A player's device on a page: the wiring between microphone, room and lane, whichever room it is and however it is joined. Rules
// of a rehearsal are the room's, measuring is the Worker's, drawing is player-view.js's; this file only carries things from one to
// the other.

import { CameTo } from "./came-to.js";
import { ClockTrouble } from "./clock-words.js";
import { keep, recall } from "./kept.js";
import { Outbox } from "./outbox.js";
import { PlayerCheck } from "./player-check.js";
import { PlayerExercise } from "./player-exercise.js";
import { PlayerHearing } from "./player-hearing.js";
import { PlayerListening } from "./player-listening.js";
import { wireMore } from "./player-more.js";
import { PlayerTick } from "./player-tick.js";
import { PlayerTiming } from "./player-timing.js";
import { PlayerView } from "./player-view.js";
import { PROTOCOL_VERSION } from "./protocol-version.js";
import { RoomSocket } from "./room-socket.js";
import { fetchDoor, SharedTime } from "./shared-time.js";
import { ScreenWake } from "./wake.js";
import { phrase, word } from "./words.js";

/** What is said about a player's place, or once of the screen, stands this long, ms: time to read it between two phrases. */
const NOTICE_MS = 45_000;
/** What is played is looked at so often, ms. */
const LOOK_MS = 200;
/** Without a room for so many tries the player reads what to do. */
const TRIES_BEFORE_ADVICE = 4;

/**
 * How the player says who is there, and is told what the room says to that.
 * @typedef {object} Form
 * @property {(isBusy: boolean) => void} busy
 * @property {(text: string) => void} trouble empty for none
 * @property {(text: string) => void} waiting
 * @property {(welcome: any) => void} welcomed
 * @property {(reason: string, text: string) => void} refused
 *
 * @typedef {object} PlayerParts
 * @property {(doing: { join: (who: import("./join-form.js").Who) => Promise<void>, stop: () => void }) => Form} form
 * @property {string} url of the room's socket
 * @property {(taken: (kind: import("./room-way.js").Kind) => void) => import("./room-socket.js").Surroundings} surroundings
 * @property {(notice: (text: string) => void) => void} [arrived] the room has taken this device in
 */

/**
 * Makes a page a player's device.
 * @param {Document} page
 * @param {PlayerParts} parts
 * @returns {{ leave: () => void }} how the device leaves its room
 */
export function startPlayer(page, parts) {
  const fetchedDoor = fetchDoor(new URL("./windrow.wasm", import.meta.url).href);
  // A failure is shown when the player joins; until then it must not count as unhandled.
  fetchedDoor.catch(() => {});

  const view = new PlayerView(page);
  const exercise = new PlayerExercise(page);
  const form = parts.form({ join: (who) => join(who), stop: () => socket?.stop() });
  const outbox = new Outbox();
  let isFull = false;
  const hearing = new PlayerHearing();
  const cameTo = new CameTo();
  const clockTrouble = new ClockTrouble();
  const screen = new ScreenWake(navigator, page, (run, ms) => setTimeout(run, ms));

  /** @type {import("./join-form.js").Who} */
  let who = { code: "", name: "", instrument: "" };
  /** @type {SharedTime | null} */
  let time = null;
  /** @type {RoomSocket | null} */
  let socket = null;
  /** @type {any} the room's answer to the hello */
  let welcome = null;
  /** The player this page was last welcomed as, through any refusal. */
  let playedAs = "";
  /** @type {any} */
  let score = null;
  let isResting = false;
  let lastRefusal = "";
  /** @type {Map<string, any>} */
  const noticeTimers = new Map();

  const ears = new PlayerListening({
    door: () => fetchedDoor,
    time: () => time,
    measured: hearSelf,
    reported: (report) => void socket?.send(report),
    notice: (about, text, weight) => view.notice(about, text, weight),
    hearsChanged: (hears) => {
      if (time?.isKnown()) hearing.listens(hears, time.serverNowUs());
      if (!hears) void ears.reopen(listenAgain);
    },
  });

  const tick = new PlayerTick(page, {
    scoreNow: () => score,
    heardChanged: (isHeard) => ears.listening?.setOwnTick(isHeard),
    countNow: () => view.ownCount,
  });
  const timing = new PlayerTiming(page, {
    listening: () => ears.listening,
    tick: () => tick.tick,
    isPlaying: () => score !== null,
    changed: (calibrated) => void (welcome && socket?.send({ type: "timing", calibrated })),
  });

  const check = new PlayerCheck(page, {
    isListening: () => ears.listening?.isStarted ?? false,
    report: () => ears.microphone,
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
    const heard = ears.listening ? null : await ears.ask();
    try {
      await startTime();
      if (heard) {
        await ears.open(heard);
        await timing.look("first look");
      }
      if (time) tick.start(time, ears.listening?.clock ?? null);
    } catch (error) {
      form.busy(false);
      form.trouble(error instanceof Error ? error.message : String(error));
      return;
    }
    socket?.stop();
    socket = new RoomSocket(parts.url, parts.surroundings((way) => view.showWay(way)), {
      hello: () => ({
        type: "hello",
        version: PROTOCOL_VERSION,
        ...who,
        calibrated: timing.isCalibrated,
      }),
      hear: hearRoom,
      exchange: (t1, t2, t3, t4) => {
        const hasJumped = time?.addExchange(t1, t2, t3, t4) ?? false;
        ears.listening?.tellTime();
        return hasJumped;
      },
      status: showStatus,
    });
    socket.start();
  }

  async function startTime() {
    if (time) return;
    const { module } = await fetchedDoor.catch(() => {
      throw new Error(word("play-did-not-load"));
    });
    const instance = await WebAssembly.instantiate(module, {});
    time = new SharedTime(/** @type {any} */ (instance.exports), () => performance.now(), () => Boolean(score));
    view.start(time, hearing, () => score);
  }

  /** @param {any} message what this device measured */
  function hearSelf(message) {
    hearing.take(message);
    if (time?.score) cameTo.take(message, time, hearing.leftOutUs);
    if (message.type === "reading") check.take(message);
    const send = socket?.isOpen && welcome ? (/** @type {object} */ m) => void socket?.send(m) : null;
    if (message.type === "reading") outbox.newest(message, send, socket?.bufferedBytes() ?? 0);
    else {
      outbox.keep(message, send);
      tellFull();
    }
  }

  /** The player reads for as long as it lasts that nothing more can be kept. */
  function tellFull() {
    if (outbox.isFull === isFull) return;
    isFull = outbox.isFull;
    view.notice("kept", isFull ? word("play-full") : "", "heavy");
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
        tellFull();
        break;
      case "you":
        hearing.leaveOut(message.left_out_ms);
        view.said.showYou(message, ears.microphone?.status, score !== null);
        break;
      case "seat":
        takeSeat(message);
        break;
      case "notice":
        if (welcome) passingNotice("place", phrase(message.text));
        else form.waiting(phrase(message.text));
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
    passingNotice("place", "");
    view.showWelcome(message, who);
    const { listening } = ears;
    const resumeSeq = Math.max(message.acknowledged, outbox.lastSeq);
    listening?.start(message.a4_hz).then(
      () => {
        listening.resumeAfter(resumeSeq);
        tellScore();
        check.offer();
      },
      (error) => view.notice("listening", word("play-listening-did-not-start", { why: error.message }), "heavy"),
    );
    if (ears.microphone) socket?.send(ears.microphone);
    if (check.message) socket?.send(check.message);
    if (isResting) socket?.send({ type: "rest", resting: true });
    outbox.resume(message.acknowledged, (m) => void socket?.send(m));
    exercise.take(message.exercise);
    takeScore(message.score ?? null);
    stayAwake();
    parts.arrived?.((text) => passingNotice("practice", text));
  }

  function stayAwake() {
    if (!screen.isPossible && recall("screen-told") !== "yes") {
      keep("screen-told", "yes");
      passingNotice("screen", word("play-screen"));
    }
    void screen.keep();
  }

  /** @param {any} next */
  function takeScore(next) {
    if (time?.isKnown()) cameTo.musicChanges(next, time.serverNowUs());
    score = next;
    if (next) time?.setScore(next);
    view.showScore(next, who.instrument);
    exercise.musicChanged(next !== null);
    tick.musicChanged();
    timing.musicChanged();
    tellScore();
  }

  function tellScore() {
    ears.listening?.setScore(score, welcome?.chair ?? 0);
  }

  /** @param {string} about @param {string} text it need not stand for long */
  function passingNotice(about, text) {
    view.notice(about, text);
    clearTimeout(noticeTimers.get(about));
    noticeTimers.set(about, setTimeout(() => view.notice(about, ""), NOTICE_MS));
  }

  /** @param {{ chair: number, name: string, instrument: string, part: string }} seat where the conductor put this player */
  function takeSeat(seat) {
    if (!welcome) return;
    welcome = { ...welcome, ...seat };
    who = { ...who, name: seat.name, instrument: seat.instrument };
    view.showWelcome(welcome, who);
    takeScore(score);
  }

  /** The player is in no room any more. */
  function leave() {
    socket?.stop();
    welcome = null;
    // What was said of the last connection is not true of the next.
    view.notice("room", "");
    // Nobody listens for a room the player is not in.
    tick.stop();
    ears.stop();
    view.leave();
  }

  /** @param {string} status @param {string} text */
  function showStatus(status, text) {
    if (status === "refused") {
      leave();
      form.refused(lastRefusal, text);
      return;
    }
    const isLost = status === "lost" || (status === "trying" && (socket?.nTries ?? 0) > 0);
    const isLong = (socket?.nTries ?? 0) >= TRIES_BEFORE_ADVICE;
    view.showLink(isLost);
    const lost = [word("play-lost"), isLong ? word("play-lost-advice") : ""].filter(Boolean).join(" ");
    if (welcome) view.notice("room", isLost ? lost : "", "heavy");
    else form.trouble(isLost ? word("play-lost-joining") : "");
  }

  async function listenAgain() {
    const listening = await ears.again();
    if (!listening) return;
    await timing.look("first look");
    if (!welcome) return;
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

  /** The page is in front again, out of the background or the browser's memory. */
  function comeBack() {
    if (page.visibilityState !== "visible" || !welcome) return;
    socket?.hurry();
    ears.wake();
    tick.wake();
    void screen.keep();
    void ears.reopen(listenAgain);
  }

  view.onListen(() => listenAgain().catch((error) => view.notice("listening", String(error.message ?? error), "heavy")));
  view.onRest(toggleRest);
  wireMore(page);
  page.addEventListener("visibilitychange", comeBack);
  window.addEventListener("pageshow", (event) => event.persisted && comeBack());
  window.addEventListener("online", () => socket?.hurry());
  setInterval(() => {
    if (welcome && time) view.notice("clock", clockTrouble.inWords(time.timeQuality(), performance.now()));
  }, 1000);
  setInterval(() => {
    if (!welcome || !time?.isKnown()) return;
    const state = view.isLinked ? view.said.state : "unknown";
    cameTo.look({ us: time.serverNowUs(), score, time, chair: welcome.chair, state, isListening: ears.hears });
    view.said.showOutcome(ears.listening ? cameTo.outcome : null, timing.isCalibrated);
  }, LOOK_MS);
  page.documentElement.dataset.started = "yes";

  return { leave };
}
