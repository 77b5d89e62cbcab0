// The measured delay of this device, kept for each pair of microphone and loudspeaker or headphones: another headphone is
// another delay, and the former one is there again when it comes back. Storage and list of devices come in as arguments;
// knows no page and no room.

/** Where it is kept, and how many pairs: a device at school sees a few headphones. */
const KEY = "timing";
const KEPT = 12;
/** Delays that the door can find, ms; people tap ahead of a tick, so a tapped one can be negative. */
const LEAST_MS = -150;
const MOST_MS = 600;

/**
 * @typedef {{ kind: string, label: string, deviceId: string }} DeviceInfo
 * @typedef {{ pair: string, delayMs: number, scatterMs: number, mode: string }} Kept
 */

/**
 * Name of a pair of microphone and loudspeaker, from the labels a browser tells once it may listen.
 * @param {DeviceInfo[]} devices
 * @param {{ deviceId?: string, label: string }} microphone in use
 * @param {number} sampleRateHz of the context: a wireless headset changes it, and its delay with it
 * @returns {string} empty where nothing can be told apart
 */
export function pairOf(devices, microphone, sampleRateHz) {
  const labels = (/** @type {DeviceInfo[]} */ some) => some.map((device) => device.label).filter((label) => label !== "");
  const inputs = devices.filter((device) => device.kind === "audioinput");
  const outputs = devices.filter((device) => device.kind === "audiooutput");
  const inUse = microphone.label || labels(inputs.filter((device) => device.deviceId === microphone.deviceId))[0];
  if (!inUse) return "";
  const chosen = outputs.filter((device) => device.deviceId === "default");
  const heard = labels(chosen.length > 0 ? chosen : outputs).sort();
  return [inUse, heard.join(" + ") || "not told", `${sampleRateHz} Hz`].join(" > ");
}

export class DeviceTiming {
  /**
   * @param {{ recall: (key: string) => string | null, keep: (key: string, value: string) => void }} storage
   * @param {() => void} changed whenever the delay is another one
   */
  constructor(storage, changed) {
    this.storage = storage;
    this.changed = changed;
    this.pair = "";
    /** @type {number | null} ms; null where this pair was not measured */
    this.delayMs = null;
    /** Whether a change of devices can go unseen, since the browser does not name what is listened with. */
    this.isBlind = false;
  }

  get isCalibrated() {
    return this.delayMs !== null;
  }

  /**
   * The devices as they are now.
   * @param {DeviceInfo[]} devices
   * @param {{ deviceId?: string, label: string }} microphone
   * @param {number} sampleRateHz
   * @param {"first look" | "devices changed"} why
   */
  look(devices, microphone, sampleRateHz, why) {
    const pair = pairOf(devices, microphone, sampleRateHz);
    this.isBlind = !devices.some((device) => device.kind === "audiooutput" && device.label !== "");
    const isUnsure = this.isBlind && why === "devices changed";
    this.pair = pair;
    this.set(isUnsure ? null : (this.all().find((kept) => kept.pair === pair)?.delayMs ?? null));
  }

  /** @param {{ delayMs: number, scatterMs: number, mode: string }} measured */
  measured({ delayMs, scatterMs, mode }) {
    if (this.pair !== "") {
      const others = this.all().filter((kept) => kept.pair !== this.pair);
      this.write([{ pair: this.pair, delayMs, scatterMs, mode }, ...others].slice(0, KEPT));
    }
    this.set(delayMs);
  }

  /** Forgets the present pair. */
  forget() {
    this.write(this.all().filter((kept) => kept.pair !== this.pair));
    this.set(null);
  }

  /** @param {number | null} delayMs */
  set(delayMs) {
    if (delayMs === this.delayMs) return;
    this.delayMs = delayMs;
    this.changed();
  }

  /** @returns {Kept[]} what is kept and can be true, the newest first */
  all() {
    try {
      const kept = JSON.parse(this.storage.recall(KEY) ?? "[]");
      return Array.isArray(kept) ? kept.filter(isPlausible) : [];
    } catch {
      return [];
    }
  }

  /** @param {Kept[]} kept */
  write(kept) {
    this.storage.keep(KEY, JSON.stringify(kept));
  }
}

/** @param {any} kept */
function isPlausible(kept) {
  return typeof kept?.pair === "string" && kept.delayMs >= LEAST_MS && kept.delayMs <= MOST_MS;
}
