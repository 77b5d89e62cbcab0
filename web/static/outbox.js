// What must not be lost on its way to the room, and what may be. Pulses and span results stay here until the room has
// acknowledged them; of readings only the newest counts. Pure: the sender comes in as an argument; knows no socket.

/** Unacknowledged messages kept. At ten pulses a second in batches of one this is 3 minutes without Wi-Fi. */
const KEPT_MESSAGES = 2000;

/** Bytes waiting in the socket above which readings are held back: about a second of them. */
const BACKED_UP_BYTES = 4096;

/**
 * @typedef {{ type: string, seq: number }} Numbered
 * @typedef {(message: object) => void} Send
 */

export class Outbox {
  constructor() {
    /** @type {Numbered[]} in order of seq */
    this.unacknowledged = [];
    /** @type {object | null} */
    this.waitingReading = null;
    /** Messages given up because there were too many. */
    this.nDropped = 0;
    /** Highest number ever put in. */
    this.lastSeq = 0;
  }

  /**
   * Keeps a pulse batch or span result until acknowledged, and sends it now if there is a way.
   * @param {Numbered} message
   * @param {Send | null} send
   */
  keep(message, send) {
    this.unacknowledged.push(message);
    this.lastSeq = Math.max(this.lastSeq, message.seq);
    if (this.unacknowledged.length > KEPT_MESSAGES) {
      this.unacknowledged.shift();
      this.nDropped += 1;
    }
    if (send) send(message);
  }

  /** Whether the oldest goes with each that comes. */
  get isFull() {
    return this.unacknowledged.length >= KEPT_MESSAGES;
  }

  /**
   * Sends a reading, or lets it wait while the socket is backed up; a newer one takes its place.
   * @param {object} message
   * @param {Send | null} send
   * @param {number} bufferedBytes the socket's bufferedAmount
   */
  newest(message, send, bufferedBytes) {
    if (send && bufferedBytes <= BACKED_UP_BYTES) {
      this.waitingReading = null;
      send(message);
    } else {
      this.waitingReading = message;
    }
  }

  /** Lets go of everything: it belongs to another room, or to a server that is no more. Numbering goes on. */
  forget() {
    this.unacknowledged = [];
    this.waitingReading = null;
  }

  /** @param {number} seq last number the room holds safely */
  acknowledge(seq) {
    this.unacknowledged = this.unacknowledged.filter((message) => message.seq > seq);
  }

  /**
   * After a welcome: forgets what is safe and sends the rest again, in order.
   * @param {number} acknowledgedSeq
   * @param {Send} send
   */
  resume(acknowledgedSeq, send) {
    this.acknowledge(acknowledgedSeq);
    for (const message of this.unacknowledged) send(message);
    if (this.waitingReading) {
      send(this.waitingReading);
      this.waitingReading = null;
    }
  }
}
