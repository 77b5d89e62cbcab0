//! HTTP/2 by hand (RFC 9113), as no browser speaks it: streams that are opened and reset by the thousand, heads that never end
//! or swell when they are unpacked, pings and settings without measure. Whoever asks properly is served meanwhile and after.

use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use windrow_tests::TestServer;
use windrow_tests::request::get;

/// Longest wait for an answer, on a machine that compiles something else meanwhile.
const PATIENCE: Duration = Duration::from_secs(30);
/// What is asked last.
const LAST: &[u8] = b"the last";
const PREFACE: &[u8] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n";
// RFC 9113, section 6.
const HEADERS: u8 = 1;
const RST_STREAM: u8 = 3;
const SETTINGS: u8 = 4;
const PING: u8 = 6;
const GOAWAY: u8 = 7;
const CONTINUATION: u8 = 9;
const END_STREAM: u8 = 1;
const END_HEADERS: u8 = 4;

fn frame(kind: u8, flags: u8, stream: u32, payload: &[u8]) -> Vec<u8> {
    let length = u32::try_from(payload.len()).unwrap().to_be_bytes();
    [&length[1..], &[kind, flags], &stream.to_be_bytes(), payload].concat()
}

/// A request for `/healthz` (RFC 7541: indexed fields 2 and 6, then two literals that are not kept).
fn request(addr: SocketAddr) -> Vec<u8> {
    let host = addr.to_string();
    let path = b"/healthz";
    let lengths = [path.len(), host.len()].map(|n| u8::try_from(n).unwrap());
    [&[0x82, 0x86, 0x04, lengths[0]], path.as_slice(), &[0x01, lengths[1]], host.as_bytes()].concat()
}

/// Frames that came, by kind and payload.
type Came = Vec<(u8, Vec<u8>)>;

/// Sends frames after the preface as long as they are taken, and a ping after them; gives back how many, and what came until that
/// was answered, `enough` had come, and the server had nothing more to say, or until the server let go.
async fn talk(
    addr: SocketAddr,
    frames: impl Iterator<Item = Vec<u8>>,
    enough: fn(&Came) -> bool,
) -> (usize, Came) {
    let mut stream = TcpStream::connect(addr).await.unwrap();
    stream.write_all(PREFACE).await.unwrap();
    stream.write_all(&frame(SETTINGS, 0, 0, &[])).await.unwrap();
    let (mut reading, mut writing) = stream.into_split();
    let heard = tokio::spawn(async move {
        let mut came = Came::new();
        let mut bytes = Vec::new();
        let is_last = |(kind, payload): &(u8, Vec<u8>)| *kind == PING && payload == LAST;
        while !(came.iter().any(is_last) && enough(&came)) {
            match timeout(PATIENCE, reading.read_buf(&mut bytes)).await {
                Ok(Ok(n)) if n > 0 => {}
                _ => break,
            }
            while let Some(&[a, b, c, kind, ..]) = bytes.get(..9) {
                let end = 9 + u32::from_be_bytes([0, a, b, c]) as usize;
                if bytes.len() < end {
                    break;
                }
                let rest = bytes.split_off(end);
                came.push((kind, std::mem::replace(&mut bytes, rest)[9..].to_vec()));
            }
        }
        came
    });
    let mut n_sent = 0;
    for frame in frames {
        match timeout(PATIENCE, writing.write_all(&frame)).await {
            Ok(Ok(())) => n_sent += 1,
            _ => break,
        }
    }
    // Where the server is gone nobody answers.
    let _ = writing.write_all(&frame(PING, 0, 0, LAST)).await;
    (n_sent, heard.await.unwrap())
}

/// Something was answered on a stream, or the stream or all of it was ended.
fn is_answered(came: &Came) -> bool {
    came.iter().any(|(kind, _)| [HEADERS, RST_STREAM, GOAWAY].contains(kind))
}

/// Whether one of the answers is 200 (RFC 7541, appendix A: index 8 is ":status 200").
fn is_ok(came: &Came) -> bool {
    came.iter().any(|(kind, payload)| *kind == HEADERS && payload.first() == Some(&0x88))
}

/// Why the server ended it (RFC 9113, section 7), if it said so.
fn ended_by(came: &Came) -> Option<u32> {
    let last = came.iter().find(|(kind, _)| *kind == GOAWAY)?;
    Some(u32::from_be_bytes(last.1.get(4..8)?.try_into().ok()?))
}

async fn assert_well(addr: SocketAddr) {
    assert_eq!(get(addr, "/healthz", &[]).await.status, 200);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_proper_request_is_answered() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let head = request(addr);
    let (_, came) =
        talk(addr, [frame(HEADERS, END_HEADERS | END_STREAM, 1, &head)].into_iter(), is_answered).await;
    assert!(is_ok(&came), "{came:?}");
}

/// CVE-2023-44487: each stream is given up as soon as it is asked for, so the limit of open ones is never met.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn streams_that_are_reset_at_once_keep_nobody_out() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let head = request(addr);
    let streams = (0..20_000u32).map(move |i| {
        let stream = 2 * i + 1;
        let cancel = 8u32.to_be_bytes();
        [frame(HEADERS, END_HEADERS | END_STREAM, stream, &head), frame(RST_STREAM, 0, stream, &cancel)]
            .concat()
    });
    let flood = tokio::spawn(talk(addr, streams, |_| true));
    for _ in 0..20 {
        assert_well(addr).await;
    }
    flood.await.unwrap();
    assert_well(addr).await;
}

/// CVE-2024-27316: a head in ever more pieces, none of which is the last.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_head_that_never_ends_ends_the_connection() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let first = frame(HEADERS, END_STREAM, 1, &request(addr));
    // A literal field that is not kept, of 16 KB in all.
    let name_and_value = [&[0x00, 0x01, b'x', 0x7f, 0x81, 0x7e][..], &vec![b'a'; 16_256]].concat();
    let piece = frame(CONTINUATION, 0, 1, &name_and_value);
    let pieces = std::iter::once(first).chain(std::iter::repeat_n(piece, 20_000));
    let (n_sent, came) = talk(addr, pieces, |_| true).await;
    assert!(n_sent < 20_000, "320 MB of one head are taken");
    assert!(ended_by(&came).is_some_and(|code| code != 0) || came.len() < 4, "{came:?}");
    assert_well(addr).await;
}

/// A field that is kept once and then named by a byte, thousands of times: 4 KB that mean 16 MB.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_head_that_swells_is_refused() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    // RFC 7541, section 6.2.1: a literal that is kept, then index 62, the newest of the dynamic table.
    let kept = [&[0x40, 0x01, b'x', 0x7f, 0x81, 0x1e][..], &vec![b'a'; 4000]].concat();
    let head = [request(addr), kept, vec![0xbe; 4000]].concat();
    let (_, came) =
        talk(addr, [frame(HEADERS, END_HEADERS | END_STREAM, 1, &head)].into_iter(), is_answered).await;
    assert!(is_answered(&came) && !is_ok(&came), "it was taken: {came:?}");
    assert_well(addr).await;
}

/// Each of these has to be answered (RFC 9113, sections 6.5.3 and 6.7), whoever reads the answers.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pings_and_settings_by_the_thousand_keep_nobody_out() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    for kind in [PING, SETTINGS] {
        let payload = if kind == PING { vec![0; 8] } else { vec![] };
        let flood =
            tokio::spawn(talk(addr, std::iter::repeat_n(frame(kind, 0, 0, &payload), 50_000), |_| true));
        for _ in 0..20 {
            assert_well(addr).await;
        }
        flood.await.unwrap();
    }
    assert_well(addr).await;
}

/// What is no frame, or none of this place (RFC 9113, section 5.4.1).
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn frames_that_may_not_be_end_the_connection() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let head = request(addr);
    let upper = [&head[..], &[0x00, 0x01, b'X', 0x01, b'a']].concat();
    for (what, frames) in [
        ("an even stream", vec![frame(HEADERS, END_HEADERS | END_STREAM, 2, &head)]),
        ("stream 0", vec![frame(HEADERS, END_HEADERS | END_STREAM, 0, &head)]),
        ("a continuation of nothing", vec![frame(CONTINUATION, END_HEADERS, 1, &head)]),
        ("settings of five bytes", vec![frame(SETTINGS, 0, 0, &[0; 5])]),
        ("a ping of nine bytes", vec![frame(PING, 0, 0, &[0; 9])]),
        ("a reset of nothing", vec![frame(RST_STREAM, 0, 7, &[0; 4])]),
        ("a frame longer than was agreed", vec![frame(HEADERS, END_HEADERS, 1, &[0; 20_000])]),
        ("an index beyond the table", vec![frame(HEADERS, END_HEADERS | END_STREAM, 1, &[0xff, 0xff, 0x7f])]),
        ("nothing but rubbish", vec![vec![0xff; 64]]),
    ] {
        let (_, came) = talk(addr, frames.into_iter(), |_| true).await;
        assert!(ended_by(&came).is_some_and(|code| code != 0), "{what}: {came:?}");
    }
    // A name in capitals is the fault of that stream alone (section 8.1.1).
    let (_, came) =
        talk(addr, [frame(HEADERS, END_HEADERS | END_STREAM, 1, &upper)].into_iter(), is_answered).await;
    assert!(is_answered(&came) && !is_ok(&came), "{came:?}");
    assert_well(addr).await;
}
