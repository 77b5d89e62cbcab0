// The picture of the room that a conductor's page has: the first one comes whole, then what is different. Pure; knows neither
// socket nor page.

/** What a page says first over each connection; without it every picture comes whole. */
export const ASK_FOR_CHANGES = { type: "changes" };

/**
 * What is different takes the place of what was; null is what there is not any more.
 * @param {Record<string, any>} known
 * @param {Record<string, any>} told
 */
function changed(known, told) {
  const now = { ...known, ...told };
  for (const [field, value] of Object.entries(told)) if (value === null) delete now[field];
  return now;
}

/** A row without its oldest, and with what is new. @param {any[]} row @param {{ gone?: number, new?: any[] } | undefined} told */
const moved = (row, told) => (told ? row.slice(told.gone ?? 0).concat(told.new ?? []) : row);

/** @param {any} lane @param {any} told */
function changedLane(lane, { place: _, pulses, centre_tail: tail, ...told }) {
  return { ...changed(lane, told), pulses: moved(lane.pulses, pulses), centre_tail: moved(lane.centre_tail, tail) };
}

export class RoomPicture {
  constructor() {
    /** @type {any} the room as it is, once it is known; never changed in place */
    this.now = null;
  }

  /**
   * @param {any} message of the room
   * @returns {any} the picture as it is now, or null where the message tells nothing of it
   */
  take(message) {
    if (message.type === "room") {
      this.now = changed({}, message);
    } else if (message.type === "room-change" && this.now) {
      const { type: _, changed: lanes = [], ...told } = message;
      const now = changed(this.now, told);
      if (lanes.length > 0) {
        now.lanes = [...now.lanes];
        for (const lane of lanes) now.lanes[lane.place] = changedLane(now.lanes[lane.place], lane);
      }
      this.now = now;
    } else {
      return null;
    }
    return this.now;
  }
}
