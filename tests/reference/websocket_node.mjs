// What node's `ws` meets as a whole client, over ws and wss, as a player and as a conductor: what it checks by itself, fragments,
// pings, close codes, sizes. Prints a JSON list of [what, found, asked]. Must know of Windrow's messages only a hello, a clock
// request and their answers. Called by websocket_node.py: node websocket_node.mjs FOLDER-OF-WS '{"sides": [...]}'

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const [folder, asked] = process.argv.slice(2);
const WebSocket = createRequire(import.meta.url)(folder);
const { sides, hello, authority } = JSON.parse(asked);
const CLOCK = JSON.stringify({ type: "clock", id: 7, t1_us: 1.5 });
const PATIENCE_MS = 20_000;
const results = [];

const within = (promise) =>
  Promise.race([promise, new Promise((_, reject) => setTimeout(() => reject(new Error("no answer")), PATIENCE_MS).unref())]);

/** A socket of that side, once it is open. */
const open = (side, options = {}) =>
  within(
    new Promise((resolve, reject) => {
      const headers = side.cookie ? { Cookie: side.cookie } : {};
      const socket = new WebSocket(side.url, options.subprotocols ?? [], { ca: readFileSync(authority), headers, ...options });
      socket.heard = [];
      socket.on("message", (text) => socket.heard.push(JSON.parse(text.toString())));
      socket.on("open", () => resolve(socket));
      socket.on("error", reject);
    }),
  );

/** How the connection ends: code and whether there are words. */
const ended = (socket) =>
  within(new Promise((resolve) => socket.on("close", (code, reason) => resolve([code, reason.toString()]))));

const heard = (socket, type) =>
  within(
    new Promise((resolve) => {
      const look = () => (socket.heard.some((message) => message.type === type) ? resolve(true) : setTimeout(look, 5));
      look();
    }),
  );

const check = (what, found, wanted) => results.push([what, found, wanted]);

for (const side of sides) {
  const begun = async (options) => {
    const socket = await open(side, options);
    if (side.isPlayer) socket.send(hello);
    return socket;
  };
  const name = (what) => `${side.url.split(":")[0]}${new URL(side.url).pathname}: ${what}`;

  // RFC 6455, 9.1 and 1.9: an offer that is not taken up.
  let socket = await begun({ perMessageDeflate: true });
  check(name("extensions that were offered"), socket.extensions, "");

  // 5.4, 5.5.2: fragments with pings between, a pong with the same payload.
  const pong = within(new Promise((resolve) => socket.on("pong", (payload) => resolve(payload.toString("hex")))));
  socket.send(CLOCK.slice(0, 4), { fin: false });
  socket.ping(Buffer.alloc(125, 0xab));
  socket.send(CLOCK.slice(4, 9), { fin: false });
  check(name("the pong between fragments"), await pong, "ab".repeat(125));
  socket.send(CLOCK.slice(9), { fin: true });
  check(name("a message in fragments"), await heard(socket, "clock"), true);

  // 5.5.1: what is closed is answered with the same code.
  let closed = ended(socket);
  socket.close(4999, "ende");
  check(name("close 4999"), await closed, [4999, "ende"]);

  socket = await begun();
  closed = ended(socket);
  socket.close();
  check(name("close without a code"), await closed, [1005, ""]);

  // 7.4.2: codes of our own.
  socket = await begun();
  closed = ended(socket);
  socket.send("x".repeat(64 * 1024 + 1));
  check(name("a message one byte too long"), (await closed)[0], 4003);

  socket = await begun();
  closed = ended(socket);
  socket.send(Buffer.from(CLOCK), { binary: true });
  check(name("binary"), (await closed)[0], 4003);

  // 7.4.1, through the library's own connection: not UTF-8, without a mask.
  socket = await begun();
  closed = ended(socket);
  socket.send(Buffer.from([0xff]), { binary: false });
  check(name("text that is no UTF-8"), (await closed)[0], 1007);

  socket = await begun();
  closed = ended(socket);
  socket.send(CLOCK, { mask: false });
  check(name("a message without a mask"), (await closed)[0], 1002);

  // 4.1: the library fails where a subprotocol it must have is not taken up.
  const refused = await open(side, { subprotocols: ["mqtt"] }).then(
    () => "opened",
    (error) => error.message,
  );
  check(name("a subprotocol that must be taken up"), refused, "Server sent no subprotocol");
}
console.log(JSON.stringify(results));
