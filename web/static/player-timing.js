// "Set my timing" on the player's page: the dialog in which the device's delay is measured, and the line that says whether
// it was. The course is calibration-run.js's, the words timing-words.js's. Knows no socket; who must know is told.

import { CalibrationRun, leadIn } from "./calibration-run.js";
import { DeviceTiming } from "./device-timing.js";
import { openedByButtons } from "./dialog-openers.js";
import { keep, recall } from "./kept.js";
import { beforehand, outcomeWords, progressWords } from "./timing-words.js";
import { word } from "./words.js";

/** Peak of the clicks that the device plays to itself, dB under full scale: soft at arm's length. Common practice. */
const LOUDSPEAKER_DB = -14;

/** Opening the microphone is itself told as a change of devices by some browsers, so much later at most, ms. */
const OPENING_MS = 2000;

export class PlayerTiming {
  /**
   * @param {Document} page
   * @param {object} hooks
   * @param {() => import("./listen.js").Listening | null} hooks.listening
   * @param {() => import("./tick.js").Tick | null} hooks.tick
   * @param {() => boolean} hooks.isPlaying whether music runs
   * @param {(isCalibrated: boolean) => void} hooks.changed for the room
   */
  constructor(page, hooks) {
    this.page = page;
    this.hooks = hooks;
    this.timing = new DeviceTiming({ recall, keep }, () => this.changed());
    /** @type {CalibrationRun | null} */
    this.run = null;
    this.dialog = /** @type {HTMLDialogElement} */ (this.at("timing-dialog"));
    openedByButtons(this.page, "timing", this.dialog, () => this.open());
    this.at("timing-loudspeaker").addEventListener("click", () => this.measure("loudspeaker"));
    this.at("timing-taps").addEventListener("click", () => this.measure("taps"));
    this.at("timing-cancel").addEventListener("click", () => this.run?.stop("cancelled"));
    this.at("timing-forget").addEventListener("click", () => this.timing.forget());
    this.dialog.addEventListener("close", () => this.run?.stop("cancelled"));
    this.openedMs = -Infinity;
    navigator.mediaDevices?.addEventListener?.("devicechange", () => {
      if (performance.now() - this.openedMs > OPENING_MS) this.look("devices changed");
    });
    this.show();
  }

  /** @param {string} id @returns {any} */
  at(id) {
    return this.page.getElementById(id);
  }

  get isCalibrated() {
    return this.timing.isCalibrated;
  }

  open() {
    const tickDialog = /** @type {HTMLDialogElement} */ (this.at("tick-dialog"));
    if (tickDialog.open) tickDialog.close();
    this.say("");
    this.show();
    this.dialog.showModal();
  }

  /**
   * Looks which microphone and loudspeaker there are; call once the microphone is open.
   * @param {"first look" | "devices changed"} why
   */
  async look(why) {
    const listening = this.hooks.listening();
    const track = listening?.stream.getAudioTracks()[0];
    if (!listening || !track) return;
    if (why === "first look") this.openedMs = performance.now();
    const devices = await navigator.mediaDevices.enumerateDevices().catch(() => []);
    const microphone = { deviceId: track.getSettings().deviceId, label: track.label };
    this.timing.look(devices, microphone, listening.context.sampleRate, why);
    listening.setDelay(this.timing.delayMs);
    this.show();
  }

  changed() {
    this.hooks.listening()?.setDelay(this.timing.delayMs);
    this.hooks.changed(this.timing.isCalibrated);
    this.show();
  }

  /** The music began or ended. */
  musicChanged() {
    if (this.hooks.isPlaying()) this.run?.stop("music");
    this.show();
  }

  /** @param {import("./calibration-take.js").CalibrationMode} mode */
  async measure(mode) {
    const listening = this.hooks.listening();
    const tick = this.hooks.tick();
    if (this.run || !listening || !tick) return;
    const { sampleRate } = listening.context;
    // The door looks for the bright click alone; to tap with, the player's own will do.
    const [sound, volumeDb] = mode === "loudspeaker" ? [/** @type {const} */ ("bright"), LOUDSPEAKER_DB] : [tick.sound, tick.volumeDb];
    this.run = new CalibrationRun({
      sampleRateHz: sampleRate,
      frameNow: () => listening.context.currentTime * sampleRate,
      playAlone: (frames, played) => tick.playAlone(frames, sound, volumeDb, played),
      tellWorker: (order) => listening.worker.postMessage(order),
      later: (run, ms) => setTimeout(run, ms),
      cancelLater: (timer) => clearTimeout(timer),
    });
    listening.calibrated = (result) => this.run?.take(result);
    this.say(beforehand(mode));
    this.show();
    try {
      const result = await this.run.start(mode, (nPlayed, nClicks) => {
        this.say(progressWords(mode, nPlayed, nClicks, leadIn(mode)));
      });
      const { text, isGood } = outcomeWords(mode, result);
      if (isGood) {
        this.timing.measured({ delayMs: result.delay_ms ?? 0, scatterMs: result.scatter_ms ?? 0, mode });
      }
      this.say(text);
    } catch (error) {
      this.say(word("timing-cannot", { why: error instanceof Error ? error.message : String(error) }));
    }
    this.run = null;
    this.show();
  }

  /** @param {string} text */
  say(text) {
    this.at("timing-said").textContent = text;
  }

  show() {
    const isRunning = this.run !== null;
    const isPossible = this.hooks.listening() !== null;
    this.at("timing").hidden = !isPossible || this.timing.isCalibrated;
    this.at("timing-none").textContent = word("timing-not-measured");
    this.at("timing-now").textContent = this.timing.isCalibrated
      ? word("timing-is-set", { ms: Math.round(this.timing.delayMs ?? 0) })
      : word("timing-is-not-set");
    const isBarred = isRunning || !isPossible || this.hooks.isPlaying();
    for (const id of ["timing-loudspeaker", "timing-taps"]) this.at(id).disabled = isBarred;
    this.at("timing-wait").hidden = isRunning || !this.hooks.isPlaying();
    this.at("timing-cancel").hidden = !isRunning;
    this.at("timing-close").hidden = isRunning;
    this.at("timing-forget").hidden = isRunning || !this.timing.isCalibrated;
  }
}
