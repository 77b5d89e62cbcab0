//! Sound never leaves the device: everything that a browser with an open microphone sends passes through a proxy that keeps
//! it, workers and all. Every connection is to this server, no request has a body, and every frame of the socket is one of
//! the protocol's text messages with no field beside those the protocol names.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, say, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::Client;
use serde_json::Value;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use windrow_protocol::messages::PlayerSays;
use windrow_tests::{Conductor, TestServer};

/// How long it is watched: a pulsed tone of ten seconds' turn sounds all the while.
const WATCHED: Duration = Duration::from_secs(8);

/// Whom Chromium asks of its own accord, for updates and the like: no page of ours names them (`access::foreign`), the policy
/// of every page forbids them, and this proxy refuses them.
const BROWSERS_OWN: [&str; 4] = ["google.com", "googleapis.com", "gstatic.com", "gvt1.com"];

/// What a browser has sent.
#[derive(Debug, Default)]
struct Sent {
    /// Where to.
    targets: Vec<String>,
    /// First lines of requests, and the bytes behind their heads.
    requests: Vec<(String, Vec<u8>)>,
    /// All bytes of each tunnel, in the order they were opened.
    tunnels: Vec<Vec<u8>>,
}

type Kept = Arc<Mutex<Sent>>;

/// A proxy that lets everything through to one server, keeps what is sent, and lets nothing through elsewhere.
async fn watching_proxy(server: SocketAddr) -> (SocketAddr, Kept) {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let addr = listener.local_addr().unwrap();
    let kept = Kept::default();
    let shared = kept.clone();
    tokio::spawn(async move {
        while let Ok((browser, _)) = listener.accept().await {
            tokio::spawn(pass_on(browser, server, shared.clone()));
        }
    });
    (addr, kept)
}

async fn pass_on(mut browser: TcpStream, server: SocketAddr, kept: Kept) -> Option<()> {
    let mut bytes = Vec::new();
    let end = loop {
        if let Some(end) = bytes.windows(4).position(|w| w == b"\r\n\r\n") {
            break end + 4;
        }
        if browser.read_buf(&mut bytes).await.ok()? == 0 {
            return None;
        }
    };
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let line = head.lines().next()?.to_owned();
    let mut words = line.split(' ');
    let (method, target) = (words.next()?, words.next()?);
    let host = target.trim_start_matches("http://").split('/').next()?.to_owned();
    kept.lock().unwrap().targets.push(host.clone());
    if host != server.to_string() {
        return browser.write_all(b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\n\r\n").await.ok();
    }
    let mut upstream = TcpStream::connect(server).await.ok()?;
    if method == "CONNECT" {
        browser.write_all(b"HTTP/1.1 200 OK\r\n\r\n").await.ok()?;
        let tunnel = {
            let mut sent = kept.lock().unwrap();
            sent.tunnels.push(bytes[end..].to_vec());
            sent.tunnels.len() - 1
        };
        let (mut from_browser, mut to_browser) = browser.into_split();
        let (mut from_server, mut to_server) = upstream.into_split();
        tokio::spawn(async move { tokio::io::copy(&mut from_server, &mut to_browser).await });
        let mut block = [0; 8192];
        loop {
            let n = from_browser.read(&mut block).await.ok().filter(|&n| n > 0)?;
            kept.lock().unwrap().tunnels[tunnel].extend_from_slice(&block[..n]);
            to_server.write_all(&block[..n]).await.ok()?;
        }
    }
    let index = {
        let mut sent = kept.lock().unwrap();
        sent.requests.push((line.clone(), bytes[end..].to_vec()));
        sent.requests.len() - 1
    };
    // One request a connection, in the form a server takes.
    let rest =
        head.split_once("\r\n")?.1.replace("Proxy-Connection: keep-alive\r\n", "Connection: close\r\n");
    let plain = line.replacen(&format!("http://{host}"), "", 1);
    upstream.write_all(format!("{plain}\r\n{rest}").as_bytes()).await.ok()?;
    upstream.write_all(&bytes[end..]).await.ok()?;
    let (mut from_browser, mut to_browser) = browser.into_split();
    let (mut from_server, mut to_server) = upstream.into_split();
    let upwards = async {
        let mut block = [0; 8192];
        while let Ok(n @ 1..) = from_browser.read(&mut block).await {
            kept.lock().unwrap().requests[index].1.extend_from_slice(&block[..n]);
            if to_server.write_all(&block[..n]).await.is_err() {
                break;
            }
        }
        std::future::pending::<()>().await;
    };
    tokio::select! {
        _ = tokio::io::copy(&mut from_server, &mut to_browser) => {}
        () = upwards => {}
    }
    to_browser.shutdown().await.ok()
}

/// The frames of a client's side of a WebSocket: opcode and payload (RFC 6455, section 5.2). A frame that has not come
/// whole is left out.
fn frames(tunnel: &[u8]) -> Vec<(u8, Vec<u8>)> {
    let start = tunnel.windows(4).position(|w| w == b"\r\n\r\n").expect("a request to upgrade") + 4;
    let mut rest = &tunnel[start..];
    let mut found = Vec::new();
    while rest.len() >= 6 {
        assert!(rest[0] & 0x80 != 0, "a message in one frame");
        assert!(rest[0] & 0x40 == 0, "a frame that is not compressed, so that it can be read here");
        assert!(rest[1] & 0x80 != 0, "a client's frame is masked");
        let (length, head) = match rest[1] & 0x7f {
            126 => (usize::from(u16::from_be_bytes([rest[2], rest[3]])), 4),
            127 => panic!("a frame of over 64 kB"),
            short => (usize::from(short), 2),
        };
        let Some(payload) = rest.get(head + 4..head + 4 + length) else { break };
        let mask = &rest[head..head + 4];
        let plain = payload.iter().zip(mask.iter().cycle()).map(|(byte, mask)| byte ^ mask).collect();
        found.push((rest[0] & 0x0f, plain));
        rest = &rest[head + 4 + length..];
    }
    found
}

/// Fails where `said` has a field that `known`, the same message as the protocol writes it, has not.
fn assert_no_more(said: &Value, known: &Value) {
    match (said, known) {
        (Value::Object(said), Value::Object(known)) => {
            for (field, value) in said {
                // The protocol leaves out what is as usual.
                let usual = matches!(value, Value::Bool(false) | Value::Null)
                    || *value == Value::Array(vec![])
                    || value.as_u64() == Some(0);
                let Some(known) = known.get(field) else {
                    assert!(usual, "{field} is not of the protocol: {value}");
                    continue;
                };
                assert_no_more(value, known);
            }
        }
        (Value::Array(said), Value::Array(known)) => {
            assert_eq!(said.len(), known.len());
            said.iter().zip(known).for_each(|(said, known)| assert_no_more(said, known));
        }
        _ => {}
    }
}

async fn plays_and_is_watched(client: Client, server: TestServer, kept: Kept) {
    let addr = server.running().http_addr;
    let mut conductor = Conductor::open(&server).await;
    client.goto(&format!("http://{addr}/join/{}", server.code())).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    // It hears: what it says is about a real tone.
    conductor.see_lane("Imogen", |lane| lane.trusted && lane.pulse_rate_hz.is_some()).await;
    let n_before = kept.lock().unwrap().tunnels.iter().map(Vec::len).sum::<usize>();
    let began = Instant::now();
    wait_until(WATCHED.as_secs() + 10, "the time to be over", async || {
        if began.elapsed() >= WATCHED { Ok(()) } else { Err(format!("{:?}", began.elapsed())) }
    })
    .await;
    let seconds = began.elapsed().as_secs_f64();
    assert!(!text_of(&client, "state").await.is_empty());
    check_console(&client).await;
    let sent = kept.lock().unwrap();
    let is_browsers_own = |target: &str| {
        let host = target.split(':').next().unwrap_or_default();
        BROWSERS_OWN.iter().any(|own| host == *own || host.ends_with(&format!(".{own}")))
    };
    let elsewhere: Vec<_> =
        sent.targets.iter().filter(|t| **t != addr.to_string() && !is_browsers_own(t)).collect();
    assert_eq!(elsewhere, [] as [&String; 0], "connections to others");
    for (line, body) in &sent.requests {
        assert!(body.is_empty(), "{line} has a body of {} bytes", body.len());
    }
    assert!(sent.requests.iter().any(|(line, _)| line.contains("windrow.wasm")), "requests are seen");
    let mut n_messages = std::collections::BTreeMap::new();
    for (opcode, payload) in sent.tunnels.iter().flat_map(|tunnel| frames(tunnel)) {
        match opcode {
            // Text.
            1 => {
                let said: Value = serde_json::from_slice(&payload).expect("a text message is JSON");
                let known: PlayerSays = serde_json::from_value(said.clone()).expect("one of the protocol's");
                assert_no_more(&said, &serde_json::to_value(known).unwrap());
                *n_messages.entry(said["type"].as_str().unwrap().to_owned()).or_insert(0) += 1;
            }
            // Goodbye, and the answer to a ping, which brings back the server's own empty one.
            8 => assert!(payload.len() <= 125),
            10 => assert!(payload.is_empty()),
            other => panic!("a frame of kind {other}, {} bytes", payload.len()),
        }
    }
    for kind in ["hello", "reading", "pulses", "clock"] {
        assert!(n_messages.get(kind).is_some_and(|&n| n > 0), "{kind} is among {n_messages:?}");
    }
    let n_bytes = sent.tunnels.iter().map(Vec::len).sum::<usize>() - n_before;
    say(&format!(
        "a playing device sent {:.1} kB a second, all of it text messages: {n_messages:?}",
        n_bytes as f64 / 1e3 / seconds
    ));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn everything_that_leaves_a_listening_browser_is_measurements_to_this_server() {
    let Some(programs) = programs_or_say_skipped("watching what a browser sends") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("sound-stays.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let (proxy, kept) = watching_proxy(server.running().http_addr).await;
    let browser = Browser::open_through(programs, Microphone::Plays(&microphone), proxy).await;
    browser.during(|client| plays_and_is_watched(client, server, kept)).await;
}
