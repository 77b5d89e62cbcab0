// A player's check of the microphone: some seconds of silence, then one long straight note, and what both say of the way from
// the instrument to the room. Pure: readings and the time come in, findings come out. Knows no page and no words.

import { midiOf } from "./written-note.js";

/** Silence that is listened to, ms, and what is left out before it: the press on the button is heard too. */
const SETTLING_MS = 700;
const QUIET_MS = 3000;
/** The tone: longest wait for it, what is left out of its beginning (the attack), and how long it is listened to, ms. */
const TONE_WITHIN_MS = 10_000;
const ATTACK_MS = 300;
const TONE_MS = 5000;
/** Parts of the tone whose levels are compared, ms: a short one after the attack, since a control turns at once, and its end. */
const FIRST_MS = 500;
const LAST_MS = 1000;

/**
 * Levels under this are a microphone that is switched off, dB re full scale: rounding to 16 bits alone has -98 (a step's
 * square over twelve).
 */
const DEAD_DB = -105;
/** A tone that loses so much, or all, is cut off by the device: its own fall in five seconds is less. Our own choice, dB. */
const GATED_DB = 20;
/** A tone that was gone before this was not held, or was cut off, ms. */
const HELD_MS = 4000;
/** A held tone whose level changes by more is turned, dB. Our own choice: twice what a steady tone of a learner wavers. */
const TURNED_DB = 6;
/** Tone over room, dB: with 20 dB the analysis keeps its budgets (the project's own reference run has white and pink noise of 20). */
const CLEAR_DB = 20;
/** Softer tones are near a phone's own noise, dB re full scale. Common practice, no source. */
const SOFT_DB = -50;
/** Below this sample rate the device hears through a headset made for speech, Hz. */
const FULL_RATE_HZ = 32_000;
/** Half way to the next note, semitones. */
const OTHER_NOTE = 0.5;

/**
 * @typedef {"dead" | "no-tone" | "clipped" | "gated" | "level-turned" | "headset" | "noisy" | "soft" | "other-note" | "processed"} Finding
 *
 * @typedef {object} CheckResult
 * @property {Finding[]} findings worst first
 * @property {number | null} toneDb
 * @property {number | null} noiseDb
 * @property {number | null} heardMidi sounding, with fraction
 * @property {number | null} expectedMidi sounding
 * @property {number} heldS how long the tone was heard, s
 * @property {number} changeDb from the tone's beginning to its end
 * @property {number | null} sampleRateHz
 * @property {string[]} stillOn
 *
 * @typedef {object} CheckSetting
 * @property {number | null} expectedMidi sounding note that is asked of the player; null where none is
 * @property {boolean} isMusicOn others play, so that the silence is not the room's
 * @property {{ sample_rate_hz?: number, still_on?: string[] }} report of the microphone
 */

/** @param {number[]} values @returns {number | null} */
function median(values) {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}

/** Sounding pitch of a reading with a tone, MIDI with fraction. @param {any} reading @returns {number | null} */
function pitchOf(reading) {
  const midi = reading.note === undefined ? null : midiOf(reading.note);
  const cents = reading.centre_cents ?? reading.cents;
  return midi === null || cents === undefined ? null : midi + cents / 100;
}

export class MicrophoneCheck {
  /** @param {CheckSetting} setting @param {number} nowMs */
  constructor(setting, nowMs) {
    this.setting = setting;
    this.startMs = nowMs;
    /** @type {"quiet" | "tone" | "done"} */
    this.phase = "quiet";
    /** @type {number[]} */
    this.quietDb = [];
    this.toneSinceMs = NaN;
    /** When the tone began, ms. */
    this.onsetMs = NaN;
    /** @type {{ atMs: number, levelDb: number, pitch: number | null, capture: any }[]} since the tone began */
    this.heard = [];
    this.isAnythingHeard = false;
  }

  /** @param {any} reading @param {number} nowMs when it came */
  take(reading, nowMs) {
    this.pass(nowMs);
    if (reading.level_db > DEAD_DB) this.isAnythingHeard = true;
    if (this.phase === "quiet" && nowMs - this.startMs >= SETTLING_MS) this.quietDb.push(reading.level_db);
    if (this.phase !== "tone") return;
    const pitch = pitchOf(reading);
    if (Number.isNaN(this.onsetMs) && pitch !== null) this.onsetMs = nowMs;
    if (Number.isNaN(this.onsetMs)) return;
    this.heard.push({ atMs: nowMs - this.onsetMs, levelDb: reading.level_db, pitch, capture: reading.capture });
  }

  /** Time passes, whether or not anything is heard. @param {number} nowMs */
  pass(nowMs) {
    if (this.phase === "quiet" && nowMs - this.startMs >= SETTLING_MS + QUIET_MS) {
      this.phase = "tone";
      this.toneSinceMs = nowMs;
    }
    if (this.phase !== "tone") return;
    const isOver = Number.isNaN(this.onsetMs) ? nowMs - this.toneSinceMs >= TONE_WITHIN_MS : nowMs - this.onsetMs >= TONE_MS;
    if (isOver) this.phase = "done";
  }

  /** Whether the tone has begun. */
  get isSounding() {
    return !Number.isNaN(this.onsetMs);
  }

  /** How far the present part is, 0 to 1. @param {number} nowMs */
  share(nowMs) {
    if (this.phase === "done") return 1;
    if (this.phase === "quiet") return Math.min((nowMs - this.startMs) / (SETTLING_MS + QUIET_MS), 1);
    return this.isSounding ? Math.min((nowMs - this.onsetMs) / TONE_MS, 1) : 0;
  }

  /** @returns {CheckResult} */
  result() {
    const { setting } = this;
    const tone = this.heard.filter((h) => h.pitch !== null && h.atMs >= ATTACK_MS);
    const lastMs = tone.length > 0 ? tone[tone.length - 1].atMs : 0;
    const levels = (/** @type {number} */ fromMs, /** @type {number} */ toMs) =>
      median(tone.filter((h) => h.atMs >= fromMs && h.atMs < toMs).map((h) => h.levelDb));
    const firstDb = levels(ATTACK_MS, ATTACK_MS + FIRST_MS);
    const endDb = levels(lastMs - LAST_MS, lastMs + 1);
    const changeDb = firstDb === null || endDb === null ? 0 : endDb - firstDb;
    const captures = this.heard.map((h) => h.capture).filter((capture) => capture !== undefined);
    /** @type {CheckResult} */
    const result = {
      findings: [],
      toneDb: median(tone.map((h) => h.levelDb)),
      noiseDb: median(this.quietDb),
      heardMidi: median(tone.map((h) => /** @type {number} */ (h.pitch))),
      expectedMidi: setting.expectedMidi,
      heldS: lastMs / 1000,
      changeDb,
      sampleRateHz: setting.report.sample_rate_hz ?? null,
      stillOn: setting.report.still_on ?? [],
    };
    const { toneDb, noiseDb, heardMidi, expectedMidi } = result;
    // Of a tone that faded what counts is how loud it was.
    const overRoomDb = toneDb === null || noiseDb === null ? Infinity : Math.max(toneDb, firstDb ?? toneDb) - noiseDb;
    const isGated = toneDb !== null && (lastMs < HELD_MS || changeDb <= -GATED_DB);
    const has = {
      dead: !this.isAnythingHeard,
      "no-tone": this.isAnythingHeard && toneDb === null,
      clipped: captures.some((capture) => capture.clips),
      gated: isGated,
      "level-turned": !isGated && (Math.abs(changeDb) >= TURNED_DB || captures.some((capture) => capture.gain_riding)),
      headset: (result.sampleRateHz ?? FULL_RATE_HZ) < FULL_RATE_HZ || captures.some((capture) => capture.band_hz !== undefined),
      noisy: !setting.isMusicOn && overRoomDb < CLEAR_DB,
      soft: toneDb !== null && toneDb < SOFT_DB,
      "other-note": heardMidi !== null && expectedMidi !== null && Math.abs(heardMidi - expectedMidi) >= OTHER_NOTE,
      processed: result.stillOn.length > 0,
    };
    result.findings = /** @type {Finding[]} */ (Object.keys(has)).filter((finding) => has[finding]);
    return result;
  }
}

/**
 * What the room is told of a check.
 * @param {CheckResult} result
 */
export function checkMessage({ findings, toneDb, noiseDb }) {
  const tenths = (/** @type {number} */ db) => Math.round(Math.max(db, -120) * 10) / 10;
  return {
    type: "check",
    findings,
    ...(toneDb === null ? {} : { tone_db: tenths(toneDb) }),
    ...(noiseDb === null ? {} : { noise_db: tenths(noiseDb) }),
  };
}
