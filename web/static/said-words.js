// What the room says, in words: phrases in its messages become texts where they arrive, so that nothing behind the socket
// knows of phrases. Knows which fields hold them; knows no page.

import { partName } from "./instrument-names.js";
import { phrase } from "./words.js";

/** @param {any} holder @param {string[]} fields */
function wordIn(holder, fields) {
  if (!holder) return;
  for (const field of fields) {
    if (holder[field] !== undefined && holder[field] !== null) holder[field] = phrase(holder[field]);
  }
}

/** A player's part, where the room made it up. @param {any} player */
function wordPart(player) {
  if (player?.part) player.part = partName(player.part, player.instrument);
}

/** A picture of the room, or what is different in it. @param {any} room */
function wordRoom(room) {
  wordIn(room, ["title"]);
  const { exercise } = room;
  wordIn(exercise, ["name", "next"]);
  wordIn(exercise?.brief, ["name"]);
  if (exercise?.names) exercise.names = exercise.names.map(phrase);
  for (const lane of room.lanes ?? []) {
    wordIn(lane, ["evidence"]);
    wordPart(lane);
  }
  for (const lane of room.changed ?? []) wordIn(lane, ["evidence"]);
  wordIn(room.say, ["text"]);
  wordIn(room.suggestion, ["text", "reason"]);
  for (const notice of room.notices ?? []) wordIn(notice, ["text"]);
}

/** @type {Record<string, (message: any) => void>} by a message's type */
const FIELDS = {
  room: wordRoom,
  "room-change": wordRoom,
  welcome(message) {
    wordIn(message.exercise, ["name"]);
    wordPart(message);
  },
  seat: (message) => wordPart(message),
  exercise: (message) => wordIn(message, ["name"]),
  you: (message) => wordIn(message, ["evidence", "sentence"]),
  notice: (message) => wordIn(message, ["text"]),
  refused: (message) => wordIn(message, ["text"]),
  "cannot-do": (message) => wordIn(message, ["text"]),
};

/**
 * A message as it came, with texts in place of its phrases.
 * @template {{ type: string }} T
 * @param {T} message changed in place
 * @returns {T}
 */
export function inWords(message) {
  FIELDS[message.type]?.(message);
  return message;
}
