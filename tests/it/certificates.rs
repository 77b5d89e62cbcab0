//! Why a device may trust the server, judged by `openssl`, a general-purpose library that knows nothing of Windrow; where it
//! is missing these tests say that they are skipped.

use crate::browser::say;
use crate::reach::ask;
use std::fs;
use std::io::Write;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use windrow_tests::TestServer;

/// The program.
#[derive(Debug, Clone)]
pub(super) struct Openssl;

/// What it printed on both ways, and whether it was content.
struct Said {
    text: String,
    is_content: bool,
}

pub(super) fn openssl_or_say_skipped(test: &str) -> Option<Openssl> {
    let found = Command::new("openssl").arg("version").stdout(Stdio::null()).status();
    if found.is_ok_and(|status| status.success()) {
        return Some(Openssl);
    }
    say(&format!("skipped: {test}, since there is no openssl in PATH"));
    None
}

impl Openssl {
    fn ask(&self, arguments: &[&str]) -> Said {
        let output = Command::new("openssl").args(arguments).stdin(Stdio::null()).output().unwrap();
        let text =
            [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
        Said { text, is_content: output.status.success() }
    }

    /// Runs it and gives what it printed.
    pub(super) fn run(&self, arguments: &[&str]) -> String {
        let said = self.ask(arguments);
        assert!(said.is_content, "openssl {arguments:?}: {}", said.text);
        said.text
    }

    /// The certificate that a server shows to whoever connects, in words.
    pub(super) fn shown_at(&self, addr: SocketAddr) -> String {
        let shown = self.ask(&["s_client", "-connect", &addr.to_string()]).text;
        let mut reader = Command::new("openssl")
            .args(["x509", "-noout", "-text"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        reader.stdin.take().unwrap().write_all(shown.as_bytes()).unwrap();
        String::from_utf8_lossy(&reader.wait_with_output().unwrap().stdout).into_owned()
    }

    /// Whether it accepts a certificate under an authority; else its reason.
    fn verify(&self, authority: &Path, certificate: &Path, more: &[&str]) -> Result<(), String> {
        let mut arguments = vec!["verify", "-x509_strict", "-purpose", "sslserver"];
        arguments.extend(more);
        arguments.extend(["-CAfile", text(authority), text(certificate)]);
        let said = self.ask(&arguments);
        if said.is_content { Ok(()) } else { Err(said.text) }
    }

    /// What whoever has stolen the authority's key would do: a certificate for whatever `extensions` say.
    pub(super) fn forge(&self, inside: &Path, name: &str, extensions: &[&str]) -> (PathBuf, PathBuf) {
        let files = ["csr", "pem", "key"].map(|end| inside.join(format!("forged-{name}.{end}")));
        let [request, certificate, key] = files.each_ref().map(|path| text(path));
        let mut arguments =
            vec!["req", "-new", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes"];
        arguments.extend(["-subj", "/CN=forged", "-keyout", key, "-out", request]);
        arguments.extend(extensions.iter().flat_map(|extension| ["-addext", extension]));
        self.run(&arguments);
        let (authority, authority_key) = (inside.join("authority.pem"), inside.join("authority-key.pem"));
        self.run(&[
            "x509",
            "-req",
            "-in",
            request,
            "-CA",
            text(&authority),
            "-CAkey",
            text(&authority_key),
            "-CAcreateserial",
            "-days",
            "90",
            "-copy_extensions",
            "copy",
            "-out",
            certificate,
        ]);
        let [_, certificate, key] = files;
        (certificate, key)
    }
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[tokio::test]
async fn the_authority_is_constrained_as_the_standard_has_it() {
    let Some(openssl) = openssl_or_say_skipped("the authority's constraints") else { return };
    let server = TestServer::start_secure().await;
    let inside = server.data_dir().join("certificate");
    let said = openssl.run(&["x509", "-noout", "-text", "-in", text(&inside.join("authority.pem"))]);
    // RFC 5280: section 4.2.1.9 (basic constraints), 4.2.1.10 (name constraints), 4.2.1.3 (key usage).
    for words in [
        "X509v3 Basic Constraints: critical\n                CA:TRUE, pathlen:0",
        "X509v3 Name Constraints: critical",
        "X509v3 Key Usage: critical\n                Certificate Sign, CRL Sign",
        "DNS:localhost",
        "IP:192.168.0.0/255.255.0.0",
        "IP:172.16.0.0/255.240.0.0",
        "IP:10.0.0.0/255.0.0.0",
    ] {
        assert!(said.contains(words), "no {words:?} in {said}");
    }
    assert!(!said.contains("DNS:local\n"), "all of .local would be too much: {said}");
    assert!(said.contains("Subject: CN = Windrow "), "iOS lists no authority without a common name: {said}");
}

#[tokio::test]
async fn a_certificate_of_this_computer_is_good_and_one_for_the_world_outside_is_not() {
    let Some(openssl) = openssl_or_say_skipped("certificates for other names") else { return };
    let server = TestServer::start_secure().await;
    let inside = server.data_dir().join("certificate");
    let authority = inside.join("authority.pem");
    assert_eq!(openssl.verify(&authority, &inside.join("server.pem"), &["-verify_ip", "127.0.0.1"]), Ok(()));
    assert_eq!(
        openssl.verify(&authority, &inside.join("server.pem"), &["-verify_hostname", "localhost"]),
        Ok(())
    );
    let (private, _) =
        openssl.forge(&inside, "private", &["subjectAltName=IP:192.168.7.7", "extendedKeyUsage=serverAuth"]);
    // x509_strict asks for identifiers that this hand-made one lacks; the constraints alone matter here.
    let lenient = |certificate: &Path| {
        let said = openssl.ask(&["verify", "-CAfile", text(&authority), text(certificate)]);
        if said.is_content { Ok(()) } else { Err(said.text) }
    };
    assert_eq!(lenient(&private), Ok(()), "what the constraints permit");
    for (name, subject) in [
        ("site", "subjectAltName=DNS:example.com"),
        ("address", "subjectAltName=IP:8.8.8.8"),
        ("v6", "subjectAltName=IP:2001:db8::1"),
        ("printer", "subjectAltName=DNS:printer.local"),
    ] {
        let (forged, _) = openssl.forge(&inside, name, &[subject, "extendedKeyUsage=serverAuth"]);
        let refused = lenient(&forged).expect_err(subject);
        assert!(refused.contains("permitted subtree violation"), "{subject}: {refused}");
    }
    let (below, _) =
        openssl.forge(&inside, "below", &["basicConstraints=critical,CA:TRUE", "keyUsage=keyCertSign"]);
    let key = inside.join("forged-below.key");
    let leaf = inside.join("leaf.pem");
    let request = inside.join("leaf.csr");
    openssl.run(&["req", "-new", "-key", text(&key), "-subj", "/CN=leaf", "-out", text(&request)]);
    openssl.run(&[
        "x509",
        "-req",
        "-in",
        text(&request),
        "-CA",
        text(&below),
        "-CAkey",
        text(&key),
        "-CAcreateserial",
        "-out",
        text(&leaf),
    ]);
    let refused =
        openssl.verify(&authority, &leaf, &["-untrusted", text(&below)]).expect_err("a second authority");
    assert!(refused.contains("path length constraint exceeded"), "{refused}");
}

#[tokio::test]
async fn a_certificate_lasts_no_longer_than_phones_accept() {
    let Some(openssl) = openssl_or_say_skipped("the certificate's days") else { return };
    let server = TestServer::start_secure().await;
    let leaf = server.data_dir().join("certificate/server.pem");
    const DAY_S: u64 = 86_400;
    let ends_within = |days: u64| {
        let seconds = (days * DAY_S).to_string();
        !openssl.ask(&["x509", "-noout", "-checkend", &seconds, "-in", text(&leaf)]).is_content
    };
    // Apple, HT210176 (from memory): at most 825 days; from a day before its making, so 824 from now.
    assert!(ends_within(824), "no phone of Apple's takes it");
    assert!(!ends_within(300), "a school year");
    let said = openssl.run(&["x509", "-noout", "-text", "-in", text(&leaf)]);
    assert!(said.contains("TLS Web Server Authentication") && !said.contains("CA:TRUE"), "{said}");
}

#[tokio::test]
async fn the_authority_is_handed_out_in_every_form_and_the_same_in_each() {
    let Some(openssl) = openssl_or_say_skipped("the authority's forms") else { return };
    let server = TestServer::start_secure().await;
    let addr = server.running().http_addr;
    let inside = server.data_dir().join("certificate");
    let kept = fs::read_to_string(inside.join("authority.pem")).unwrap();
    let pem = ask(addr, "/welcome/authority.pem", &[]).await;
    assert_eq!((pem.status, pem.body.as_str()), (200, kept.as_str()));
    let der = ask(addr, "/welcome/authority.crt", &[]).await;
    assert_eq!((der.status, der.header("content-type")), (200, "application/x-x509-ca-cert"));

    let profile = ask(addr, "/welcome/windrow.mobileconfig", &[]).await;
    assert_eq!((profile.status, profile.header("content-type")), (200, "application/x-apple-aspen-config"));
    assert!(profile.body.contains("<string>com.apple.security.root</string>"), "{}", profile.body);
    let inner = profile.body.split("<data>").nth(1).unwrap().split("</data>").next().unwrap();
    let plain: String = kept.lines().filter(|line| !line.starts_with("-----")).collect();
    assert_eq!(inner, plain, "the profile holds the same certificate (base64, RFC 4648)");
    assert_eq!(
        ask(addr, "/welcome/windrow.mobileconfig", &[]).await.body,
        profile.body,
        "a second takes the first's place"
    );

    let said = openssl.run(&[
        "x509",
        "-noout",
        "-fingerprint",
        "-sha256",
        "-in",
        text(&inside.join("authority.pem")),
    ]);
    let fingerprint = said.trim().split('=').nth(1).unwrap();
    let page = ask(addr, "/welcome", &[]).await.body;
    assert!(page.contains(fingerprint), "{fingerprint} is not in {page}");
}
