// The page's part of listening: audio context, worklet and Worker wired together, and where the audio clock lies in
// server time. Messages come out as the protocol's objects. Knows neither the socket nor what is drawn.

import { AudioClock } from "./audio-clock.js";
import { Interruption } from "./interruption.js";
import { stillOn } from "./microphone.js";
import { word } from "./words.js";

/** A context that has not begun to run by then after a press does not, ms. Our own choice. */
const RESUME_MS = 800;

/**
 * @typedef {object} ListenHooks
 * @property {(message: any) => void} message a reading, pulse batch or span result
 * @property {(report: { type: "microphone", status: string, sample_rate_hz?: number, still_on?: string[] }) => void} report
 * @property {(way: import("./interruption.js").Way) => void} interrupted whether the device hears is another matter now
 * @property {() => boolean} isSeen whether the page is in front
 * @property {(what: "stopped" | "door", detail?: string) => void} trouble
 * @property {() => boolean} isClockKnown
 * @property {(pageMs: number) => number} serverUsAt
 */

export class Listening {
  /**
   * Call inside the click that asked for it, once the microphone is open: the context must come after it.
   * @param {MediaStream} stream
   * @param {{ module: WebAssembly.Module, bytes: () => Promise<ArrayBuffer> }} door
   * @param {ListenHooks} hooks
   */
  constructor(stream, door, hooks) {
    this.stream = stream;
    this.door = door;
    this.hooks = hooks;
    this.context = new AudioContext({ latencyHint: "interactive" });
    this.clock = new AudioClock(this.context, () => this.tellTime());
    this.clock.slipped = (fromS, toS) => this.tellInvalid(fromS, toS);
    this.worker = new Worker(new URL("./listen-worker.js", import.meta.url), { type: "module" });
    this.worker.onmessage = (event) => this.heard(event.data);
    this.worker.onerror = () => hooks.trouble("stopped");
    /** @type {MediaStreamAudioSourceNode | null} kept, or the engine may collect it and fall silent */
    this.source = null;
    /** @type {AudioWorkletNode | null} */
    this.node = null;
    /** @type {Interruption | null} */
    this.interruption = null;
    this.isStarted = false;
    /** @type {number | null} measured delay from a frame's way out of the loudspeaker to its coming in, ms */
    this.delayMs = null;
    /** Whether this device sounds the tick. */
    this.isOwnTick = false;
    /** @type {(result: import("./calibration-take.js").CalibrationResult | null) => void} */
    this.calibrated = () => {};
  }

  /**
   * Starts the stream of readings, once.
   * @param {number} a4Hz
   */
  async start(a4Hz) {
    if (this.isStarted) return;
    if (!this.context.audioWorklet) throw new Error(word("play-listen-too-old"));
    this.isStarted = true;
    const { context } = this;
    if (context.state !== "running") await context.resume().catch(() => {});
    await context.audioWorklet.addModule(new URL("./listen-processor.js", import.meta.url).href);
    const opened = new Promise((resolve) => {
      this.whenOpened = resolve;
    });
    await this.postDoor(a4Hz);
    await opened;

    this.node = new AudioWorkletNode(context, "listen", {
      numberOfInputs: 1,
      numberOfOutputs: 1,
      channelCount: 1,
      channelCountMode: "explicit",
    });
    const channel = new MessageChannel();
    this.node.port.postMessage({ out: channel.port1 }, [channel.port1]);
    this.worker.postMessage({ type: "samples-from", port: channel.port2 }, [channel.port2]);
    this.source = context.createMediaStreamSource(this.stream);
    // The node gives silence out; some engines only run a node that leads somewhere.
    this.source.connect(this.node).connect(context.destination);

    const [track] = this.stream.getAudioTracks();
    this.interruption = new Interruption({
      context,
      track,
      tell: (way) => this.interrupted(way, track),
      isSeen: this.hooks.isSeen,
      later: (run, ms) => setTimeout(run, ms),
      cancel: (timer) => clearTimeout(timer),
    });
    this.report("listening", track);
    this.interruption.look();
  }

  /** @param {import("./interruption.js").Way} way @param {MediaStreamTrack} track */
  interrupted(way, track) {
    const hears = way === "hears";
    // A muted track gives silence, which would read as a player who stopped: it is left out.
    this.worker.postMessage({ type: "deaf", isDeaf: !hears });
    this.hooks.interrupted(way);
    this.report(hears ? "listening" : "lost", track);
  }

  /** @param {string} status @param {MediaStreamTrack} track */
  report(status, track) {
    const settings = track.getSettings();
    const { sampleRate } = this.context;
    this.hooks.report({
      type: "microphone",
      status,
      // A headset's own rate shows in the track; the context's is that of the device's output.
      sample_rate_hz: Math.min(sampleRate, settings.sampleRate ?? sampleRate),
      still_on: stillOn(settings),
    });
  }

  /** @param {number} a4Hz */
  async postDoor(a4Hz) {
    const order = { type: "open", sampleRateHz: this.context.sampleRate, a4Hz };
    try {
      this.worker.postMessage({ ...order, module: this.door.module });
    } catch {
      // Some engines cannot hand a compiled module to a Worker.
      this.worker.postMessage({ ...order, bytes: await this.door.bytes() });
    }
  }

  /** @param {any} said */
  heard(said) {
    switch (said.type) {
      case "messages":
        for (const message of said.messages) this.hooks.message(message);
        break;
      case "opened":
        this.whenOpened?.(undefined);
        this.setOwnTick(this.isOwnTick);
        break;
      case "calibrated":
        this.calibrated(said.result);
        break;
      case "trouble":
        this.hooks.trouble("door", said.text);
        break;
    }
  }

  /** Tells the Worker where a frame of just now lies in server time. */
  tellTime() {
    const offsetMs = this.clock.offsetMs();
    if (offsetMs === null || !this.hooks.isClockKnown()) return;
    const { currentTime, sampleRate } = this.context;
    const serverUs = this.hooks.serverUsAt(currentTime * 1000 + offsetMs - this.captureLagMs());
    this.worker.postMessage({ type: "time", frame: currentTime * sampleRate, serverUs });
  }

  /** @param {number} fromS @param {number} toS audio times between which the context fell behind */
  tellInvalid(fromS, toS) {
    const { sampleRate } = this.context;
    this.worker.postMessage({ type: "invalid", fromFrame: fromS * sampleRate, toFrame: toS * sampleRate });
  }

  /** @param {boolean} isOwn whether this device sounds the tick, whatever the score says: it is taken out of the sound */
  setOwnTick(isOwn) {
    this.isOwnTick = isOwn;
    this.worker.postMessage({ type: "own-tick", isOwn });
  }

  /** @param {number | null} delayMs as measured with this microphone and loudspeaker; null where it was not */
  setDelay(delayMs) {
    this.delayMs = delayMs;
    this.tellTime();
  }

  /**
   * How much earlier than its frame's way out of the loudspeaker a sound came in: the map tells when a frame is heard,
   * the microphone's block with the same frame was in the room before that. Measured, or else as far as the device says;
   * what it does not say stays as a constant offset, which the room takes out.
   */
  captureLagMs() {
    if (this.delayMs !== null) return this.delayMs;
    const settings = /** @type {any} */ (this.stream.getAudioTracks()[0]?.getSettings() ?? {});
    const inS = Number.isFinite(settings.latency) ? settings.latency : 0;
    // A device that claims more than half a second is not believed.
    return Math.min(Math.max(this.clock.outputLagS() + inS, 0), 0.5) * 1000;
  }

  /** @param {object | null} score @param {number} chair whose notes are listened for */
  setScore(score, chair) {
    this.worker.postMessage({ type: "score", score, chair });
  }

  /** @param {number} seq last pulse batch or span result that need not be counted again */
  resumeAfter(seq) {
    this.worker.postMessage({ type: "resume", seq });
  }

  /** The page is in front again: what was taken is asked for. */
  wake() {
    this.interruption?.look();
  }

  /**
   * Inside a press: some engines let a context go on there alone.
   * @returns {Promise<boolean>} whether the device hears again with what it has
   */
  async wakeInPress() {
    const timeout = new Promise((resolve) => setTimeout(resolve, RESUME_MS));
    await Promise.race([this.context.resume().catch(() => {}), timeout]);
    this.interruption?.look();
    return this.interruption?.hears ?? false;
  }

  stop() {
    this.interruption?.end();
    this.clock.stop();
    this.worker.terminate();
    for (const track of this.stream.getTracks()) track.stop();
    this.context.close().catch(() => {});
  }
}
