// What the player's device has heard lately: its own pulses, pitch centres and newest reading, kept for one page of the
// lane. Pure; takes the protocol's messages as they leave the device. Knows no page.

import { centsText } from "./exercise-words.js";
import { figure, word } from "./words.js";

/** Kept for drawing, µs: the longest bar at the slowest mark (12 beats at 40) lasts 18 s. */
const KEPT_US = 20e6;
/** The loudness is kept longer, µs: a bar behind the present one, at the slowest. */
const LEVELS_US = 40e6;
/** A reading older than this says nothing about now, µs. */
const FRESH_US = 1.5e6;

export class PlayerHearing {
  constructor() {
    /** @type {{ time_us: number, depth_db: number, swing_cents: number, choked: boolean }[]} */
    this.pulses = [];
    /** @type {{ timeUs: number, cents: number }[]} */
    this.centres = [];
    /** @type {number[]} */
    this.heardUs = [];
    /** Loudness while a tone sounded. @type {{ timeUs: number, levelDb: number }[]} */
    this.levels = [];
    /** Stretches in which this device did not listen; the last one may still go on. @type {{ fromUs: number, toUs: number }[]} */
    this.gaps = [];
    /** @type {any} */
    this.reading = null;
    /** Constant offset of a device that is not calibrated, as the room tells it, µs. */
    this.leftOutUs = 0;
  }

  /** @param {number | undefined} ms what the room leaves out of this player's pulses */
  leaveOut(ms) {
    this.leftOutUs = (ms ?? 0) * 1000;
  }

  /** The pulses as the conductor's page draws them too: without the device's constant offset. */
  drawnPulses() {
    return this.pulses.map((pulse) => ({ ...pulse, time_us: pulse.time_us - this.leftOutUs }));
  }

  /** @param {any} message a reading or a pulse batch */
  take(message) {
    if (message.type === "pulses") this.takePulses(message.pulses);
    if (message.type === "reading") this.takeReading(message);
  }

  /** @param {any[]} pulses */
  takePulses(pulses) {
    this.pulses.push(...pulses.map((pulse) => ({ ...pulse, choked: pulse.choked === true })));
    const newest = this.pulses[this.pulses.length - 1]?.time_us ?? 0;
    this.pulses = this.pulses.filter((pulse) => pulse.time_us > newest - KEPT_US);
  }

  /** @param {any} reading */
  takeReading(reading) {
    this.reading = reading;
    const since = reading.time_us - KEPT_US;
    if (reading.hearing === "straight" || reading.hearing === "pulsed") {
      this.heardUs.push(reading.time_us);
      if (reading.trusted) this.levels.push({ timeUs: reading.time_us, levelDb: reading.level_db });
    }
    const cents = reading.centre_cents ?? (reading.hearing === "straight" ? reading.cents : undefined);
    if (cents !== undefined && reading.trusted) this.centres.push({ timeUs: reading.time_us, cents });
    this.heardUs = this.heardUs.filter((us) => us > since);
    this.centres = this.centres.filter((centre) => centre.timeUs > since);
    this.levels = this.levels.filter(({ timeUs }) => timeUs > reading.time_us - LEVELS_US);
  }

  /**
   * This device listens no more, or again.
   * @param {boolean} isListening @param {number} nowUs server time
   */
  listens(isListening, nowUs) {
    const last = this.gaps[this.gaps.length - 1];
    if (last?.toUs === Infinity) {
      if (isListening) last.toUs = nowUs;
    } else if (!isListening) {
      this.gaps = this.gaps.filter(({ toUs }) => toUs > nowUs - KEPT_US);
      this.gaps.push({ fromUs: nowUs, toUs: Infinity });
    }
  }

  /**
   * The newest reading, if it still speaks for now.
   * @param {number} nowUs
   */
  fresh(nowUs) {
    return this.reading && nowUs - this.reading.time_us < FRESH_US ? this.reading : null;
  }

  /**
   * The lane in words, for those who do not see it.
   * @param {number} nowUs
   */
  inWords(nowUs) {
    if (this.gaps[this.gaps.length - 1]?.toUs === Infinity) return word("play-lane-unmeasured");
    const reading = this.fresh(nowUs);
    if (!reading || reading.hearing === "silence") return word("play-lane-silent");
    const parts = [];
    if (reading.pulse_rate_hz !== undefined) parts.push(word("play-lane-rate", { hz: figure(reading.pulse_rate_hz, 2) }));
    if (reading.depth_db_pp !== undefined) parts.push(word("play-lane-depth", { db: Math.round(reading.depth_db_pp) }));
    if (reading.centre_cents !== undefined) parts.push(word("play-lane-centre", { cents: centsText(reading.centre_cents) }));
    return word("play-lane-heard", { what: parts.length > 0 ? parts.join(", ") : word("play-lane-straight") });
  }
}
