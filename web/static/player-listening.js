// The microphone on the player's page: opened, started, interrupted and opened again, and what the player reads of that. Wires
// microphone.js and listen.js to notices; knows no socket and no lane.

import { CaptureTrouble } from "./capture-words.js";
import { Listening } from "./listen.js";
import { MicrophoneTrouble, openMicrophone } from "./microphone.js";
import { word } from "./words.js";

/** @typedef {import("./shared-time.js").SharedTime} SharedTime */

export class PlayerListening {
  /**
   * @param {object} hooks
   * @param {() => Promise<{ module: WebAssembly.Module, bytes: () => Promise<ArrayBuffer> }>} hooks.door
   * @param {() => SharedTime | null} hooks.time
   * @param {(message: any) => void} hooks.measured a reading, pulse batch or span result
   * @param {(report: any) => void} hooks.reported of the microphone, for the room
   * @param {(about: string, text: string, weight?: import("./player-view.js").Weight) => void} hooks.notice
   * @param {(hears: boolean) => void} hooks.hearsChanged
   */
  constructor(hooks) {
    this.hooks = hooks;
    /** @type {Listening | null} */
    this.listening = null;
    /** @type {any} the microphone's last report, told again after a break */
    this.microphone = null;
    this.capture = new CaptureTrouble();
    /** Whether what has ended is being opened again without a press. */
    this.isReopening = false;
  }

  /** Whether this device hears its player now. */
  get hears() {
    return this.listening?.interruption?.hears ?? false;
  }

  /** @returns {Promise<MediaStream | null>} null where there is none; the reason is shown once the player is in */
  async ask() {
    try {
      return await openMicrophone(navigator);
    } catch (error) {
      const trouble = error instanceof MicrophoneTrouble ? error : new MicrophoneTrouble("missing", String(error));
      this.report({ type: "microphone", status: trouble.status });
      this.hooks.notice("microphone", `${trouble.message} ${word("play-unmeasured-until-then")}`, "lasting");
      return null;
    }
  }

  /** @param {MediaStream} stream */
  async open(stream) {
    const { hooks } = this;
    const time = () => hooks.time();
    this.listening = new Listening(stream, await hooks.door(), {
      message: (message) => {
        if (message.type === "reading") {
          this.capture.takeCapture(message.capture, performance.now());
          this.showCapture();
        }
        hooks.measured(message);
      },
      report: (message) => this.report(message),
      interrupted: (way) => this.interrupted(way),
      isSeen: () => document.visibilityState === "visible",
      trouble: (what, detail) => hooks.notice("listening", what === "stopped" ? word("play-listening-stopped") : (detail ?? ""), "heavy"),
      isClockKnown: () => time()?.isKnown() ?? false,
      serverUsAt: (pageMs) => time()?.serverUsAt(pageMs) ?? NaN,
    });
    hooks.notice("microphone", "");
    hooks.notice("listening", "");
  }

  showCapture() {
    this.hooks.notice("capture", this.capture.inWords(performance.now()));
  }

  /** @param {any} message of type "microphone" */
  report(message) {
    this.microphone = message;
    this.hooks.reported(message);
    this.capture.takeReport(message);
    this.showCapture();
  }

  /** @param {import("./interruption.js").Way} way */
  interrupted(way) {
    const hears = way === "hears";
    this.hooks.hearsChanged(hears);
    // A context that was suspended goes on by itself where it may; a microphone that another program has, when that lets go.
    const isComingBack = way === "stopped" && this.listening?.context.state !== "running";
    if (hears) this.hooks.notice("microphone", "");
    else this.hooks.notice("microphone", word(isComingBack ? "play-interrupted" : "play-taken-away"), "listen");
  }

  /**
   * The player pressed, or a stream has ended: goes on with what there is, or opens the microphone anew.
   * @returns {Promise<Listening | null>} one that is to be started; null where nothing more is to do
   */
  async again() {
    if (this.listening && (await this.listening.wakeInPress())) return null;
    const stream = await this.ask();
    if (!stream) return null;
    this.listening?.stop();
    await this.open(stream);
    this.hooks.hearsChanged(true);
    return this.listening;
  }

  /**
   * A stream that has ended, as when a headset is pulled out: opened again once, without a press, where the page is in front.
   * @param {() => Promise<void>} listenAgain
   */
  async reopen(listenAgain) {
    if (this.isReopening || !this.listening?.interruption?.hasEnded || document.visibilityState !== "visible") return;
    this.isReopening = true;
    await listenAgain().catch(() => {});
    this.isReopening = false;
  }

  /** The page is in front again. */
  wake() {
    this.listening?.wake();
  }

  stop() {
    this.listening?.stop();
    this.listening = null;
  }
}
