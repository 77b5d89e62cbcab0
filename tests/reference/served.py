"""A server of its own for one part of the run: `windrow serve` on free ports of this computer, with a conductor signed in. Must
not know what is asked of it."""

import contextlib
import re
import shutil
import socket
import ssl
import subprocess
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass
from pathlib import Path

import windrow

PASSPHRASE = "reed water 4"
# Longest wait for the program's first words, on a machine that compiles something else meanwhile.
STARTS_WITHIN_S = 60


@dataclass(frozen=True)
class Served:
    """Where it listens, and what opens it."""

    http: tuple
    https: tuple
    code: str
    # Header `Cookie` of the signed-in conductor, over http and over https.
    cookie: str
    secure_cookie: str
    # Files of the authority and of the server's certificate.
    authority: Path
    certificate: Path


@contextlib.contextmanager
def server():
    """A server that runs while the block does."""
    data = Path(tempfile.mkdtemp(prefix="windrow-reference-"))
    http, https = _free_port(), _free_port()
    said = data / "said"
    asked = [windrow.program(), "serve", "--data", data / "records", "--http", f"127.0.0.1:{http}", "--https", f"127.0.0.1:{https}",
             "--no-mdns", "--no-qr"]
    with open(said, "w", encoding="utf-8") as out:
        running = subprocess.Popen([str(part) for part in asked], stdout=out, stderr=subprocess.STDOUT)
    try:
        text = _first_words(said, running)
        first = re.search(r"http://\S+/first/\w+", text).group(0)
        code = re.search(r"the code (\w{6})", text).group(1)
        cookie = _sign_in(first)
        inside = data / "records" / "certificate"
        authority = inside / "authority.pem"
        secure_cookie = _sign_in_securely(https, authority)
        yield Served(("127.0.0.1", http), ("127.0.0.1", https), code, cookie, secure_cookie, authority, inside / "server.pem")
    finally:
        running.terminate()
        running.wait(30)
        shutil.rmtree(data, ignore_errors=True)


def _free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _first_words(said, running):
    until = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < until and running.poll() is None:
        text = said.read_text(encoding="utf-8")
        if "/first/" in text and "the code " in text and "Ctrl-C" in text:
            return text
        time.sleep(0.05)
    raise SystemExit(f"the server did not start: {said.read_text(encoding='utf-8')}")


class _Stay(urllib.request.HTTPRedirectHandler):
    """A sign-in answers with its cookie and leads on; the cookie is what is wanted."""

    def redirect_request(self, *_):
        return None


def _post(url, form, context=None):
    at = urllib.parse.urlsplit(url)
    request = urllib.request.Request(url, urllib.parse.urlencode(form).encode(), {"Origin": f"{at.scheme}://{at.netloc}"})
    handlers = [_Stay()] + ([urllib.request.HTTPSHandler(context=context)] if context else [])
    try:
        urllib.request.build_opener(*handlers).open(request, timeout=30)
    except urllib.error.HTTPError as led_on:
        if led_on.code == 303:
            return led_on.headers["Set-Cookie"].split(";")[0]
        raise
    raise SystemExit(f"{url} gave no cookie")


def _sign_in(first):
    return _post(first, {"new": PASSPHRASE, "again": PASSPHRASE})


def _sign_in_securely(port, authority):
    context = ssl.create_default_context(cafile=authority)
    return _post(f"https://127.0.0.1:{port}/sign-in", {"passphrase": PASSPHRASE}, context)
