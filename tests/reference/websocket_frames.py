"""What RFC 6455 asks of a server, tried frame by frame by hand and by Python's `websockets`, over ws and wss, as a player and as a
conductor. Each case says its section. Must know of Windrow's messages only a hello, a clock request and their answers."""

import json
import re
import ssl

import raw_socket
import windrow
from raw_socket import BINARY, CLOSE, CONTINUATION, PING, PONG, TEXT, Raw, frame
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

PROTOCOL_VERSION = int(re.search(r"PROTOCOL_VERSION: u32 = (\d+)", (windrow.PROJECT / "web/protocol/src/lib.rs").read_text()).group(1))
# Our own limit of a message, and how far beyond it a proper refusal is given.
MAX_MESSAGE_BYTES = 64 * 1024
# Close codes of our own (section 7.4.2): not understood; out of turn.
MALFORMED, OUT_OF_TURN = 4003, 4005
CLOCK = json.dumps({"type": "clock", "id": 7, "t1_us": 1.5}).encode()
# A letter of two bytes, a sign of three and one of four, to be cut anywhere.
WIDE = "Zoë ♪ 🎵"


def run(served):
    """How many things were tried, and what was not as asked."""
    context = ssl.create_default_context(cafile=served.authority)
    tried, wrong = 0, []
    for scheme, addr, secure, cookie in (("ws", served.http, None, served.cookie), ("wss", served.https, context, served.secure_cookie)):
        for path in ("/ws/player", "/ws/conductor"):
            headers = [("Cookie", cookie)] if path == "/ws/conductor" else []
            side = Side(served, scheme, addr, path, secure, headers)
            for check in CHECKS:
                for what, found, asked in check(side):
                    tried += 1
                    if found != asked:
                        wrong.append(f"{scheme}{path}: {what}: {found}, asked {asked}")
    return tried, wrong


class Side:
    """One socket's address, and how a conversation on it begins."""

    def __init__(self, served, scheme, addr, path, context, headers):
        self.served, self.scheme, self.addr, self.path, self.context, self.headers = served, scheme, addr, path, context, headers
        self.is_player = path == "/ws/player"

    def hello(self):
        return json.dumps({"type": "hello", "version": PROTOCOL_VERSION, "code": self.served.code, "name": WIDE, "instrument": "flute"},
                          ensure_ascii=False).encode()

    def raw(self, *more):
        return Raw(self.addr, self.path, self.context, [*self.headers, *more])

    def begun(self):
        """A conversation in which a clock request is answered."""
        raw = self.raw()
        if self.is_player:
            raw.send(frame(TEXT, self.hello()))
        return raw

    def is_answered(self, raw):
        """Whether a clock request that was sent is answered."""
        while (payload := raw.until(TEXT)) is not None:
            if json.loads(payload)["type"] == "clock":
                return json.loads(payload)["id"] == 7
        return False

    def by_library(self, **options):
        return connect(f"{self.scheme}://{self.addr[0]}:{self.addr[1]}{self.path}", ssl=self.context, additional_headers=self.headers,
                       open_timeout=raw_socket.PATIENCE_S, **options)


def fragments(side):
    """5.4: a message in any number of frames, control frames between them, signs cut anywhere."""
    hello = side.hello() if side.is_player else CLOCK
    raw = side.raw()
    pieces = [hello[i : i + 1] for i in range(len(hello))]
    raw.send(frame(TEXT, pieces[0], fin=False))
    pongs = []
    for i, piece in enumerate(pieces[1:-1]):
        raw.send(frame(CONTINUATION, piece, fin=False))
        if i % 25 == 0:
            raw.send(frame(PING, str(i).encode()))
            pongs.append(raw.until(PONG) == str(i).encode())
    yield "pings between fragments are answered at once", all(pongs) and len(pongs) > 1, True
    raw.send(frame(CONTINUATION, b"", fin=False), frame(CONTINUATION, pieces[-1]))
    if side.is_player:
        payload = raw.until(TEXT)
        message = json.loads(payload) if payload else {}
        yield "a hello a byte a frame", (message.get("type"), str(message.get("name", ""))[: len(WIDE)]), ("welcome", WIDE)
        raw.send(frame(TEXT, CLOCK[:5], fin=False), frame(CONTINUATION, CLOCK[5:]))
    yield "a message in fragments", side.is_answered(raw), True
    raw.close()
    for what, frames in (
        ("a continuation of nothing", [frame(CONTINUATION, CLOCK)]),
        ("another message within one", [frame(TEXT, CLOCK[:5], fin=False), frame(TEXT, CLOCK)]),
    ):
        raw = side.begun()
        raw.send(*frames)
        yield what, raw.ended(), 1002
        raw.close()


def pings(side):
    """5.5.2, 5.5.3: a pong with the same payload, up to 125 bytes; a pong that nobody asked for is passed over."""
    raw = side.begun()
    for payload in (b"", b"\x00", bytes(range(125))):
        raw.send(frame(PING, payload))
        yield f"a ping of {len(payload)} bytes", raw.until(PONG), payload
    raw.send(frame(PONG, b"unasked"), frame(TEXT, CLOCK))
    yield "a pong that nobody asked for", side.is_answered(raw), True
    raw.close()


def control_frames(side):
    """5.5: at most 125 bytes, never in fragments."""
    for what, one in (
        ("a ping of 126 bytes", frame(PING, bytes(126))),
        ("a ping in fragments", frame(PING, b"a", fin=False)),
        ("a close of 126 bytes", frame(CLOSE, b"\x03\xe8" + b"a" * 124)),
        ("a close in fragments", frame(CLOSE, b"\x03\xe8", fin=False)),
    ):
        raw = side.begun()
        raw.send(one)
        yield what, raw.ended(), 1002
        raw.close()


def reserved(side):
    """5.2: bits and opcodes that mean nothing fail the connection."""
    for rsv in (1, 2, 4, 7):
        raw = side.begun()
        raw.send(frame(TEXT, CLOCK, rsv=rsv))
        yield f"reserved bits {rsv:03b}", raw.ended(), 1002
        raw.close()
    for opcode in (*range(3, 8), *range(0xB, 0x10)):
        raw = side.begun()
        raw.send(frame(opcode, b""))
        yield f"opcode {opcode:#x}", raw.ended(), 1002
        raw.close()


def masks(side):
    """5.1: what is not masked must not be taken."""
    for what, one in (("a message", frame(TEXT, CLOCK, masked=False)), ("a ping", frame(PING, b"", masked=False))):
        raw = side.begun()
        raw.send(one)
        yield f"{what} without a mask", raw.ended(), 1002
        raw.close()


def texts(side):
    """5.6, 8.1: a text is UTF-8, the whole of it; what a fragment cuts is not."""
    for what, payload in (
        ("a byte that never occurs", b"\xff"),
        ("half a sign", "♪".encode()[:2]),
        ("half of a pair of UTF-16", b"\xed\xa0\x80"),
        ("a sign longer than need be", b"\xc0\xaf"),
        ("a sign beyond the last", b"\xf4\x90\x80\x80"),
    ):
        raw = side.begun()
        raw.send(frame(TEXT, b"{\"" + payload + b"\"}"))
        yield what, raw.ended(), 1007
        raw.close()
    raw = side.begun()
    raw.send(frame(TEXT, b"\xe2", fin=False), frame(CONTINUATION, b"\x28\xa1"))
    yield "bad UTF-8 in fragments", raw.ended(), 1007
    raw.close()
    raw = side.begun()
    raw.send(frame(BINARY, CLOCK))
    yield "binary", raw.ended(), MALFORMED
    raw.close()


def closing(side):
    """5.5.1, 7.4: a close is answered with its code; one that may not be sent is a fault."""
    for code in (1000, 1001, 1003, 1007, 1008, 1009, 1010, 1011, 3000, 3999, 4000, 4999):
        raw = side.begun()
        raw.send(frame(CLOSE, code.to_bytes(2, "big") + "tschüss".encode()))
        yield f"close {code}", raw.ended(), code
        raw.close()
    for code in (0, 999, 1004, 1005, 1006, 1015, 1016, 2999, 5000, 65535):
        raw = side.begun()
        raw.send(frame(CLOSE, code.to_bytes(2, "big")))
        yield f"close {code}, which nobody may send", raw.ended(), 1002
        raw.close()
    raw = side.begun()
    raw.send(frame(CLOSE))
    yield "close without a code", raw.ended(), 1005
    raw.close()
    raw = side.begun()
    raw.send(frame(CLOSE, b"\x03"))
    yield "close with half a code", raw.ended(), 1002
    raw.close()
    raw = side.begun()
    raw.send(frame(CLOSE, b"\x03\xe8\xff"))
    yield "close with a reason that is no UTF-8", raw.ended(), 1007
    raw.close()
    raw = side.begun()
    raw.send(frame(CLOSE, b"\x03\xe8"), frame(TEXT, CLOCK), frame(PING, b"after"))
    after = []
    while (got := raw.receive()) is not None:
        after.append(got[0])
    yield "nothing comes after a close", (CLOSE in after, after[after.index(CLOSE) + 1 :] if CLOSE in after else None), (True, [])
    raw.close()


def lengths(side):
    """7.4.1, 1009 or a code of our own, whose words name the limit; a length that cannot be is not waited for."""
    raw = side.begun()
    raw.send(frame(TEXT, b"x" * (MAX_MESSAGE_BYTES + 1)))
    yield "a message one byte too long", raw.ended(), MALFORMED
    raw.close()
    for what, length in (("2^62 bytes announced", 1 << 62), ("2^63 bytes announced", 1 << 63), ("16 MiB announced", 1 << 24)):
        raw = side.begun()
        raw.send(frame(TEXT, b"x", length=length))
        yield what, raw.ended() in (1002, 1009, MALFORMED, 1006), True
        raw.close()
    raw = side.begun()
    piece = b"x" * 4096
    raw.send(frame(TEXT, piece, fin=False), *(frame(CONTINUATION, piece, fin=False) for _ in range(80)))
    yield "320 KiB in fragments without an end", raw.ended() in (1009, MALFORMED, 1006), True
    raw.close()


def offers(side):
    """9.1, 11.3.4: extensions and subprotocols that are not known are passed over, and no answer names one."""
    for what, header in (
        ("permessage-deflate", ("Sec-WebSocket-Extensions", "permessage-deflate; client_max_window_bits")),
        ("several extensions", ("Sec-WebSocket-Extensions", "x-webkit-deflate-frame, permessage-deflate; server_no_context_takeover, bbf")),
        ("subprotocols", ("Sec-WebSocket-Protocol", "mqtt, graphql-ws")),
    ):
        raw = side.raw(header)
        answered = {"sec-websocket-extensions", "sec-websocket-protocol"} & set(raw.headers)
        yield f"{what} offered", answered, set()
        raw.close()


def upgrades(side):
    """4.2.1, 4.2.2, 4.4: what is no proper request for a socket gets an answer of HTTP, never a socket."""

    def status(headers, **how):
        connection, status, answer, _ = raw_socket.ask(side.addr, side.path, [*headers, *side.headers, ("Content-Length", "0")], side.context, **how)
        connection.close()
        return status, answer

    usual = raw_socket.usual()
    without = lambda name: [pair for pair in usual if pair[0] != name]
    yield "without a key", status(without("Sec-WebSocket-Key"))[0], 400
    yield "with a key that is none", status([*without("Sec-WebSocket-Key"), ("Sec-WebSocket-Key", "short")])[0], 400
    yield "without Upgrade", status(without("Upgrade"))[0] in (400, 426), True
    yield "without Connection", status(without("Connection"))[0] in (400, 426), True
    for version in ("8", "99", "x", ""):
        got, answer = status([*without("Sec-WebSocket-Version"), ("Sec-WebSocket-Version", version)])
        yield f"version {version!r}", (got, answer.get("sec-websocket-version")), (426, "13")
    yield "by POST", status(usual, method="POST")[0], 405
    yield "by HTTP/1.0", status(usual, version="HTTP/1.0")[0] in (400, 426, 505), True
    yield "from a page of another address", status([*usual, ("Origin", "https://elsewhere.example")])[0], 403
    yield "from a page without an address", status([*usual, ("Origin", "null")])[0], 403


def by_library(side):
    """Python's `websockets` 17 as a whole client: what it checks by itself, fragments of its own, pings, close codes."""
    with side.by_library(compression="deflate", subprotocols=None) as socket:
        if side.is_player:
            socket.send(side.hello().decode())
        yield "an extension that was offered", list(socket.protocol.extensions), []
        yield "a ping", socket.ping(b"x" * 125).wait(raw_socket.PATIENCE_S), True
        socket.send([CLOCK[:3].decode(), "", CLOCK[3:20].decode(), CLOCK[20:].decode()])
        while json.loads(message := socket.recv(raw_socket.PATIENCE_S))["type"] != "clock":
            pass
        yield "a message in fragments", json.loads(message)["id"], 7
        socket.close(4321, "Schluß")
        yield "the close code that comes back", (socket.close_code, socket.close_reason), (4321, "Schluß")
    with side.by_library() as socket:
        if side.is_player:
            socket.send("[]")
            asked = MALFORMED
        else:
            socket.send(json.dumps({"type": "hello"}))
            asked = MALFORMED
        yield "a refusal by a code of our own, with words", _refused(socket), (asked, True)


def _refused(socket):
    try:
        while True:
            socket.recv(raw_socket.PATIENCE_S)
    except ConnectionClosed as closed:
        return closed.rcvd.code, len(closed.rcvd.reason) > 10


CHECKS = (fragments, pings, control_frames, reserved, masks, texts, closing, lengths, offers, upgrades, by_library)
