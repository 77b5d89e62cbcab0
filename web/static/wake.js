// Keeps the screen on while the music is on the stand. Navigator and document come in as arguments; knows no words.

/** After the system let go of a screen that is in front, it is asked again so much later, ms. */
const AGAIN_MS = 2000;

export class ScreenWake {
  /**
   * @param {Pick<Navigator, "wakeLock">} navigator
   * @param {Document} page
   * @param {(run: () => void, ms: number) => any} later
   */
  constructor(navigator, page, later) {
    this.navigator = navigator;
    this.page = page;
    this.later = later;
    /** @type {WakeLockSentinel | null} */
    this.lock = null;
    this.isAsking = false;
  }

  /** Whether this browser can keep a screen on at all. */
  get isPossible() {
    return Boolean(this.navigator.wakeLock);
  }

  /** Asks for the screen to stay on; call again whenever the page comes to the front, since hiding it lets go. */
  async keep() {
    if (this.isAsking || (this.lock && !this.lock.released) || this.page.visibilityState !== "visible") return;
    this.isAsking = true;
    try {
      const lock = (await this.navigator.wakeLock?.request("screen")) ?? null;
      this.lock = lock;
      lock?.addEventListener("release", () => this.later(() => void this.keep(), AGAIN_MS));
    } catch {
      // Low battery or a rule of the device: not ours to insist.
    }
    this.isAsking = false;
  }
}

/** @type {ScreenWake | null} */
let own = null;

/** The same for a page that wants nothing but the screen. */
export function keepAwake() {
  own ??= new ScreenWake(navigator, document, (run, ms) => setTimeout(run, ms));
  return own.keep();
}
