// The way to the room: one socket that says hello first, exchanges clocks, and comes back after a break. It lives on the
// page's main thread, since a Worker's socket does not share the page's certificate exception everywhere. Where no socket
// comes through, room-way.js puts a line in its place. Sender, clock and timers come in as arguments; knows neither sound nor
// page.

import { inWords } from "./said-words.js";
import { word } from "./words.js";
import { keep, recall } from "./kept.js";
import { RoomLine } from "./room-line.js";
import { WayChooser } from "./room-way.js";

/**
 * Exchanges made at once after a welcome and after waking, and the pause between them, ms: the least delay of that many
 * is close to the least there is.
 */
const QUICK_EXCHANGES = 16;
const QUICK_PAUSE_MS = 100;
/** Those that follow until the drift between the clocks can be told, and the pause between them, ms. */
const EARLY_EXCHANGES = 184;
const EARLY_PAUSE_MS = 250;
/** Pause between later exchanges, ms: little beside ten readings a second; at 50 ppm two clocks part by 0.05 ms in it. */
const EXCHANGE_PAUSE_MS = 1000;
/** A socket that says nothing for this long after it was asked for the time is taken for dead, ms. */
const SILENT_MS = 9000;
/** A post of a line that is not answered by then has failed: a browser would wait for minutes, ms. */
const POST_WITHIN_MS = 8000;
/** First and longest pause before another try, ms. */
const FIRST_RETRY_MS = 400;
const LONGEST_RETRY_MS = 8000;

/**
 * @typedef {object} Surroundings
 * @property {(url: string) => WebSocket} open
 * @property {() => number} nowMs
 * @property {(run: () => void, ms: number) => any} later
 * @property {(timer: any) => void} cancel
 * @property {() => number} random from 0 to 1
 *
 * @typedef {object} Hooks
 * @property {() => object | null} hello the first message, made anew for each try; null where the page needs none
 * @property {(message: any) => void} hear every message but clock answers
 * @property {(t1Us: number, t2Us: number, t3Us: number, t4Us: number) => boolean} exchange gives back whether time jumped
 * @property {(status: "trying" | "open" | "lost" | "refused", text: string) => void} status
 */

/**
 * @param {(kind: import("./room-way.js").Kind) => void} [taken] told which way a connection goes
 * @returns {Surroundings}
 */
export function browserSurroundings(taken = () => {}) {
  const timers = {
    nowMs: () => performance.now(),
    later: (/** @type {() => void} */ run, /** @type {number} */ ms) => setTimeout(run, ms),
    cancel: (/** @type {any} */ timer) => clearTimeout(timer),
  };
  const post = (/** @type {string} */ path, /** @type {string} */ body) =>
    fetch(path, {
      method: "POST",
      body,
      headers: { "content-type": "application/json" },
      cache: "no-store",
      signal: AbortSignal.timeout?.(POST_WITHIN_MS),
    });
  const chooser = new WayChooser({
    openSocket: (url) => new WebSocket(url),
    openLine: (path, opening) => new RoomLine(path, opening, { post, stream: (at) => new EventSource(at), ...timers }),
    recall,
    keep,
    today: () => new Date().toISOString().slice(0, 10),
    taken,
    ...timers,
  });
  return { open: (url) => /** @type {any} */ (chooser.open(url)), random: Math.random, ...timers };
}

/**
 * @param {Location} location @param {string} path
 * @param {string} [room] where the server has several and the page is about one of them
 */
export function socketUrl(location, path, room = "") {
  const query = room ? `?room=${encodeURIComponent(room)}` : "";
  return `${location.protocol === "https:" ? "wss:" : "ws:"}//${location.host}${path}${query}`;
}

/**
 * What a refusal means for the person, beyond the room's own text.
 * @param {{ reason: string, text: string }} refused
 */
export function refusalText(refused) {
  const isMissing = refused.reason === "version" && !/reload/i.test(refused.text);
  return isMissing ? `${refused.text} ${word("reload-page")}`.trim() : refused.text;
}

/** Refusals after which trying again by itself may help. */
const PASSING = new Set(["closing", "too-fast"]);

export class RoomSocket {
  /**
   * @param {string} url
   * @param {Surroundings} surroundings
   * @param {Hooks} hooks
   */
  constructor(url, surroundings, hooks) {
    this.url = url;
    this.around = surroundings;
    this.hooks = hooks;
    /** @type {WebSocket | null} */
    this.socket = null;
    this.isOpen = false;
    /** Whether the room has taken this page in over the present socket. */
    this.isWelcome = false;
    this.nTries = 0;
    this.exchangeId = 0;
    /** When the first question went out that nothing has come after, page ms; null while there is none. */
    this.waitingSinceMs = null;
    this.retryTimer = null;
    this.clockTimer = null;
    this.isEnded = false;
  }

  start() {
    this.isEnded = false;
    this.nTries = 0;
    this.connect();
  }

  /** Ends for good. */
  stop() {
    this.isEnded = true;
    this.around.cancel(this.retryTimer);
    this.around.cancel(this.clockTimer);
    const socket = this.socket;
    this.socket = null;
    this.isOpen = false;
    this.isWelcome = false;
    socket?.close();
  }

  /**
   * The page came back to the front, or the network did: tries at once instead of waiting. Where the connection
   * stands, clocks are exchanged quickly again, since the device may have slept.
   */
  hurry() {
    if (this.isEnded) return;
    if (!this.socket) {
      this.around.cancel(this.retryTimer);
      this.connect();
    } else if (this.isWelcome) {
      this.askQuickly();
    }
  }

  bufferedBytes() {
    return this.socket?.bufferedAmount ?? 0;
  }

  /**
   * Sends now, or not at all while there is no way.
   * @param {object} message
   * @returns {boolean} whether it was handed to the socket
   */
  send(message) {
    if (!this.socket || !this.isOpen) return false;
    this.socket.send(JSON.stringify(message));
    return true;
  }

  connect() {
    this.hooks.status("trying", "");
    const socket = this.around.open(this.url);
    this.socket = socket;
    /** @param {() => void} run runs only while this is still the present socket */
    const present = (run) => {
      if (this.socket === socket) run();
    };
    socket.onopen = () => present(() => this.opened(socket));
    socket.onmessage = (event) => present(() => this.heard(event.data));
    socket.onclose = () => present(() => this.lost());
    socket.onerror = () => {};
  }

  /** @param {WebSocket} socket */
  opened(socket) {
    this.isOpen = true;
    this.waitingSinceMs = null;
    const hello = this.hooks.hello();
    if (hello) socket.send(JSON.stringify(hello));
    else this.welcomed();
  }

  /** The room has taken this page in: clocks may be exchanged. Called for the page by its first message. */
  welcomed() {
    this.nTries = 0;
    this.isWelcome = true;
    this.hooks.status("open", "");
    this.askQuickly();
  }

  /** Begins the exchanges anew: many at once, then fewer. */
  askQuickly() {
    this.around.cancel(this.clockTimer);
    this.askClock(0);
  }

  /** @param {number} nAsked exchanges since the connection, or since the page woke */
  askClock(nAsked) {
    const nowMs = this.around.nowMs();
    // Counted from a question: a hidden page's timers may rest for a minute, and then nobody was asked.
    this.waitingSinceMs ??= nowMs;
    if (nowMs - this.waitingSinceMs > SILENT_MS) {
      const socket = this.socket;
      this.lost();
      socket?.close();
      return;
    }
    this.exchangeId += 1;
    this.send({ type: "clock", id: this.exchangeId, t1_us: nowMs * 1000 });
    const isQuick = nAsked + 1 < QUICK_EXCHANGES;
    const isEarly = nAsked + 1 < QUICK_EXCHANGES + EARLY_EXCHANGES;
    const pause = isQuick ? QUICK_PAUSE_MS : isEarly ? EARLY_PAUSE_MS : EXCHANGE_PAUSE_MS;
    this.clockTimer = this.around.later(() => this.askClock(nAsked + 1), pause);
  }

  /** @param {string} data */
  heard(data) {
    const t4Ms = this.around.nowMs();
    this.waitingSinceMs = null;
    let message;
    try {
      message = inWords(JSON.parse(data));
    } catch {
      // Not this room's language; the next message may be.
      return;
    }
    switch (message.type) {
      case "clock":
        // An answer to an older page's question would carry another clock's time.
        if (message.id > this.exchangeId) return;
        // What was known is void: this device slept, perhaps without the page's clock showing it.
        if (this.hooks.exchange(message.t1_us, message.t2_us, message.t3_us, t4Ms * 1000)) this.askQuickly();
        return;
      case "refused":
        this.refused(message);
        return;
      case "welcome":
        this.welcomed();
        this.hooks.hear(message);
        return;
      default:
        this.hooks.hear(message);
    }
  }

  /** @param {{ reason: string, text: string }} message */
  refused(message) {
    if (PASSING.has(message.reason)) return;
    this.stop();
    this.hooks.hear(message);
    this.hooks.status("refused", refusalText(message));
  }

  lost() {
    this.socket = null;
    this.isOpen = false;
    this.isWelcome = false;
    this.around.cancel(this.clockTimer);
    if (this.isEnded) return;
    this.hooks.status("lost", "");
    const ceiling = Math.min(FIRST_RETRY_MS * 2 ** this.nTries, LONGEST_RETRY_MS);
    this.nTries += 1;
    // Half fixed, half by chance: a whole section must not come back in the same moment.
    const pause = ceiling / 2 + (ceiling / 2) * this.around.random();
    this.retryTimer = this.around.later(() => this.connect(), pause);
  }
}
