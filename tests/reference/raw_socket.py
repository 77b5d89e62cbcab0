"""A WebSocket by hand: an upgrade and frames with any bit anyhow (RFC 6455, section 5.2), so that what no library sends can be sent.
Must know nothing of Windrow's messages."""

import base64
import hashlib
import os
import socket
import ssl

# RFC 6455, section 1.3.
GUID = "258EAFA5-E914-47DA-95CA-C5AB0DC85B11"
CONTINUATION, TEXT, BINARY, CLOSE, PING, PONG = 0x0, 0x1, 0x2, 0x8, 0x9, 0xA
# Longest wait for an answer.
PATIENCE_S = 20


def connect(addr, context=None):
    """A plain connection, or one over TLS."""
    plain = socket.create_connection(addr, PATIENCE_S)
    # Small frames one after another would wait for one another's acknowledgement.
    plain.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return context.wrap_socket(plain, server_hostname=addr[0]) if context else plain


def ask(addr, path, headers, context=None, method="GET", version="HTTP/1.1"):
    """Sends a request by hand: the connection, the answer's status and headers, and what came after them."""
    connection = connect(addr, context)
    lines = [f"{method} {path} {version}", f"Host: {addr[0]}:{addr[1]}", *(f"{name}: {value}" for name, value in headers)]
    connection.sendall(("\r\n".join(lines) + "\r\n\r\n").encode("latin-1"))
    got = b""
    while b"\r\n\r\n" not in got:
        piece = connection.recv(4096)
        if not piece:
            return connection, 0, {}, b""
        got += piece
    head, rest = got.split(b"\r\n\r\n", 1)
    first, *others = head.decode("latin-1").split("\r\n")
    pairs = (line.split(": ", 1) for line in others)
    return connection, int(first.split(" ")[1]), {name.lower(): value for name, value in pairs}, rest


def usual(key=None):
    """Headers of a proper upgrade."""
    return [("Connection", "Upgrade"), ("Upgrade", "websocket"), ("Sec-WebSocket-Version", "13"),
            ("Sec-WebSocket-Key", key or base64.b64encode(os.urandom(16)).decode())]


def frame(opcode, payload=b"", fin=True, rsv=0, masked=True, length=None):
    """A frame; `length` says another one than the payload has."""
    n = len(payload) if length is None else length
    first = (0x80 if fin else 0) | rsv << 4 | opcode
    mask_bit = 0x80 if masked else 0
    if n < 126:
        head = bytes([first, mask_bit | n])
    elif n < 1 << 16:
        head = bytes([first, mask_bit | 126]) + n.to_bytes(2, "big")
    else:
        head = bytes([first, mask_bit | 127]) + n.to_bytes(8, "big")
    if not masked:
        return head + payload
    mask = os.urandom(4)
    return head + mask + bytes(b ^ mask[i % 4] for i, b in enumerate(payload))


class Raw:
    """An upgraded connection."""

    def __init__(self, addr, path, context=None, headers=()):
        key = base64.b64encode(os.urandom(16)).decode()
        self.connection, status, answer, self.rest = ask(addr, path, [*usual(key), *headers], context)
        if status != 101:
            raise SystemExit(f"{path}: no upgrade, status {status}")
        accept = base64.b64encode(hashlib.sha1((key + GUID).encode()).digest()).decode()
        if answer["sec-websocket-accept"] != accept:
            raise SystemExit(f"{path}: Sec-WebSocket-Accept is not as RFC 6455 has it")
        self.headers = answer

    def send(self, *frames):
        """Sends frames one after another; a server that has gone takes none, which its answer shows."""
        try:
            for one in frames:
                self.connection.sendall(one)
        except (ConnectionError, ssl.SSLError):
            pass

    def receive(self):
        """Opcode and payload of the next frame; `None` at the end of the connection."""
        head = self._exactly(2)
        if head is None:
            return None
        if head[1] & 0x80:
            raise SystemExit("the server masks a frame")
        n = head[1] & 0x7F
        if n >= 126:
            n = int.from_bytes(self._exactly(2 if n == 126 else 8), "big")
        return head[0] & 0x0F, self._exactly(n)

    def until(self, opcode):
        """Payload of the next frame of that kind; `None` where the connection ends first."""
        while (got := self.receive()) is not None:
            if got[0] == opcode:
                return got[1]
        return None

    def ended(self):
        """How the connection ends: the close code (1005 where a close frame has none, 1006 where none came, RFC 6455, section
        7.1.5), once the server has closed it."""
        payload = self.until(CLOSE)
        if payload is None:
            return 1006
        # What has been closed is answered once (section 5.5.1), and the server is the first to let go of the connection.
        self.send(frame(CLOSE, payload[:2]))
        while self.receive() is not None:
            pass
        return int.from_bytes(payload[:2], "big") if payload else 1005

    def close(self):
        self.connection.close()

    def _exactly(self, n):
        while len(self.rest) < n:
            try:
                piece = self.connection.recv(65536)
            except (ConnectionError, ssl.SSLError):
                return None
            if not piece:
                return None
            self.rest += piece
        got, self.rest = self.rest[:n], self.rest[n:]
        return got
