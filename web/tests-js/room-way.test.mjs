// The way to the room where no socket comes through: the switch, what is remembered of it, and the line itself.

import assert from "node:assert/strict";
import test from "node:test";
import { RoomLine } from "../static/room-line.js";
import { linePath, WayChooser } from "../static/room-way.js";

const URL_OF_ROOM = "wss://10.0.0.2:8471/ws/player";

/** Timers that only move when told. */
function clock() {
  const time = { nowMs: 0, timers: [] };
  time.parts = {
    nowMs: () => time.nowMs,
    later: (run, ms) => {
      const timer = { run, atMs: time.nowMs + ms };
      time.timers.push(timer);
      return timer;
    },
    cancel: (timer) => {
      time.timers = time.timers.filter((t) => t !== timer);
    },
  };
  time.pass = (ms) => {
    const untilMs = time.nowMs + ms;
    for (;;) {
      const due = time.timers.filter((t) => t.atMs <= untilMs).sort((a, b) => a.atMs - b.atMs)[0];
      if (!due) break;
      time.timers = time.timers.filter((t) => t !== due);
      time.nowMs = due.atMs;
      due.run();
    }
    time.nowMs = untilMs;
  };
  return time;
}

function fake() {
  return { sent: [], isClosed: false, bufferedAmount: 0, send(text) { this.sent.push(text); }, close() { this.isClosed = true; } };
}

/** A chooser whose sockets and lines do nothing by themselves. */
function staged(kept = {}) {
  const stage = { sockets: [], lines: [], kept, taken: [], day: "2026-11-25", time: clock(), said: [] };
  const add = (list) => {
    const one = fake();
    list.push(one);
    return one;
  };
  stage.chooser = new WayChooser({
    openSocket: () => add(stage.sockets),
    openLine: (path, opening) => Object.assign(add(stage.lines), { path, opening }),
    recall: (key) => stage.kept[key] ?? null,
    keep: (key, value) => {
      stage.kept[key] = value;
    },
    today: () => stage.day,
    taken: (kind) => stage.taken.push(kind),
    ...stage.time.parts,
  });
  stage.open = () => {
    const way = stage.chooser.open(URL_OF_ROOM);
    for (const hook of ["onopen", "onmessage", "onclose"]) way[hook] = () => stage.said.push(hook);
    return way;
  };
  return stage;
}

test("the line lies beside the socket", () => {
  assert.equal(linePath(URL_OF_ROOM), "/line/player");
  assert.equal(linePath("ws://127.0.0.1:8470/ws/conductor"), "/line/conductor");
});

test("a socket that opens is used, and nothing is remembered", () => {
  const stage = staged();
  const way = stage.open();
  stage.sockets[0].onopen({});
  stage.time.pass(60_000);
  way.send("x");
  assert.deepEqual([stage.sockets[0].sent, stage.lines.length, stage.taken, stage.kept], [["x"], 0, ["socket"], {}]);
});

test("a socket that does not open within three seconds is given up for a line", () => {
  const stage = staged();
  const way = stage.open();
  stage.time.pass(2999);
  assert.equal(stage.lines.length, 0);
  stage.time.pass(1);
  const [line] = stage.lines;
  assert.deepEqual([stage.sockets[0].isClosed, line.path, line.opening], [true, "/line/player", "hello first"]);
  // Too late.
  stage.sockets[0].onopen({});
  stage.sockets[0].onmessage({ data: "late" });
  assert.deepEqual(stage.said, []);
  line.onopen({});
  way.send("hello");
  assert.deepEqual([line.sent, stage.kept], [["hello"], {}], "nothing is known before the room has answered");
  line.onmessage({ data: "welcome" });
  assert.deepEqual([stage.said, stage.taken, stage.kept], [["onopen", "onmessage"], ["line"], { way: "line 2026-11-25" }]);
});

test("a socket that fails at once is given up at once", () => {
  const stage = staged();
  stage.open();
  stage.sockets[0].onclose({});
  assert.equal(stage.lines.length, 1);
});

test("a server that cannot be reached either way is no verdict", () => {
  const stage = staged();
  stage.open();
  stage.sockets[0].onclose({});
  stage.lines[0].onclose({});
  assert.deepEqual([stage.said, stage.kept], [["onclose"], {}]);
  stage.open();
  assert.equal(stage.sockets.length, 2, "the socket is tried first again");
});

test("the verdict holds for the day and is tried anew on the next", () => {
  const stage = staged({ way: "line 2026-11-25" });
  stage.open();
  assert.deepEqual([stage.sockets.length, stage.lines.length], [0, 1]);
  stage.day = "2026-11-26";
  stage.open();
  assert.equal(stage.sockets.length, 1);
  stage.sockets[0].onopen({});
  stage.day = "2026-11-25";
  assert.equal(stage.chooser.isLineKnown(), true, "another day's verdict was left alone");
});

test("where a socket has been open, a failure is the network's and not remembered", () => {
  const stage = staged();
  stage.open();
  stage.sockets[0].onopen({});
  stage.sockets[0].onclose({});
  assert.deepEqual([stage.said, stage.lines.length], [["onopen", "onclose"], 0], "one that was open is not replaced by itself");
  stage.open();
  stage.time.pass(3000);
  stage.lines[0].onmessage({ data: "welcome" });
  assert.deepEqual([stage.taken, stage.kept], [["socket", "line"], {}]);
  stage.open();
  assert.equal(stage.sockets.length, 3);
});

test("a way that is closed says nothing more", () => {
  const stage = staged();
  stage.open().close();
  stage.time.pass(10_000);
  stage.sockets[0].onclose({});
  assert.deepEqual([stage.said, stage.lines.length, stage.sockets[0].isClosed], [[], 0, true]);
});

/** A line whose posts are answered when told. */
function stagedLine(opening = "hello first") {
  const stage = { posts: [], streams: [], heard: [], time: clock(), nOpened: 0, nClosed: 0 };
  stage.line = new RoomLine("/line/player", opening, {
    post: (path, body) =>
      new Promise((resolve, reject) => {
        const answer = (status, text = "") => resolve({ ok: status < 300, status, text: async () => text });
        stage.posts.push({ path, body, answer, fail: () => reject(new TypeError("no network")) });
      }),
    stream: (path) => {
      const stream = { path, readyState: 1, isClosed: false, close() { this.isClosed = true; }, addEventListener(name, run) { this[name] = run; } };
      stage.streams.push(stream);
      return stream;
    },
    ...stage.time.parts,
  });
  stage.line.onopen = () => {
    stage.nOpened += 1;
  };
  stage.line.onclose = () => {
    stage.nClosed += 1;
  };
  stage.line.onmessage = (event) => stage.heard.push(event.data);
  /** Lets what was answered be taken in. */
  stage.settle = () => new Promise((resolve) => setImmediate(resolve));
  stage.last = () => stage.posts[stage.posts.length - 1];
  stage.begin = async () => {
    stage.time.pass(0);
    if (opening === "hello first") stage.line.send('{"type":"hello"}');
    stage.posts[0].answer(200, '{"line":"abc"}');
    await stage.settle();
  };
  return stage;
}

test("the hello opens the line, and what follows goes up one post at a time, in order", async () => {
  const stage = stagedLine();
  await stage.begin();
  assert.deepEqual([stage.posts[0].path, stage.posts[0].body], ["/line/player", '{"type":"hello"}']);
  assert.equal(stage.streams[0].path, "/line/player/abc/heard");
  for (const i of [1, 2, 3]) stage.line.send(`{"type":"rest","i":${i}}`);
  assert.equal(stage.posts.length, 2, "one post at a time");
  assert.deepEqual(JSON.parse(stage.last().body), { number: 1, messages: [{ type: "rest", i: 1 }] });
  stage.last().answer(204);
  await stage.settle();
  assert.deepEqual(JSON.parse(stage.last().body), { number: 2, messages: [{ type: "rest", i: 2 }, { type: "rest", i: 3 }] });
  assert.ok(stage.line.bufferedAmount > 0);
  stage.last().answer(204);
  await stage.settle();
  assert.deepEqual([stage.line.bufferedAmount, stage.posts.length], [0, 3]);
});

test("a post whose answer was lost is sent again with the same number, for ten seconds", async () => {
  const stage = stagedLine();
  await stage.begin();
  stage.line.send('{"type":"rest"}');
  stage.last().fail();
  await stage.settle();
  stage.time.pass(500);
  assert.deepEqual([stage.posts.length, stage.posts[1].body], [3, stage.posts[2].body]);
  for (let i = 0; i < 30 && stage.nClosed === 0; i += 1) {
    stage.last().fail();
    await stage.settle();
    stage.time.pass(500);
  }
  assert.equal(stage.nClosed, 1);
  assert.ok(stage.time.nowMs >= 10_000 && stage.time.nowMs < 12_000, `${stage.time.nowMs}`);
});

test("a line that the server no longer knows is closed, so that the page comes back on another", async () => {
  for (const status of [409, 410, 413]) {
    const stage = stagedLine();
    await stage.begin();
    stage.line.send('{"type":"rest"}');
    stage.last().answer(status);
    await stage.settle();
    assert.deepEqual([stage.nClosed, stage.streams[0].isClosed], [1, true], `${status}`);
  }
});

test("clock requests do not wait for other posts, and their answers are messages", async () => {
  const stage = stagedLine();
  await stage.begin();
  stage.line.send('{"type":"rest"}');
  stage.line.send('{"type":"clock","id":1,"t1_us":5}');
  assert.equal(stage.last().path, "/line/player/abc/clock");
  stage.last().answer(200, '{"type":"clock","id":1}');
  await stage.settle();
  assert.deepEqual(stage.heard, ['{"type":"clock","id":1}']);
});

test("a stream that comes back goes on, one that does not ends the line", async () => {
  const stage = stagedLine();
  await stage.begin();
  const [stream] = stage.streams;
  stream.onmessage({ data: "a" });
  stage.time.pass(60_000);
  stream.readyState = 0;
  stream.onerror();
  stage.time.pass(5000);
  stream.onopen();
  stage.time.pass(60_000);
  stream.onmessage({ data: "b" });
  assert.deepEqual([stage.heard, stage.nClosed], [["a", "b"], 0]);
  stream.onerror();
  stage.time.pass(12_000);
  assert.equal(stage.nClosed, 1);
});

test("a stream that brings nothing is given up", async () => {
  const stage = stagedLine();
  await stage.begin();
  stage.time.pass(11_999);
  assert.equal(stage.nClosed, 0);
  stage.time.pass(1);
  assert.equal(stage.nClosed, 1);
});

test("the server's word that the line has ended, or a refusal of the stream, ends it", async () => {
  for (const how of ["end", "refused"]) {
    const stage = stagedLine();
    await stage.begin();
    const [stream] = stage.streams;
    stream.readyState = 2;
    if (how === "end") stream.end();
    else stream.onerror();
    assert.deepEqual([stage.nClosed, stream.isClosed], [1, true], how);
  }
});

test("a line without a hello is open once the server says so, and a refusal reads as on a socket", async () => {
  const stage = stagedLine("no hello");
  stage.time.pass(0);
  assert.deepEqual([stage.posts[0].body, stage.nOpened], ["", 0]);
  stage.posts[0].answer(200, '{"line":"abc"}');
  await stage.settle();
  assert.equal(stage.nOpened, 1);
  const refused = stagedLine("no hello");
  refused.time.pass(0);
  refused.posts[0].answer(403, '{"type":"refused","reason":"key"}');
  await refused.settle();
  assert.deepEqual([refused.heard, refused.nOpened, refused.nClosed], [['{"type":"refused","reason":"key"}'], 0, 1]);
});
