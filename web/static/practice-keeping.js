// Whether the practice page can be kept on this device, and keeping it. Some browsers let no worker in under a certificate that they do
// not trust, even where a person has gone past the warning. What is there comes in as arguments; knows no page.

const WORKER = "/practice-worker.js";
/** Above the plan as well as the page; nothing else of this site is below it. */
const SCOPE = "/practice";

/**
 * @typedef {"kept" | "plain" | "certificate" | "browser" | "unreachable"} Keeping "plain": not over https; "certificate": not trusted
 */

/**
 * @param {object} around
 * @param {ServiceWorkerContainer | undefined} around.workers
 * @param {boolean} around.isSecure
 * @param {boolean} around.isReachable whether the teacher's computer has just answered
 * @param {string} around.version that this page is of
 * @returns {Promise<Keeping>}
 */
export async function keepPage({ workers, isSecure, isReachable, version }) {
  if (!isSecure) return "plain";
  if (!workers) return "browser";
  const before = await workers.getRegistration(SCOPE).catch(() => undefined);
  try {
    const registration = await workers.register(WORKER, { scope: SCOPE, updateViaCache: "none" });
    await isActive(registration, version);
    return "kept";
  } catch {
    // What was kept earlier still opens.
    if (before?.active) return "kept";
    return isReachable ? "certificate" : "unreachable";
  }
}

/**
 * Waits until one keeps the page; a newer one that only waits for pages of this very version takes over.
 * @param {ServiceWorkerRegistration} registration @param {string} version
 * @returns {Promise<void>} fails where it could not keep everything
 */
function isActive(registration, version) {
  const coming = registration.installing ?? registration.waiting;
  coming?.postMessage({ takeOver: version });
  if (registration.active) return Promise.resolve();
  if (!coming) return Promise.reject(new Error("none"));
  return new Promise((resolve, reject) => {
    coming.addEventListener("statechange", () => {
      if (coming.state === "activated") resolve();
      if (coming.state === "redundant") reject(new Error("not everything could be kept"));
    });
  });
}

/** The version that an address of a file is of. @param {string} url */
export const versionOf = (url) => /\/static\/(v-[^/]+)\//.exec(url)?.[1] ?? "";
