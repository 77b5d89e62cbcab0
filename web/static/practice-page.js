// Practice at home: a player's device with a room of its own. Wires the plan that the teacher set, the room of one, what the device keeps
// and the page; the rules of each are elsewhere.

import { openShelf } from "./device-shelf.js";
import { keep, recall } from "./kept.js";
import { PageElements } from "./page-elements.js";
import { startPlayer } from "./player.js";
import { PracticeControls, noticeInWords } from "./practice-controls.js";
import { PracticeForm } from "./practice-form.js";
import { keepPage, versionOf } from "./practice-keeping.js";
import { minutesInWords, PracticeList, rungInWords } from "./practice-list.js";
import { LONGEST_S, makeRoom, PracticeRecord, takeFile, WRITE_MS } from "./practice-record.js";
import { PracticeRoom } from "./practice-room.js";
import { fetchDoor } from "./shared-time.js";
import { language, word } from "./words.js";

/** Does the teacher's computer answer? A page that is kept is there without it, so this is asked; ms. */
const ANSWER_WITHIN_MS = 4000;

const page = new PageElements(document);
const fetchedRoom = fetchDoor(new URL("./windrow-room.wasm", import.meta.url).href);
// A failure is shown when the player begins; until then it must not count as unhandled.
fetchedRoom.catch(() => {});

/** @type {Promise<import("./device-shelf.js").DeviceShelf> | null} */
let shelfOpening = null;
/** Opened once; another try where it failed. */
function shelf() {
  shelfOpening ??= openShelf().catch((error) => {
    shelfOpening = null;
    throw error;
  });
  return shelfOpening;
}

/** Where a browser keeps nothing: what a practice came to is told all the same. @type {import("./practice-record.js").Shelf} */
const NOWHERE = {
  heads: async () => [],
  putHead: () => Promise.reject(new Error("nowhere")),
  putPiece: () => Promise.reject(new Error("nowhere")),
  pieces: async () => [],
  drop: async () => {},
};

/** @type {any} what the teacher set for home */
let plan = null;
/** @type {PracticeRoom | null} */
let room = null;
/** @type {PracticeRecord | null} */
let record = null;
/** @type {((text: string) => void) | null} a word on the playing page */
let say = null;
let nNotices = 0;

const list = new PracticeList(document, shelf);
const controls = new PracticeControls(document, { command: (command) => room?.command(command), done: () => void finish() });

/** @type {(who: import("./join-form.js").Who) => Promise<void>} */
let join = async () => {};
const form = new PracticeForm(document, { begin: (who) => begin(who) });
const player = startPlayer(document, {
  form: (doing) => {
    join = doing.join;
    return form;
  },
  url: "",
  surroundings: () => ({
    open: () => /** @type {any} */ (room?.connect()),
    nowMs: () => performance.now(),
    later: (run, ms) => setTimeout(run, ms),
    cancel: (timer) => clearTimeout(timer),
    random: Math.random,
  }),
  arrived: (notice) => {
    say = notice;
    document.body.dataset.practice = "off";
  },
});

/** @param {{ name: string, instrument: string }} who */
async function begin(who) {
  if (!plan) return form.trouble(word("practice-no-plan"));
  form.busy(true);
  try {
    await open(who);
  } catch {
    form.busy(false);
    return form.trouble(word("play-did-not-load"));
  }
  await join({ code: "", ...who });
}

/** @param {{ name: string, instrument: string }} who */
async function open(who) {
  const { module } = await fetchedRoom;
  const instance = await WebAssembly.instantiate(module, {});
  const began = { began_unix_ms: Date.now(), plan_title: plan.title, ...who };
  const opened = await shelf().catch(() => null);
  await (opened && makeRoom(opened).catch(notKept));
  if (!opened) notKept();
  record = new PracticeRecord(opened ?? NOWHERE, { origin_id: newId(), ...began });
  nNotices = 0;
  room = new PracticeRoom(
    /** @type {any} */ (instance.exports),
    { nowMs: () => performance.now(), every: (run, ms) => setInterval(run, ms), stop: (timer) => clearInterval(timer) },
    { kept: (kept) => record?.take(kept), pictured, cannot: (text) => say?.(text) },
  );
  room.open({ section: plan.section, a4_hz: plan.a4_hz, lesson: plan.lesson });
  // Nobody else is here to sound the beat or to press "next".
  room.command({ type: "set-tick", from: "devices" });
  room.command({ type: "set-flow", flow: "go-on" });
}

/** By RFC 9562, version 4; some browsers make one only over https. */
function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** @param {import("./practice-room.js").Picture} picture @param {number} nowUs */
function pictured(picture, nowUs) {
  controls.show(picture, nowUs);
  for (const notice of picture.notices) {
    if (notice.id <= nNotices) continue;
    nNotices = notice.id;
    say?.(noticeInWords(notice));
  }
  if (nowUs > LONGEST_S * 1e6) void finish();
}

function notKept() {
  const { hidden } = page.at("not-kept");
  page.at("not-kept").hidden = false;
  // Who plays is told once, and goes on.
  if (hidden) say?.(word("practice-not-kept"));
}

function write() {
  record?.write().then(
    () => (page.at("not-kept").hidden = true),
    () => notKept(),
  );
}

/** The practice is over: what it came to, and what the device keeps. */
async function finish() {
  const [over, wasLong] = [record, (room?.nowUs() ?? 0) > LONGEST_S * 1e6];
  room?.end();
  room = null;
  record = null;
  say = null;
  player.leave();
  delete document.body.dataset.practice;
  const { head } = over ?? {};
  page.text("came-to-now", !head || !over?.isWorthKeeping ? word("practice-came-to-nothing") : cameTo(head, wasLong));
  page.at("came-to-now").hidden = false;
  page.at("practice-title").focus({ preventScroll: true });
  window.scrollTo(0, 0);
  await over?.write().catch(() => notKept());
  await showList();
}

/** @param {import("./practice-record.js").Head} head @param {boolean} wasLong */
function cameTo(head, wasLong) {
  const minutes = minutesInWords(head.played_s);
  const text = head.rung ? word("practice-came-to-rung", { minutes, rung: rungInWords(head.rung) }) : word("practice-came-to", { minutes });
  return wasLong ? `${text} ${word("practice-was-long")}` : text;
}

const showList = () => list.show().catch(() => notKept());

/** What the teacher set, from the teacher's computer or as it was kept. */
async function showPlan() {
  const answer = await fetch("/practice/plan.json", { cache: "no-store" }).catch(() => null);
  plan = answer?.ok ? await answer.json().catch(() => null) : null;
  page.at("plan-missing").hidden = plan !== null;
  page.at("plan").hidden = plan === null;
  if (!plan) return;
  page.text("plan-title", plan.title);
  const about = { n: plan.n_exercises, minutes: minutesInWords(plan.length_s) };
  page.text("plan-about", word("practice-plan-about", about));
  const day = new Intl.DateTimeFormat(language(), { dateStyle: "long" }).format(new Date(plan.set_unix_ms));
  page.text("plan-set", planFrom(plan.from, { day, section: plan.section }));
}

/** Who set the plan. @param {string} from @param {{ day: string, section: string }} args */
function planFrom(from, args) {
  if (from === "chosen") return word("practice-plan-chosen", args);
  return from === "room" ? word("practice-plan-room", args) : word("practice-plan-built-in");
}

/** Whether the teacher's computer answers itself, and who it says this device is. */
async function askWho() {
  const token = recall("device-token");
  const about = { cache: /** @type {const} */ ("no-store"), signal: AbortSignal.timeout?.(ANSWER_WITHIN_MS) };
  const who = () => fetch("/mine/who.json", { ...about, method: "POST", headers: { "x-windrow-device": token ?? "" } });
  // A device that was never in a rehearsal is nobody yet.
  const answer = await (token ? who() : fetch("/healthz", about)).catch(() => null);
  if (token && answer?.ok) form.isKnownAs(await answer.json());
  return answer !== null;
}

async function showKeeping() {
  const isReachable = await askWho();
  // Another language is another page, which only the teacher's computer has.
  document.body.dataset.reachable = String(isReachable);
  const workers = navigator.serviceWorker;
  const keeping = await keepPage({ workers, isSecure: isSecureContext, isReachable, version: versionOf(import.meta.url) });
  for (const line of document.querySelectorAll("[data-keeping]")) {
    /** @type {HTMLElement} */ (line).hidden = /** @type {HTMLElement} */ (line).dataset.keeping !== keeping;
  }
  // Asked for where the page was put on the home screen: elsewhere a browser might ask the person.
  if (matchMedia("(display-mode: standalone)").matches) void navigator.storage?.persist?.();
}

const file = /** @type {HTMLInputElement} */ (page.at("file"));
file.addEventListener("change", async () => {
  const chosen = file.files?.[0];
  if (!chosen) return;
  const taken = await shelf().then(async (opened) => takeFile(opened, await chosen.text()), () => false);
  page.text("file-said", word(taken ? "practice-file-taken" : "practice-file-strange", { file: chosen.name }));
  file.value = "";
  await showList();
});
const handsIn = /** @type {HTMLInputElement} */ (page.at("hands-in"));
handsIn.checked = recall("hand-in") !== "no";
handsIn.addEventListener("change", () => keep("hand-in", handsIn.checked ? "yes" : "no"));
setInterval(write, WRITE_MS);
document.addEventListener("visibilitychange", write);
window.addEventListener("pagehide", write);
void showList();
void showPlan().then(showKeeping);
