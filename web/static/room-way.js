// Which way a page goes to the room: a socket, or a line where none comes through (an untrusted certificate on some phones, a
// proxy that lets no upgrade pass). What is found is kept for the day. Openers, timers and memory come in as arguments.

/** A first socket that is not open by then is given up for a line, ms. */
const SOCKET_WITHIN_MS = 3000;

/** Where the verdict is kept. */
const KEY = "way";

/**
 * @typedef {"socket" | "line"} Kind
 *
 * @typedef {object} WayParts
 * @property {(url: string) => WebSocket} openSocket may throw
 * @property {(path: string, opening: "hello first" | "no hello") => any} openLine gives back what looks like a socket
 * @property {(run: () => void, ms: number) => any} later
 * @property {(timer: any) => void} cancel
 * @property {(key: string) => string | null} recall
 * @property {(key: string, value: string) => void} keep
 * @property {() => string} today a date; the verdict of another day is tried anew
 * @property {(kind: Kind) => void} taken told when a way has opened
 */

/** @param {string} url of a socket @returns {string} path of the line beside it */
export function linePath(url) {
  const { pathname, search } = new URL(url);
  return pathname.replace("/ws/", "/line/") + search;
}

/** Opens ways, and learns from them. */
export class WayChooser {
  /** @param {WayParts} parts */
  constructor(parts) {
    this.parts = parts;
    /** Whether a socket has ever opened on this page: then one that fails says something of the network alone. */
    this.hasSocketOpened = false;
  }

  /** @param {string} url */
  open(url) {
    return new Way(url, this);
  }

  isLineKnown() {
    return this.parts.recall(KEY) === `line ${this.parts.today()}`;
  }

  /** @param {Kind} kind */
  opened(kind) {
    if (kind === "socket") {
      this.hasSocketOpened = true;
      if (this.isLineKnown()) this.parts.keep(KEY, "");
    } else if (!this.hasSocketOpened) {
      this.parts.keep(KEY, `line ${this.parts.today()}`);
    }
    this.parts.taken(kind);
  }
}

/** One connection; it looks like a WebSocket, whichever way it goes. */
class Way {
  /** @param {string} url @param {WayChooser} chooser */
  constructor(url, chooser) {
    this.url = url;
    this.chooser = chooser;
    /** @type {(event: any) => void} */
    this.onopen = () => {};
    /** @type {(event: any) => void} */
    this.onmessage = () => {};
    /** @type {(event: any) => void} */
    this.onclose = () => {};
    /** @type {(event: any) => void} */
    this.onerror = () => {};
    /** @type {any} socket or line in use */
    this.inner = null;
    this.timer = null;
    if (chooser.isLineKnown()) this.tryLine();
    else this.trySocket();
  }

  get bufferedAmount() {
    return this.inner?.bufferedAmount ?? 0;
  }

  /** @param {string} text */
  send(text) {
    this.inner?.send(text);
  }

  close() {
    this.chooser.parts.cancel(this.timer);
    const inner = this.inner;
    this.inner = null;
    inner?.close();
  }

  trySocket() {
    const { parts } = this.chooser;
    let socket;
    try {
      socket = parts.openSocket(this.url);
    } catch {
      this.tryLine();
      return;
    }
    this.inner = socket;
    let isOpen = false;
    const giveUp = () => {
      if (this.inner !== socket) return;
      parts.cancel(this.timer);
      this.inner = null;
      socket.close();
      this.tryLine();
    };
    this.timer = parts.later(giveUp, SOCKET_WITHIN_MS);
    socket.onopen = (event) => {
      if (this.inner !== socket) return;
      isOpen = true;
      parts.cancel(this.timer);
      this.chooser.opened("socket");
      this.onopen(event);
    };
    socket.onmessage = (event) => this.inner === socket && this.onmessage(event);
    socket.onerror = () => {};
    // One that was open is gone for reasons of its own; one that never was may be kept out.
    socket.onclose = (event) => {
      if (this.inner !== socket) return;
      if (isOpen) this.onclose(event);
      else giveUp();
    };
  }

  tryLine() {
    const path = linePath(this.url);
    const line = this.chooser.parts.openLine(path, path.endsWith("/player") ? "hello first" : "no hello");
    this.inner = line;
    let hasSaid = false;
    line.onopen = (/** @type {any} */ event) => this.inner === line && this.onopen(event);
    line.onmessage = (/** @type {any} */ event) => {
      if (this.inner !== line) return;
      // Only now is it known to lead somewhere.
      if (!hasSaid) this.chooser.opened("line");
      hasSaid = true;
      this.onmessage(event);
    };
    line.onclose = (/** @type {any} */ event) => this.inner === line && this.onclose(event);
  }
}
