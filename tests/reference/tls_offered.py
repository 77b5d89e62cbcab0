"""What the https listener agrees to, tried with `openssl s_client`: versions, every cipher and group that openssl has, what a
connection keeps, the certificate. Held against Mozilla's server side TLS, "intermediate" (version 5.7, from memory). Must know
nothing of Windrow."""

import re
import socket
import subprocess
from datetime import datetime, timedelta, timezone

# Mozilla, intermediate, for a certificate with an ECDSA key: a server with an RSA key has the same with RSA in the name.
CIPHERS_1_3 = {"TLS_AES_128_GCM_SHA256", "TLS_AES_256_GCM_SHA384", "TLS_CHACHA20_POLY1305_SHA256"}
CIPHERS_1_2 = {"ECDHE-ECDSA-AES128-GCM-SHA256", "ECDHE-ECDSA-AES256-GCM-SHA384", "ECDHE-ECDSA-CHACHA20-POLY1305"}
GROUPS = {"X25519", "P-256", "P-384"}
# All that OpenSSL 3.0 has besides, and some that were asked for long ago.
OTHER_GROUPS = ("X448", "P-521", "ffdhe2048", "ffdhe3072", "ffdhe4096", "brainpoolP256r1", "secp256k1", "P-224", "P-192")
# The lowest level lets openssl itself offer what is broken.
ANY = "ALL:COMPLEMENTOFALL:@SECLEVEL=0"
VERSIONS = {"TLS 1.0": "-tls1", "TLS 1.1": "-tls1_1", "TLS 1.2": "-tls1_2", "TLS 1.3": "-tls1_3"}
# Apple, HT210176 (from memory), which also holds for authorities installed by hand. Mozilla asks for 366 days; see the threat model.
MOST_DAYS = 825
PATIENCE_S = 30


def run(served):
    """Lines for people, how many handshakes were tried, and what was not as asked."""
    talk = Talk(served)
    lines, wrong = [], []

    def check(what, found, asked):
        if found != asked:
            wrong.append(f"TLS, {what}: {found}, asked {asked}")

    versions = {name for name, option in VERSIONS.items() if talk.agrees(option, "-cipher", ANY)}
    lines.append(f"versions {', '.join(sorted(versions))}")
    check("versions", versions, {"TLS 1.2", "TLS 1.3"})
    check("SSL 3", _answer_to_ssl_3(served.https), "alert")

    names = _ciphers()
    agreed_1_2 = {name for name in names if talk.agrees("-tls1_2", "-cipher", f"{name}:@SECLEVEL=0")}
    all_1_3 = sorted(CIPHERS_1_3 | {"TLS_AES_128_CCM_SHA256", "TLS_AES_128_CCM_8_SHA256"})
    agreed_1_3 = {name for name in all_1_3 if talk.agrees("-tls1_3", "-ciphersuites", name)}
    lines += [f"of {len(names)} ciphers of TLS 1.2: {', '.join(sorted(agreed_1_2))}",
              f"of {len(all_1_3)} of TLS 1.3: {', '.join(sorted(agreed_1_3))}"]
    check("ciphers of TLS 1.2", agreed_1_2, CIPHERS_1_2)
    check("ciphers of TLS 1.3", agreed_1_3, CIPHERS_1_3)

    groups = {name for name in (*GROUPS, *OTHER_GROUPS) if talk.agrees("-tls1_3", "-groups", name)}
    lines.append(f"groups {', '.join(sorted(groups))}")
    check("groups", groups, GROUPS)

    for version, option in (("TLS 1.2", "-tls1_2"), ("TLS 1.3", "-tls1_3")):
        said = talk.said(option)
        check(f"{version}: compression", "Compression: NONE" in said or "Compression" not in said, True)
        check(f"{version}: the chain", _is_verified(said), True)
        check(f"{version}: an answer about revocation (OCSP)", "OCSP response: no response sent" in talk.said(option, "-status"), True)
        check(f"{version}: the protocol that is spoken", _after(talk.said(option, "-alpn", "h2,http/1.1"), "ALPN protocol: "), "h2")
        check(f"{version}: an older browser's", _after(talk.said(option, "-alpn", "http/1.1"), "ALPN protocol: "), "http/1.1")
        check(f"{version}: one that is not spoken", talk.agrees(option, "-alpn", "smtp"), False)
        resumed = _resumed(served, option)
        lines.append(f"{version}: {'resumes' if resumed else 'does not resume'} a session")
    # A client that begins anew within a connection could make the server work for nothing (CVE-2011-1473).
    before, _, after = talk.said("-tls1_2", typed="R\n").partition("RENEGOTIATING")
    check("a client that negotiates anew", ("error:" in after, "verify return" in after), (True, False))
    check("how that is said (RFC 5746)", "Secure Renegotiation IS supported" in before, True)
    check("early data", "Early data was not sent" in talk.said("-tls1_3"), True)
    # The client's order counts where all is good (Mozilla: "client chooses"): a phone without AES in hardware asks for ChaCha20.
    for first, other in (("ECDHE-ECDSA-CHACHA20-POLY1305", "ECDHE-ECDSA-AES128-GCM-SHA256"),
                         ("ECDHE-ECDSA-AES128-GCM-SHA256", "ECDHE-ECDSA-CHACHA20-POLY1305")):
        check("whose order of ciphers counts", _after(talk.said("-tls1_2", "-cipher", f"{first}:{other}"), "Cipher    : "), first)

    lines += _certificate(served, talk, check)
    return lines, talk.n_tried, wrong


class Talk:
    """Handshakes with a server."""

    def __init__(self, served):
        self.begin = ["openssl", "s_client", "-connect", f"{served.https[0]}:{served.https[1]}", "-CAfile", str(served.authority)]
        self.n_tried = 0

    def said(self, *options, typed=""):
        self.n_tried += 1
        # "R" on a line of its own negotiates anew, "Q" ends; anything else would be sent.
        done = subprocess.run([*self.begin, *options], input=(typed or "Q\n").encode(), capture_output=True, timeout=PATIENCE_S)
        return (done.stdout + done.stderr).decode(errors="replace")

    def agrees(self, *options):
        said = self.said(*options)
        # Of TLS 1.3 a cipher is named before the server says that it goes no further.
        return "no peer certificate available" not in said and re.search(r"(Cipher is |Cipher    : )(?!\(NONE\)|0000)\w", said) is not None


def _is_verified(said):
    return "no peer certificate available" not in said and "Verify return code: 0 (ok)" in said


def _answer_to_ssl_3(addr):
    """By hand, since openssl has no SSL 3 any more: a ClientHello of RFC 6101, section 5.6.1.2."""
    body = b"\x03\x00" + bytes(32) + b"\x00" + b"\x00\x04\x00\x2f\x00\x0a" + b"\x01\x00"
    hello = b"\x01" + len(body).to_bytes(3, "big") + body
    with socket.create_connection(addr, PATIENCE_S) as connection:
        connection.sendall(b"\x16\x03\x00" + len(hello).to_bytes(2, "big") + hello)
        kinds = {0x15: "alert", 0x16: "handshake"}
        first = connection.recv(1)
        return kinds.get(first[0], "something else") if first else "nothing"


def _ciphers():
    """Names of all that openssl has for TLS 1.2 and before."""
    said = subprocess.run(["openssl", "ciphers", "-s", "-tls1_2", ANY], capture_output=True, text=True, check=True).stdout
    names = said.strip().split(":")
    if len(names) < 50:
        raise SystemExit(f"openssl offers {len(names)} ciphers: too few to say anything")
    return names


def _after(said, words):
    return _found(re.escape(words) + r"(\S+)", said)


def _found(pattern, text):
    found = re.search(pattern, text)
    return found.group(1) if found else None


def _resumed(served, option):
    """Whether a second connection goes on with the first one's session; a session begun with another server does not matter here."""
    at = ["openssl", "s_client", "-connect", f"{served.https[0]}:{served.https[1]}", "-CAfile", str(served.authority), option]
    kept = served.authority.parent / f"session{option}.pem"
    # A ticket of TLS 1.3 comes after the handshake: one request is made, so that it has come.
    request = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    subprocess.run([*at, "-quiet", "-ign_eof", "-sess_out", str(kept)], input=request, capture_output=True, timeout=PATIENCE_S)
    if not kept.exists():
        return False
    said = subprocess.run([*at, "-sess_in", str(kept)], input=b"Q\n", capture_output=True, timeout=PATIENCE_S).stdout
    return b"Reused," in said


def _certificate(served, talk, check):
    """The chain, as openssl reads it."""
    text = _x509("-text")
    shown = subprocess.run(text + ["-in", str(served.certificate)], capture_output=True, text=True, check=True).stdout
    authority = subprocess.run(text + ["-in", str(served.authority)], capture_output=True, text=True, check=True).stdout
    check("the key", ("id-ecPublicKey" in shown, "NIST CURVE: P-256" in shown), (True, True))
    check("how it is signed", _found(r"Signature Algorithm: (\S+)", shown), "ecdsa-with-SHA256")
    # RFC 5280, section 4.2.1.3 and 4.2.1.12: what a server's key is for, and nothing else.
    check("what the key may", _found(r"X509v3 Key Usage: critical\s+(.+)", shown), "Digital Signature")
    check("whom it vouches for", _found(r"X509v3 Extended Key Usage:\s+(.+)", shown), "TLS Web Server Authentication")
    check("whether it is an authority", "CA:TRUE" in shown, False)
    names = _found(r"X509v3 Subject Alternative Name:[^\n]*\n\s+(.+)", shown) or ""
    check("its names", {"DNS:localhost", "IP Address:127.0.0.1"} <= set(names.split(", ")), True)
    begins, ends = (_date(_found(rf"Not {word}\s*: (.+)", shown)) for word in ("Before", "After"))
    now = datetime.now(timezone.utc)
    check("whether it holds now", begins <= now < ends, True)
    check("how long it holds", ends - begins <= timedelta(days=MOST_DAYS), True)
    check("the authority's way", _found(r"X509v3 Basic Constraints: critical\s+(.+)", authority), "CA:TRUE, pathlen:0")
    for option, name, good in (("-verify_hostname", "localhost", True), ("-verify_ip", "127.0.0.1", True),
                               ("-verify_hostname", "example.com", False), ("-verify_ip", "8.8.8.8", False)):
        check(f"the chain for {name}", _is_verified(talk.said(option, name)), good)
    # Whoever asks for a name that is not ours gets the same certificate, which does not hold for it.
    other = talk.said("-servername", "example.com", "-verify_hostname", "example.com")
    check("a name that is asked for", "hostname mismatch" in other.lower(), True)
    return [f"certificate: {names}; {(ends - begins).days} days"]


def _x509(*options):
    return ["openssl", "x509", "-noout", *options]


def _date(text):
    return datetime.strptime(text.strip(), "%b %d %H:%M:%S %Y %Z").replace(tzinfo=timezone.utc)
