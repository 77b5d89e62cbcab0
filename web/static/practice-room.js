// A room of one on this device: the rules of a rehearsal, compiled, behind what looks like a socket, so that a player's device is here
// as it is in a room. The device's own clock is the only one, counted from the beginning of the practice. Door, clock and timers come
// in as arguments; knows no page and no storage.

import { outputText } from "./shared-time.js";
import { phrase } from "./words.js";

/** Pause between two looks at the player, ms: as often as a server publishes. */
const LOOK_MS = 200;

/**
 * The second door; its own file says more.
 * @typedef {object} RoomDoor
 * @property {WebAssembly.Memory} memory
 * @property {(nBytes: number) => number} input_ptr
 * @property {() => number} output_ptr
 * @property {() => number} output_len
 * @property {(nBytes: number) => void} room_open
 * @property {(nowUs: number, nBytes: number) => void} room_hear
 * @property {(nowUs: number, nBytes: number) => void} room_command
 * @property {(nowUs: number) => void} room_look
 * @property {(nowUs: number) => void} room_end
 *
 * @typedef {object} Picture what there is to say to the room
 * @property {boolean} is_playing
 * @property {any} exercise
 * @property {any} settings
 * @property {any} [suggestion]
 * @property {{ id: number, text: import("./words.js").Phrase }[]} notices
 *
 * @typedef {object} RoomHooks
 * @property {(kept: any[]) => void} kept what is to be written down
 * @property {(picture: Picture, nowUs: number) => void} pictured
 * @property {(text: string) => void} cannot what a command met
 *
 * @typedef {object} Around
 * @property {() => number} nowMs
 * @property {(run: () => void, ms: number) => any} every
 * @property {(timer: any) => void} stop
 */

export class PracticeRoom {
  /** @param {RoomDoor} door @param {Around} around @param {RoomHooks} hooks */
  constructor(door, around, hooks) {
    this.door = door;
    this.around = around;
    this.hooks = hooks;
    /** When the practice began, ms of the page's clock. */
    this.noughtMs = 0;
    /** @type {HereSocket | null} */
    this.socket = null;
    this.timer = null;
  }

  /** Microseconds since the practice began. */
  nowUs() {
    return (this.around.nowMs() - this.noughtMs) * 1000;
  }

  /**
   * Begins a practice.
   * @param {{ section: string, a4_hz: number, lesson: object }} plan
   */
  open(plan) {
    this.noughtMs = this.around.nowMs();
    this.door.room_open(this.write(plan));
    this.take();
    this.around.stop(this.timer);
    this.timer = this.around.every(() => this.look(), LOOK_MS);
  }

  /** What looks like a socket to this room. */
  connect() {
    this.socket = new HereSocket(this);
    return this.socket;
  }

  /** @param {object} message from the device */
  hear(message) {
    const nBytes = this.write(message);
    this.door.room_hear(this.nowUs(), nBytes);
    this.take();
  }

  /** @param {object} command as a conductor's page says it */
  command(command) {
    const nBytes = this.write(command);
    this.door.room_command(this.nowUs(), nBytes);
    this.take();
    this.look();
  }

  look() {
    this.door.room_look(this.nowUs());
    this.take();
  }

  /** The practice is over: what was open is told to be kept as it is. */
  end() {
    this.around.stop(this.timer);
    this.door.room_end(this.nowUs());
    this.take();
    this.socket = null;
  }

  /** @param {object} what @returns {number} its length, bytes */
  write(what) {
    const bytes = new TextEncoder().encode(JSON.stringify(what));
    // The view is made after the call, which may make the memory grow.
    const at = this.door.input_ptr(bytes.length);
    new Uint8Array(this.door.memory.buffer, at, bytes.length).set(bytes);
    return bytes.length;
  }

  /** Carries on what the room has answered. */
  take() {
    const answer = JSON.parse(outputText(this.door));
    if (answer.kept.length > 0) this.hooks.kept(answer.kept);
    for (const letter of answer.letters) this.socket?.deliver(letter);
    if (answer.picture) this.hooks.pictured(answer.picture, this.nowUs());
    if (answer.cannot) this.hooks.cannot(phrase(answer.cannot));
  }
}

/** What a device says and hears goes by it; it is always open. */
class HereSocket {
  /** @param {PracticeRoom} room */
  constructor(room) {
    this.room = room;
    this.bufferedAmount = 0;
    /** @type {(event: any) => void} */
    this.onopen = () => {};
    /** @type {(event: any) => void} */
    this.onmessage = () => {};
    /** @type {(event: any) => void} */
    this.onclose = () => {};
    /** @type {(event: any) => void} */
    this.onerror = () => {};
    queueMicrotask(() => this.onopen({}));
  }

  /** @param {string} text */
  send(text) {
    const message = JSON.parse(text);
    if (message.type === "clock") {
      const nowUs = this.room.nowUs();
      this.deliver({ ...message, t2_us: nowUs, t3_us: nowUs });
    } else {
      this.room.hear(message);
    }
  }

  /** Never within a call of the device's own, as with a socket. @param {object} message */
  deliver(message) {
    queueMicrotask(() => this.onmessage({ data: JSON.stringify(message) }));
  }

  close() {
    if (this.room.socket === this) this.room.socket = null;
    this.onmessage = () => {};
  }
}
