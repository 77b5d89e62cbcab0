// Whether this device trusts the conductor's computer: asks the https site again and again, and says what came of it.
// Knows no page; clock, timers and fetch are arguments.

/**
 * What an attempt showed: the site answered; the device refused it, or the network did; or nothing came back at all.
 * @typedef {"trusted" | "refused" | "silent"} Outcome
 */

/** A connection that takes longer is one that something swallows: a refused certificate shows within a second. */
export const SILENT_AFTER_MS = 6000;

/** Time between two attempts, about as long as a person looks back at the page. */
export const AGAIN_AFTER_MS = 3000;

/**
 * @typedef {object} Surroundings
 * @property {(url: string, options: RequestInit) => Promise<{ok: boolean}>} fetch
 * @property {(then: () => void, afterMs: number) => unknown} later
 * @property {() => boolean} isVisible
 */

export class TrustCheck {
  /** @type {string} */
  #url;
  /** @type {(outcome: Outcome) => void} */
  #tell;
  /** @type {Surroundings} */
  #around;
  #isAsking = false;
  #isOver = false;

  /**
   * @param {string} origin the https site
   * @param {(outcome: Outcome) => void} tell called after each attempt; after "trusted" never again
   * @param {Surroundings} around
   */
  constructor(origin, tell, around) {
    this.#url = `${origin}/welcome/trusted`;
    this.#tell = tell;
    this.#around = around;
  }

  /** Asks now, unless an answer is being waited for, and then again and again while the page is seen. */
  async ask() {
    if (this.#isAsking || this.#isOver) return;
    this.#isAsking = true;
    const outcome = await this.#attempt();
    this.#isAsking = false;
    this.#isOver = outcome === "trusted";
    this.#tell(outcome);
    if (!this.#isOver) this.#around.later(() => this.#askIfSeen(), AGAIN_AFTER_MS);
  }

  /** A page in the background asks when it is looked at again; whoever calls `ask` then starts the round anew. */
  #askIfSeen() {
    if (this.#around.isVisible()) void this.ask();
  }

  /** @returns {Promise<Outcome>} */
  async #attempt() {
    const giveUp = new AbortController();
    let isSilent = false;
    this.#around.later(() => {
      isSilent = true;
      giveUp.abort();
    }, SILENT_AFTER_MS);
    try {
      const answer = await this.#around.fetch(this.#url, { cache: "no-store", credentials: "omit", signal: giveUp.signal });
      return answer.ok ? "trusted" : "refused";
    } catch {
      return isSilent ? "silent" : "refused";
    }
  }
}
