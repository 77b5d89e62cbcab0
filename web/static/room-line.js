// A line to the room where no socket comes through: posts up, an event stream down, the same messages. It looks like a
// WebSocket to whoever uses it. Fetching, event streams and timers come in as arguments; knows no message but the clock's.

/** Most that goes up in one post; the server takes 128 messages and 64 KiB. */
const MESSAGES_TOGETHER = 100;
const BYTES_TOGETHER = 48 * 1024;
/** Pause before a post is tried again whose answer did not come, and how long that is tried, ms. */
const RETRY_MS = 500;
const TRIED_MS = 10_000;
/** A stream that the browser cannot get back for this long is given up, ms; the server waits for 30 s. */
const STREAMLESS_MS = 12_000;

/** What an event stream that will not come back says of itself (EventSource.CLOSED). */
const CLOSED = 2;

/**
 * @typedef {object} LineParts
 * @property {(path: string, body: string) => Promise<{ ok: boolean, status: number, text: () => Promise<string> }>} post
 * @property {(path: string) => EventSource} stream
 * @property {() => number} nowMs
 * @property {(run: () => void, ms: number) => any} later
 * @property {(timer: any) => void} cancel
 */

export class RoomLine {
  /**
   * @param {string} path such as "/line/player", with what its socket has behind the question mark
   * @param {"hello first" | "no hello"} opening whether the first message opens the line
   * @param {LineParts} parts
   */
  constructor(path, opening, parts) {
    this.path = path;
    this.parts = parts;
    /** @type {(event: any) => void} */
    this.onopen = () => {};
    /** @type {(event: { data: string }) => void} */
    this.onmessage = () => {};
    /** @type {(event: any) => void} */
    this.onclose = () => {};
    /** Where this line's requests go, once it is open. */
    this.ownPath = "";
    /** @type {EventSource | null} */
    this.stream = null;
    /** @type {string[]} messages that wait, oldest first */
    this.waiting = [];
    /** Of `waiting`, how many are in the post that is on its way. */
    this.nOnTheWay = 0;
    /** Number of the next post. */
    this.number = 1;
    this.isClosed = false;
    this.isOpening = false;
    this.retryTimer = null;
    this.streamTimer = null;
    this.isHelloDue = opening === "hello first";
    // As a socket does, it says so once whoever opened it has set the hooks.
    this.openTimer = parts.later(() => (this.isHelloDue ? this.onopen({}) : this.begin("")), 0);
  }

  get bufferedAmount() {
    return this.waiting.reduce((sum, text) => sum + text.length, 0);
  }

  /** @param {string} text */
  send(text) {
    if (this.isClosed) return;
    if (this.isHelloDue) {
      this.isHelloDue = false;
      this.begin(text);
    } else if (JSON.parse(text).type === "clock") {
      this.askClock(text);
    } else {
      this.waiting.push(text);
      this.pump();
    }
  }

  close() {
    this.isClosed = true;
    this.stream?.close();
    this.stream = null;
    for (const timer of [this.openTimer, this.retryTimer, this.streamTimer]) this.parts.cancel(timer);
  }

  /** The line is no more. */
  end() {
    if (this.isClosed) return;
    this.close();
    this.onclose({});
  }

  /** @param {string} hello */
  async begin(hello) {
    let answer;
    let said;
    try {
      answer = await this.parts.post(this.path, hello);
      said = JSON.parse(await answer.text());
    } catch {
      this.end();
      return;
    }
    if (this.isClosed) return;
    if (!answer.ok) {
      // A refusal reads as on a socket; anything else is worth another try.
      if (said?.type === "refused") this.onmessage({ data: JSON.stringify(said) });
      this.end();
      return;
    }
    this.ownPath = `${this.path.split("?")[0]}/${said.line}`;
    this.listen();
    if (hello === "") this.onopen({});
    this.pump();
  }

  listen() {
    const stream = this.parts.stream(`${this.ownPath}/heard`);
    this.stream = stream;
    stream.onopen = () => this.parts.cancel(this.streamTimer);
    stream.onmessage = (event) => {
      this.parts.cancel(this.streamTimer);
      if (!this.isClosed) this.onmessage({ data: event.data });
    };
    // A proxy that holds the stream back would leave the page waiting for ever.
    this.streamTimer = this.parts.later(() => this.end(), STREAMLESS_MS);
    // The server's own word that nothing more will come; without it the browser would ask again.
    stream.addEventListener("end", () => this.end());
    stream.onerror = () => {
      if (stream.readyState === CLOSED) {
        this.end();
        return;
      }
      // The browser tries by itself, and says after which message to go on.
      this.parts.cancel(this.streamTimer);
      this.streamTimer = this.parts.later(() => this.end(), STREAMLESS_MS);
    };
  }

  /** Sends what waits, one post at a time, so that the order stays. */
  pump() {
    if (this.nOnTheWay > 0 || this.waiting.length === 0 || this.ownPath === "" || this.isClosed) return;
    let nBytes = 0;
    for (const text of this.waiting.slice(0, MESSAGES_TOGETHER)) {
      nBytes += text.length;
      if (this.nOnTheWay > 0 && nBytes > BYTES_TOGETHER) break;
      this.nOnTheWay += 1;
    }
    this.postWaiting(this.parts.nowMs());
  }

  /** @param {number} sinceMs first try */
  async postWaiting(sinceMs) {
    const body = `{"number":${this.number},"messages":[${this.waiting.slice(0, this.nOnTheWay).join(",")}]}`;
    const answer = await this.parts.post(`${this.ownPath}/said`, body).catch(() => null);
    if (this.isClosed) return;
    if (answer?.ok) {
      this.waiting.splice(0, this.nOnTheWay);
      this.nOnTheWay = 0;
      this.number += 1;
      this.pump();
      return;
    }
    const isPassing = !answer || answer.status === 503;
    if (!isPassing || this.parts.nowMs() - sinceMs > TRIED_MS) {
      this.end();
      return;
    }
    // The same number: if only the answer was lost, the room does not take it twice.
    this.retryTimer = this.parts.later(() => this.postWaiting(sinceMs), RETRY_MS);
  }

  /** @param {string} text */
  async askClock(text) {
    if (this.ownPath === "") return;
    const answer = await this.parts.post(`${this.ownPath}/clock`, text).catch(() => null);
    if (this.isClosed || !answer) return;
    if (answer.status === 410) {
      this.end();
      return;
    }
    const data = await answer.text().catch(() => "");
    if (answer.ok && !this.isClosed) this.onmessage({ data });
  }
}
