// Keeps the practice page on a device that has visited it once, so that it opens without the teacher's computer. A service worker: the
// server puts a line before this one with what is to be kept, `const KEPT = { version, files }`. It has the practice page alone in its
// scope, so no other page, nothing of the conductor's and no answer about a person ever comes from here.

const OURS = "windrow-practice-";
const HERE = OURS + KEPT.version;
const PAGE = "/practice";
const PLAN = "/practice/plan.json";
/** The teacher's computer has this long to answer before what is kept is shown, ms: it may be in another town. */
const WITHIN_MS = 2500;

/** What a request asks for, if it is to be answered from here. @param {Request} request */
function kindOf(request) {
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return null;
  if (pathname === PAGE) return "page";
  if (pathname === PLAN) return "plan";
  return KEPT.files.includes(pathname) ? "file" : null;
}

/** Answers differ by language, and this device reads one. @param {string} path */
const kept = async (path) => (await caches.open(HERE)).match(path, { ignoreVary: true });

/** @param {string} path @param {Response} answer */
async function keep(path, answer) {
  const cache = await caches.open(HERE);
  // A device that is full goes on with what it has.
  await cache.put(path, answer).catch(() => {});
}

/** A page of another version would ask for files that are not kept. @param {Response} answer */
const isOfThisVersion = async (answer) => (await answer.text()).includes(`/static/${KEPT.version}/`);

/** @param {string} path @param {Request} request */
async function freshFirst(path, request) {
  try {
    const late = new Promise((_, reject) => setTimeout(() => reject(new Error("late")), WITHIN_MS));
    const answer = await Promise.race([fetch(request), late]);
    if (!answer.ok) throw new Error(String(answer.status));
    if (path !== PAGE || (await isOfThisVersion(answer.clone()))) await keep(path, answer.clone());
    return answer;
  } catch {
    return (await kept(path)) ?? Response.error();
  }
}

/** @param {string} path @param {Request} request */
const keptFirst = async (path, request) => (await kept(path)) ?? fetch(request);

self.addEventListener("install", (event) => {
  const all = async () => {
    const cache = await caches.open(HERE);
    // All or nothing; pages as they are now, files of a version as the browser has them.
    const fresh = [PAGE, PLAN].map((path) => new Request(path, { cache: "reload" }));
    await cache.addAll([...fresh, ...KEPT.files]);
  };
  event.waitUntil(all());
});

self.addEventListener("activate", (event) => {
  const clear = async () => {
    const names = await caches.keys();
    const old = names.filter((name) => name.startsWith(OURS) && name !== HERE);
    await Promise.all(old.map((name) => caches.delete(name)));
  };
  event.waitUntil(clear());
});

// A page of this version needs nothing of the one before.
self.addEventListener("message", (event) => {
  if (event.data?.takeOver === KEPT.version) self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname } = new URL(request.url);
  const kind = kindOf(request);
  if (kind === "file") event.respondWith(keptFirst(pathname, request));
  else if (kind) event.respondWith(freshFirst(pathname, request));
});
