//! Connections that are begun and left standing: handshakes of TLS of which only the first bytes come, requests that stop after a
//! word. Whoever comes properly is served meanwhile. When the server gives such connections up is tried by `peers`.

use crate::browser::say;
use crate::certificates::openssl_or_say_skipped;
use std::net::SocketAddr;
use tokio::io::AsyncWriteExt;
use tokio::net::TcpStream;
use windrow_protocol::instrument::Instrument;
use windrow_tests::request::get;
use windrow_tests::{Player, TestServer, batch};

/// As many as are asked for; each takes a file of this process at both ends.
const WANTED: usize = 2000;
/// Files for everything else that runs beside in this process.
const FOR_OTHERS: usize = 600;

/// How many can be held open here.
fn possible() -> usize {
    let limits = std::fs::read_to_string("/proc/self/limits").unwrap_or_default();
    let line = limits.lines().find(|line| line.starts_with("Max open files"));
    let soft = line.and_then(|line| line.split_whitespace().nth(3)?.parse::<usize>().ok());
    let n = soft.map_or(WANTED, |soft| soft.saturating_sub(FOR_OTHERS) / 2).min(WANTED);
    if n < WANTED {
        say(&format!("only {n} connections left standing: this process may open no more files"));
    }
    n
}

/// The beginning of a ClientHello (RFC 8446, section 4.1.2): a record that says it has 512 bytes, and a few of them.
const BEGUN: &[u8] = &[0x16, 3, 1, 2, 0, 1, 0, 1, 0xfc, 3, 3, 7, 7, 7, 7];

async fn left_standing(addr: SocketAddr, n: usize, first: &[u8]) -> Vec<TcpStream> {
    let mut standing = Vec::with_capacity(n);
    for _ in 0..n {
        let mut stream = TcpStream::connect(addr).await.unwrap();
        stream.write_all(first).await.unwrap();
        standing.push(stream);
    }
    standing
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn handshakes_left_standing_keep_nobody_out() {
    let Some(openssl) = openssl_or_say_skipped("handshakes beside others that stand") else { return };
    let server = TestServer::start_secure().await;
    let secure = server.running().https_addr.unwrap();
    let addr = server.running().http_addr;
    let n = possible();
    let mut first = Player::join(&server, "Wren", Instrument::Oboe).await;
    let third = left_standing(secure, n / 2, BEGUN).await;
    let silent = left_standing(secure, n / 4, &[]).await;
    let words = left_standing(addr, n / 4, b"GET /healthz HTTP/1.1\r\nHost: a\r\nX: ").await;
    // Three ways in, beside all of them: a handshake, a page, a socket; and who was in goes on.
    assert!(openssl.shown_at(secure).contains("Subject: CN = Windrow"));
    assert_eq!(get(addr, "/healthz", &[]).await.status, 200);
    let mut second = Player::join(&server, "Tobias", Instrument::Flute).await;
    for player in [&mut first, &mut second] {
        player.say(&batch(1, 3)).await;
        player.hear_ack(1).await;
    }
    assert!(third.len() + silent.len() + words.len() >= n - 3);
    drop((third, silent, words));
    assert!(openssl.shown_at(secure).contains("Subject: CN = Windrow"));
}
