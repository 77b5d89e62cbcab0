// What the player's device has heard lately: its own pulses, pitch centres and newest reading, kept for one page of the
// lane. Pure; takes the protocol's messages as they leave the device. Knows no page.

/** Kept for drawing, µs: the longest bar at the slowest mark (12 beats at 40) lasts 18 s. */
const KEPT_US = 20e6;
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
    if (reading.hearing === "straight" || reading.hearing === "pulsed") this.heardUs.push(reading.time_us);
    const cents = reading.centre_cents ?? (reading.hearing === "straight" ? reading.cents : undefined);
    if (cents !== undefined && reading.trusted) this.centres.push({ timeUs: reading.time_us, cents });
    this.heardUs = this.heardUs.filter((us) => us > since);
    this.centres = this.centres.filter((centre) => centre.timeUs > since);
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
    const reading = this.fresh(nowUs);
    if (!reading || reading.hearing === "silence") return "Your lane: no tone is heard.";
    const parts = [];
    if (reading.pulse_rate_hz !== undefined) parts.push(`${reading.pulse_rate_hz.toFixed(2)} pulses a second`);
    if (reading.depth_db_pp !== undefined) parts.push(`depth ${Math.round(reading.depth_db_pp)} dB`);
    if (reading.centre_cents !== undefined) parts.push(`pitch centre ${Math.round(reading.centre_cents)} cents`);
    return `Your lane: ${parts.length > 0 ? parts.join(", ") : "a tone without pulses"}.`;
  }
}
