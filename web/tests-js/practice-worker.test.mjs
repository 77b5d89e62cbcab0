// The worker that keeps the practice page, with caches and a network that the test holds in its hands.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { runInNewContext } from "node:vm";

const ORIGIN = "https://stand.local:8471";
const FILES = ["/static/v-1/base.css", "/static/v-1/practice-page.js"];

/** One device, whose caches outlive its workers. */
class Device {
  constructor() {
    /** @type {Map<string, Map<string, Response>>} */
    this.caches = new Map();
    /** What the network says, by path; an error for what is missing. @type {Map<string, () => Response>} */
    this.network = new Map();
    /** @type {string[]} paths asked for */
    this.asked = [];
    this.isSlow = false;
  }

  async fetch(/** @type {any} */ request) {
    const { pathname } = new URL(request.url ?? request, ORIGIN);
    this.asked.push(pathname);
    if (this.isSlow) await new Promise(() => {});
    const answer = this.network.get(pathname);
    if (!answer) throw new TypeError("no network");
    return answer();
  }

  /** @param {string} version @param {string[]} files */
  async worker(version, files = FILES) {
    const script = await readFile(new URL("../static/practice-worker.js", import.meta.url), "utf8");
    /** @type {Record<string, (event: any) => void>} */
    const listeners = {};
    const device = this;
    const path = (/** @type {any} */ of) => new URL(of.url ?? of, ORIGIN).pathname;
    const open = async (/** @type {string} */ name) => {
      if (!device.caches.has(name)) device.caches.set(name, new Map());
      const kept = /** @type {Map<string, Response>} */ (device.caches.get(name));
      return {
        match: async (/** @type {any} */ of) => kept.get(path(of))?.clone(),
        put: async (/** @type {any} */ of, /** @type {Response} */ answer) => void kept.set(path(of), answer),
        addAll: async (/** @type {any[]} */ all) => {
          const answers = await Promise.all(all.map((of) => device.fetch(of)));
          if (answers.some((answer) => !answer.ok)) throw new TypeError("not all");
          answers.forEach((answer, i) => kept.set(path(all[i]), answer));
        },
      };
    };
    class RequestHere {
      constructor(/** @type {string} */ url) {
        this.url = new URL(url, ORIGIN).href;
      }
    }
    let hasSkipped = false;
    const timers = { setTimeout: (/** @type {() => void} */ run) => setTimeout(run, 0) };
    runInNewContext(`const KEPT = ${JSON.stringify({ version, files })};\n${script}`, {
      self: {
        location: { origin: ORIGIN },
        addEventListener: (/** @type {string} */ what, /** @type {any} */ run) => void (listeners[what] = run),
        skipWaiting: () => void (hasSkipped = true),
      },
      caches: { open, keys: async () => [...device.caches.keys()], delete: async (/** @type {string} */ n) => device.caches.delete(n) },
      fetch: (/** @type {any} */ request) => device.fetch(request),
      Request: RequestHere,
      Response,
      URL,
      Error,
      ...(device.isSlow ? timers : { setTimeout }),
    });
    const waited = async (/** @type {string} */ what) => {
      let done = Promise.resolve();
      listeners[what]({ waitUntil: (/** @type {Promise<void>} */ p) => void (done = p) });
      await done;
    };
    return {
      install: () => waited("install"),
      activate: () => waited("activate"),
      tell: (/** @type {any} */ data) => {
        listeners.message({ data });
        return hasSkipped;
      },
      /** What the worker answers; null where it leaves the request alone. @returns {Promise<Response> | null} */
      ask: (/** @type {string} */ url, method = "GET") => {
        /** @type {Promise<Response> | null} */
        let answer = null;
        const request = { url: new URL(url, ORIGIN).href, method };
        listeners.fetch({ request, respondWith: (/** @type {Promise<Response>} */ p) => void (answer = p) });
        return answer;
      },
    };
  }
}

const pageOf = (/** @type {string} */ version, text = "") => () => new Response(`<script src="/static/${version}/practice-page.js"></script>${text}`);

async function visited() {
  const device = new Device();
  device.network.set("/practice", pageOf("v-1", "Practice at home"));
  device.network.set("/practice/plan.json", () => new Response('{"title":"Monday"}'));
  for (const file of FILES) device.network.set(file, () => new Response(file));
  const worker = await device.worker("v-1");
  await worker.install();
  await worker.activate();
  return { device, worker };
}

const read = async (/** @type {Promise<Response> | null} */ answer) => (await /** @type {Promise<Response>} */ (answer)).text();

test("after one visit everything is there without a network", async () => {
  const { device, worker } = await visited();
  device.network.clear();
  assert.match(await read(worker.ask("/practice")), /Practice at home/);
  assert.equal(await read(worker.ask("/practice/plan.json")), '{"title":"Monday"}');
  for (const file of FILES) assert.equal(await read(worker.ask(file)), file);
});

test("with a network the page and the plan are those of now, and kept; files are not asked for again", async () => {
  const { device, worker } = await visited();
  device.network.set("/practice/plan.json", () => new Response('{"title":"Tuesday"}'));
  device.network.set("/practice", pageOf("v-1", "Üben zu Hause"));
  device.asked.length = 0;
  assert.equal(await read(worker.ask("/practice/plan.json")), '{"title":"Tuesday"}');
  assert.match(await read(worker.ask("/practice")), /Üben/);
  assert.equal(await read(worker.ask(FILES[0])), FILES[0]);
  assert.deepEqual(device.asked, ["/practice/plan.json", "/practice"]);
  device.network.clear();
  assert.equal(await read(worker.ask("/practice/plan.json")), '{"title":"Tuesday"}');
  assert.match(await read(worker.ask("/practice")), /Üben/);
});

test("nothing else is ever answered", async () => {
  const { worker } = await visited();
  for (const [url, method] of [
    ["/", "GET"],
    ["/conduct", "GET"],
    ["/conduct/results.json", "GET"],
    ["/mine", "GET"],
    ["/mine/who.json", "POST"],
    ["/practice/carry-in.json", "POST"],
    ["/practice", "POST"],
    ["/static/v-2/base.css", "GET"],
    ["/practice-worker.js", "GET"],
    ["https://elsewhere.example/practice", "GET"],
  ]) {
    assert.equal(worker.ask(url, method), null, `${method} ${url}`);
  }
});

test("a computer that does not answer in time, or with an error, does not keep a player waiting", async () => {
  const { device } = await visited();
  device.network.set("/practice", () => new Response("no", { status: 503 }));
  const worker = await device.worker("v-1");
  assert.match(await read(worker.ask("/practice")), /Practice at home/);
  device.isSlow = true;
  const slow = await device.worker("v-1");
  assert.match(await read(slow.ask("/practice")), /Practice at home/);
});

test("a page of another version is shown but not kept beside files of this one; the next worker brings it whole", async () => {
  const { device, worker } = await visited();
  device.network.set("/practice", pageOf("v-2", "newer"));
  assert.match(await read(worker.ask("/practice")), /newer/);
  const before = device.network;
  device.network = new Map();
  assert.match(await read(worker.ask("/practice")), /v-1/);
  device.network = before;

  device.network.set("/static/v-2/base.css", () => new Response("css 2"));
  const next = await device.worker("v-2", ["/static/v-2/base.css"]);
  await next.install();
  assert.equal(next.tell({ takeOver: "v-1" }), false, "a page of version 1 still needs the worker before");
  assert.equal(next.tell({ takeOver: "v-2" }), true);
  await next.activate();
  assert.deepEqual([...device.caches.keys()], ["windrow-practice-v-2"]);
  device.network.clear();
  assert.match(await read(next.ask("/practice")), /newer/);
  assert.equal(await read(next.ask("/static/v-2/base.css")), "css 2");
});

test("where a file does not come, nothing is kept by halves", async () => {
  const device = new Device();
  device.network.set("/practice", pageOf("v-1"));
  const worker = await device.worker("v-1");
  await assert.rejects(worker.install());
  assert.equal(device.caches.get("windrow-practice-v-1")?.size ?? 0, 0);
});
