"""Runs `websocket_node.mjs`: node's `ws`, fetched by npm into target/. Must know nothing of frames."""

import hashlib
import json
import shutil
import subprocess
import tarfile

import windrow

# The newest of November 2026; the sum is that of the package as npm has it.
VERSION = "8.23.0"
SHA256 = "b8bd105a274ae9ca114f8c6ce4d9dbb0c764fe5118ba633c557e1703e297c587"


def run(served, hello):
    """How many things were tried, and what was not as asked."""
    sides = [{"url": f"{scheme}://{addr[0]}:{addr[1]}{path}", "isPlayer": path == "/ws/player",
              "cookie": cookie if path == "/ws/conductor" else ""}
             for scheme, addr, cookie in (("ws", served.http, served.cookie), ("wss", served.https, served.secure_cookie))
             for path in ("/ws/player", "/ws/conductor")]
    asked = json.dumps({"sides": sides, "hello": hello, "authority": str(served.authority)})
    script = windrow.PROJECT / "tests" / "reference" / "websocket_node.mjs"
    done = subprocess.run(["node", script, _library(), asked], capture_output=True, text=True, timeout=300)
    if done.returncode:
        return 0, [f"node's ws: {done.stderr.strip()}"]
    results = json.loads(done.stdout)
    return len(results), [f"node's ws, {what}: {found}, asked {wanted}" for what, found, wanted in results if found != wanted]


def _library():
    """The folder of the library."""
    folder = windrow.PROJECT / "target" / "reference" / f"ws-{VERSION}"
    if not folder.exists():
        part = folder.with_suffix(".part")
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        subprocess.run(["npm", "pack", "--silent", f"ws@{VERSION}"], cwd=part, check=True, stdout=subprocess.DEVNULL)
        packed = part / f"ws-{VERSION}.tgz"
        if hashlib.sha256(packed.read_bytes()).hexdigest() != SHA256:
            raise SystemExit(f"{packed} is not the package that was looked at")
        with tarfile.open(packed) as archive:
            archive.extractall(part, filter="data")
        (part / "package").rename(folder)
        shutil.rmtree(part)
    return folder
