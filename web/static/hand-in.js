// Handing in what was practised at home, when the player is in a rehearsal: quietly, one practice after another, and never twice, since
// each has an id of its own that the teacher's computer remembers. Storage and network come in as arguments; knows no page.

import { bodyOf, inOrder } from "./practice-record.js";

/** Where it is handed in. */
export const HAND_IN = "/practice/carry-in.json";

/** Answers that are about what was sent, and would be the same tomorrow. */
const AGAINST_THE_PRACTICE = new Set([400, 413, 422]);

/**
 * @typedef {object} HandedIn
 * @property {number} nTaken practices that are with the teacher now and were not before
 * @property {number} nRefused that the teacher's computer would not take
 * @property {number} nLeft for another time, since the way was lost or the computer busy
 */

/** What waits to be handed in. @param {import("./practice-record.js").Head[]} heads oldest first */
export const waiting = (heads) => inOrder(heads.filter((head) => head.handed_in_unix_ms === null && head.refused === "")).reverse();

/**
 * Hands in what waits.
 * @param {import("./practice-record.js").Shelf} shelf
 * @param {(body: string) => Promise<{ ok: boolean, status: number, json: () => Promise<any>, text: () => Promise<string> }>} post
 * @param {() => number} nowUnixMs
 * @returns {Promise<HandedIn>}
 */
export async function handIn(shelf, post, nowUnixMs) {
  const heads = waiting(await shelf.heads());
  const done = { nTaken: 0, nRefused: 0, nLeft: heads.length };
  for (const head of heads) {
    const answer = await post(await bodyOf(shelf, head)).catch(() => null);
    // Nobody there, too many at once, or a device that is not known yet: what is left waits for another time. The same practice sent again
    // counts once.
    if (!answer || (!answer.ok && !AGAINST_THE_PRACTICE.has(answer.status))) return done;
    if (answer.ok) {
      const { taken } = await answer.json().catch(() => ({ taken: true }));
      await shelf.putHead({ ...head, handed_in_unix_ms: nowUnixMs() });
      if (taken) done.nTaken += 1;
    } else {
      // It would say the same again.
      await shelf.putHead({ ...head, refused: (await answer.text().catch(() => "")).trim() || String(answer.status) });
      done.nRefused += 1;
    }
    done.nLeft -= 1;
  }
  return done;
}
