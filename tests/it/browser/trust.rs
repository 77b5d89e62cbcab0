//! What a real Chromium makes of the certificates: one that was told to trust the authority, as a person does in its
//! settings, and one that was not.

use super::driver::{Browser, Microphone, programs_or_say_skipped, say};
use crate::certificates::{Openssl, openssl_or_say_skipped};
use fantoccini::Client;
use std::io::{Read, Write};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use windrow_tests::{TestServer, new_data_dir};

/// A home directory with a list of certificates of its own (the NSS library's), empty at first.
pub(super) struct Home {
    pub(super) dir: PathBuf,
}

impl Drop for Home {
    fn drop(&mut self) {
        // The browser may still be writing into it; the system clears its own directory.
        let _ = std::fs::remove_dir_all(&self.dir);
    }
}

impl Home {
    /// One, or a word that the tool for it is missing.
    pub(super) fn new_or_say_skipped(test: &str) -> Option<Self> {
        let home = Self { dir: new_data_dir() };
        std::fs::create_dir_all(home.dir.join(".pki/nssdb")).unwrap();
        let made = Command::new("certutil").args(["-N", "--empty-password", "-d", &home.list()]).status();
        if made.is_ok_and(|status| status.success()) {
            return Some(home);
        }
        assert!(std::env::var_os("WINDROW_REQUIRE_BROWSER").is_none(), "{test} cannot run: no certutil");
        say(&format!("skipped: {test}, since there is no certutil (libnss3-tools) in PATH"));
        None
    }

    fn list(&self) -> String {
        format!("sql:{}", self.dir.join(".pki/nssdb").display())
    }

    /// Trusts an authority for sites, as the browser's settings do.
    pub(super) fn trust(&self, authority: &Path) {
        let list = self.list();
        let added = Command::new("certutil")
            .args(["-A", "-n", "Windrow", "-t", "C,,", "-d", &list, "-i"])
            .arg(authority)
            .status();
        assert!(added.unwrap().success(), "certutil adds the authority");
    }
}

/// Title of the page at an address; where the browser refuses it, what the page it shows instead says.
async fn open(client: &Client, url: &str) -> Result<String, String> {
    client.goto(url).await.unwrap();
    let title = client.title().await.unwrap();
    // The page's own scripts fill in the reason, so it is read from the whole of the text, hidden or not.
    let text = client.execute("return document.body.textContent", vec![]).await.unwrap();
    let text = text.as_str().unwrap_or_default();
    if text.contains("ERR_CERT") { Err(text.to_owned()) } else { Ok(title) }
}

/// A site that shows a forged certificate; ends with this value.
struct Forged {
    process: Child,
    port: u16,
}

impl Drop for Forged {
    fn drop(&mut self) {
        // An error means that it has ended already.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn serve_forged(openssl: &Openssl, inside: &Path, name: &str, subject: &str) -> Forged {
    let (certificate, key) = openssl.forge(inside, name, &[subject, "extendedKeyUsage=serverAuth"]);
    // Free at this moment; another program may take it before openssl does, and the test says so then.
    let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let mut process = Command::new("openssl")
        .args(["s_server", "-www", "-accept", &format!("127.0.0.1:{port}"), "-cert"])
        .arg(certificate)
        .arg("-key")
        .arg(key)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    // Its first words come once it listens.
    let mut word = [0; 4];
    process.stdout.as_mut().unwrap().read_exact(&mut word).expect("openssl listens");
    process.stdin.as_mut().unwrap().flush().unwrap();
    Forged { process, port }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_browser_that_trusts_the_authority_opens_the_page_and_nothing_else_by_it() {
    let test = "a browser that trusts the authority";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(openssl) = openssl_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    let server = TestServer::start_secure().await;
    let inside = server.data_dir().join("certificate");
    home.trust(&inside.join("authority.pem"));
    let port = server.running().https_addr.unwrap().port();
    // 127.0.0.1 is what each of them is asked for; it is the names in them that differ. The first is what the constraints
    // permit, so that the refusals of the others are theirs alone.
    let permitted = serve_forged(&openssl, &inside, "near", "subjectAltName=IP:127.0.0.1");
    let site = serve_forged(&openssl, &inside, "site", "subjectAltName=IP:127.0.0.1,DNS:example.com");
    let address = serve_forged(&openssl, &inside, "address", "subjectAltName=IP:127.0.0.1,IP:8.8.8.8");
    let (near, far) = (permitted.port, [site.port, address.port]);
    let browser = Browser::open_at(programs, Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(move |client| async move {
            for host in ["127.0.0.1", "localhost"] {
                let title = open(&client, &format!("https://{host}:{port}/")).await.unwrap();
                assert!(title.contains("Larkmoor Youth Winds"), "{host}: {title}");
                let is_secure = client.execute("return window.isSecureContext", vec![]).await.unwrap();
                assert_eq!(is_secure, true, "{host}");
            }
            open(&client, &format!("https://127.0.0.1:{near}/")).await.unwrap();
            for port in far {
                let refused = open(&client, &format!("https://127.0.0.1:{port}/")).await.unwrap_err();
                assert!(refused.contains("ERR_CERT_INVALID"), "{refused}");
            }
        })
        .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_browser_that_was_told_nothing_refuses() {
    let test = "a browser without trust";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    let server = TestServer::start_secure().await;
    let url = format!("https://127.0.0.1:{}/", server.running().https_addr.unwrap().port());
    let browser = Browser::open_at(programs, Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(|client| async move {
            let refused = open(&client, &url).await.unwrap_err();
            assert!(refused.contains("ERR_CERT_AUTHORITY_INVALID"), "{refused}");
        })
        .await;
}
