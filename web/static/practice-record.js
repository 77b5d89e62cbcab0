// What a device keeps of practising at home: one record a practice, written as it goes, until the teacher has it and there is need of
// room. Rules alone; where it is kept comes in as an argument (device-shelf.js). Knows no page and no network.

import { PROTOCOL_VERSION } from "./protocol-version.js";

/** What is new is written this often, ms: a page that is ended loses no more. */
export const WRITE_MS = 2000;
/** Practices that a device keeps: two months of five a week (our own choice). */
export const MOST_PRACTICES = 40;
/** Bytes that a device keeps, little beside what browsers give an origin (our own choice). */
export const MOST_BYTES = 40e6;
/** After this a practice ends, s: an hour of breath pulses is enough for a day (our own choice), and what it keeps stays small. */
export const LONGEST_S = 3600;
/** Shorter ones in which nothing was played are not kept, s. */
const SHORTEST_S = 2;

/**
 * @typedef {object} Head what is known of a practice without reading it
 * @property {string} origin_id made here, once
 * @property {number} began_unix_ms
 * @property {string} plan_title
 * @property {number} protocol_version
 * @property {string} name
 * @property {string} instrument slug
 * @property {number} played_s time in which something was asked of the player
 * @property {Rung | null} rung the highest that was held
 * @property {number} n_bytes
 * @property {number | null} handed_in_unix_ms
 * @property {string} refused why the teacher's computer would not take it; empty for none
 *
 * @typedef {{ bpm: number, per_beat: number }} Rung
 *
 * @typedef {object} Shelf where records are kept
 * @property {() => Promise<Head[]>} heads
 * @property {(head: Head) => Promise<void>} putHead
 * @property {(originId: string, place: number, text: string) => Promise<void>} putPiece a piece in the same place goes
 * @property {(originId: string) => Promise<string[]>} pieces in the order of their places
 * @property {(originId: string) => Promise<void>} drop head and pieces
 */

/** Runs are told again and again while they are played; each has a place behind everything else. */
const FIRST_RUN_PLACE = 1e6;

/** @param {any} run as the room tells it @returns {Rung[]} */
const held = (run) =>
  run.stretches
    .filter((/** @type {any} */ s) => s.held && s.target?.kind === "pulses")
    .map((/** @type {any} */ s) => ({ bpm: s.bpm, per_beat: s.target.per_beat }));

/** The higher of two rungs: the one with more pulses a second. @param {Rung | null} a @param {Rung | null} b */
export function higher(a, b) {
  if (!a || !b) return a ?? b;
  return b.bpm * b.per_beat > a.bpm * a.per_beat ? b : a;
}

/** One practice while it goes on. */
export class PracticeRecord {
  /**
   * @param {Shelf} shelf
   * @param {Pick<Head, "origin_id" | "began_unix_ms" | "plan_title" | "name" | "instrument">} who
   */
  constructor(shelf, who) {
    this.shelf = shelf;
    /** @type {Head} */
    this.head = {
      ...who,
      protocol_version: PROTOCOL_VERSION,
      played_s: 0,
      rung: null,
      n_bytes: 0,
      handed_in_unix_ms: null,
      refused: "",
    };
    /** @type {any[]} not written yet */
    this.waiting = [];
    /** Texts of runs that are not written yet, by number. @type {Map<number, string>} */
    this.runs = new Map();
    /** What the newest telling of each run says: time asked for, s, and its length. @type {Map<number, { s: number, nBytes: number }>} */
    this.told = new Map();
    this.nPieces = 0;
    this.nPieceBytes = 0;
    /** Writings follow one another. @type {Promise<void>} */
    this.written = Promise.resolve();
  }

  /** @param {any[]} kept as the room tells it */
  take(kept) {
    for (const one of kept) {
      if (one.type !== "run") {
        this.waiting.push(one);
        continue;
      }
      const text = JSON.stringify([one]);
      this.runs.set(one.told.number, text);
      const asked = one.stretches.map((/** @type {any} */ s) => s.asked_s);
      this.told.set(one.told.number, { s: asked.reduce((/** @type {number} */ a, /** @type {number} */ b) => a + b, 0), nBytes: text.length });
      this.head.rung = held(one).reduce(higher, this.head.rung);
    }
    const told = [...this.told.values()];
    this.head.played_s = told.reduce((sum, run) => sum + run.s, 0);
  }

  /** Whether there is anything worth keeping. */
  get isWorthKeeping() {
    return this.head.played_s >= SHORTEST_S;
  }

  /** Writes down what is new. @returns {Promise<void>} fails where the device keeps nothing */
  write() {
    this.written = this.written.catch(() => {}).then(() => this.writeNow());
    return this.written;
  }

  async writeNow() {
    if (!this.isWorthKeeping || (this.waiting.length === 0 && this.runs.size === 0)) return;
    const { shelf, head } = this;
    const [waiting, runs] = [this.waiting, this.runs];
    this.waiting = [];
    this.runs = new Map();
    try {
      if (waiting.length > 0) {
        const text = JSON.stringify(waiting);
        await shelf.putPiece(head.origin_id, this.nPieces, text);
        this.nPieces += 1;
        this.nPieceBytes += text.length;
      }
      for (const [number, text] of runs) await shelf.putPiece(head.origin_id, FIRST_RUN_PLACE + number, text);
      head.n_bytes = this.nPieceBytes + [...this.told.values()].reduce((sum, run) => sum + run.nBytes, 0);
      await shelf.putHead({ ...head });
    } catch (error) {
      // Another try writes it in the same places.
      this.waiting = [...waiting, ...this.waiting];
      this.runs = new Map([...runs, ...this.runs]);
      throw error;
    }
  }
}

/** Newest first. @param {Head[]} heads */
export const inOrder = (heads) => [...heads].sort((a, b) => b.began_unix_ms - a.began_unix_ms);

/**
 * Which practices have to go so that there is room: those handed in first, the oldest of them first.
 * @param {Head[]} heads
 * @returns {Head[]}
 */
export function inTheWay(heads) {
  const goes = [...heads].sort(
    (a, b) => Number(a.handed_in_unix_ms === null) - Number(b.handed_in_unix_ms === null) || a.began_unix_ms - b.began_unix_ms,
  );
  let [n, nBytes] = [heads.length, heads.reduce((sum, head) => sum + head.n_bytes, 0)];
  const gone = [];
  while (n > MOST_PRACTICES || nBytes > MOST_BYTES) {
    const head = goes[gone.length];
    gone.push(head);
    n -= 1;
    nBytes -= head.n_bytes;
  }
  return gone;
}

/** Makes room for another practice. @param {Shelf} shelf */
export async function makeRoom(shelf) {
  for (const head of inTheWay(await shelf.heads())) await shelf.drop(head.origin_id);
}

/**
 * Takes in a practice from a file, as another device or the terminal has saved it; the same one twice is one.
 * @param {Shelf} shelf @param {string} text
 * @returns {Promise<boolean>} whether it is a practice with something in it
 */
export async function takeFile(shelf, text) {
  try {
    const { origin_id, began_unix_ms, plan_title, protocol_version, name, instrument, kept } = JSON.parse(text);
    if (typeof origin_id !== "string" || !Number.isFinite(began_unix_ms) || typeof name !== "string") return false;
    const known = (await shelf.heads()).some((head) => head.origin_id === origin_id);
    if (known) return true;
    const record = new PracticeRecord(shelf, { origin_id, began_unix_ms, plan_title, name, instrument });
    record.head.protocol_version = protocol_version;
    record.take(kept);
    await record.write();
    return record.isWorthKeeping;
  } catch {
    return false;
  }
}

/**
 * A practice as it is handed in.
 * @param {Shelf} shelf @param {Head} head
 * @returns {Promise<string>}
 */
export async function bodyOf(shelf, head) {
  // Pieces are lists as texts; joined as texts they need not be read.
  const pieces = (await shelf.pieces(head.origin_id)).map((text) => text.slice(1, -1)).filter(Boolean);
  const { origin_id, began_unix_ms, plan_title, protocol_version, name, instrument } = head;
  const about = JSON.stringify({ origin_id, began_unix_ms, invented: false, plan_title, protocol_version, name, instrument });
  return `${about.slice(0, -1)},"kept":[${pieces.join(",")}]}`;
}
