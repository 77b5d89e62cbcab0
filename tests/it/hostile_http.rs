//! Requests by hand that no browser makes: two lengths, floods of headers, paths with tricks, bodies without an end.
//! Whatever the answer is, it is one, it gives nothing away, and whoever asks properly is served meanwhile.

use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use windrow_tests::TestServer;
use windrow_tests::request::{get, raw, send, statuses};

/// Longest wait for an answer, on a machine that compiles something else meanwhile.
const PATIENCE: Duration = Duration::from_secs(30);

async fn assert_well(addr: SocketAddr) {
    assert_eq!(get(addr, "/healthz", &[]).await.status, 200);
}

/// Request smuggling (RFC 9112, section 11.2): what a proxy and this server could read as one request or as two. Never more than
/// one answer, and the second request never has one.
#[tokio::test]
async fn a_request_within_a_request_is_none() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let inner = "GET /static/base.css HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n";
    let ended = format!("0\r\n\r\n{inner}");
    let length = format!("Content-Length: {}\r\n", ended.len());
    let chunked = "Transfer-Encoding: chunked\r\n";
    for lengths in [
        format!("{length}{chunked}"),
        format!("{chunked}{length}"),
        format!("{chunked}Content-Length: 0\r\n"),
        format!("{length}Content-Length: 0\r\n"),
        format!("Content-Length: 0\r\n{length}"),
        format!("Content-Length: 0, {}\r\n", ended.len()),
        format!("Content-Length: +{}\r\n", ended.len()),
        format!("Content-Length: -{}\r\n", ended.len()),
        format!("Content-Length : {}\r\n", ended.len()),
        format!("Content-Length: {:#x}\r\n", ended.len()),
        format!("Content-Length:\r\n {}\r\n", ended.len()),
        format!("{length}Transfer-Encoding: xchunked\r\n"),
        format!("{length}Transfer-Encoding: chunked, identity\r\n"),
        format!("{length}Transfer-Encoding: identity\r\n"),
        format!("{length}Transfer-Encoding : chunked\r\n"),
        format!("{length}Transfer-Encoding:\r\n chunked\r\n"),
        format!("{length}Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n"),
        format!("{length}Transfer-Encoding:\u{b}chunked\r\n"),
        format!("{length}\0Transfer-Encoding: chunked\r\n"),
        format!("{length}X: a\rTransfer-Encoding: chunked\r\n"),
        format!("{length}X: a\nTransfer-Encoding: chunked\r\n"),
    ] {
        let head = format!("POST /mine/who.json HTTP/1.1\r\nHost: {addr}\r\n{lengths}\r\n");
        // The server may wait for the rest of a body: then the connection is let go of from here.
        let mut stream = TcpStream::connect(addr).await.unwrap();
        stream.write_all(format!("{head}{ended}").as_bytes()).await.unwrap();
        stream.shutdown().await.unwrap();
        let mut answer = Vec::new();
        let _ = timeout(PATIENCE, stream.read_to_end(&mut answer)).await.expect("the server lets go");
        let answer = String::from_utf8_lossy(&answer).into_owned();
        assert!(statuses(&answer).len() <= 1, "{lengths:?}: {answer}");
        assert!(!answer.contains("text/css"), "{lengths:?}: {answer}");
    }
    // The same without a trick has two answers, so that the above can fail.
    let proper = format!("POST /mine/who.json HTTP/1.1\r\nHost: {addr}\r\nContent-Length: 0\r\n\r\n{inner}");
    assert_eq!(statuses(&raw(addr, proper.as_bytes()).await), [404, 200]);
    assert_well(addr).await;
}

/// RFC 9112, section 7.1: sizes of pieces that overflow, have signs or letters, or never end.
#[tokio::test]
async fn pieces_of_no_size_are_refused() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let long = format!("5;{}\r\nhello\r\n0\r\n\r\n", "x".repeat(1 << 20));
    let pieces = [
        "fffffffffffffffff\r\nhello",
        "ffffffffffffffff\r\nhello",
        "-5\r\nhello\r\n0\r\n\r\n",
        "0x5\r\nhello\r\n0\r\n\r\n",
        "5 5\r\nhello\r\n0\r\n\r\n",
        "g\r\nhello\r\n0\r\n\r\n",
        "5\nhello\n0\n\n",
        long.as_str(),
    ];
    for body in pieces {
        let head =
            format!("POST /line/player HTTP/1.1\r\nHost: {addr}\r\nTransfer-Encoding: chunked\r\n\r\n");
        let mut stream = TcpStream::connect(addr).await.unwrap();
        let _ = stream.write_all(format!("{head}{body}").as_bytes()).await;
        let _ = stream.shutdown().await;
        let mut answer = Vec::new();
        let _ = timeout(PATIENCE, stream.read_to_end(&mut answer)).await.expect("the server lets go");
        let answer = statuses(&String::from_utf8_lossy(&answer));
        assert!(answer.iter().all(|status| (400..500).contains(status)), "{:?}: {answer:?}", &body[..5]);
    }
    assert_well(addr).await;
}

#[tokio::test]
async fn heads_without_measure_are_refused() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let many: String = (0..300).map(|i| format!("x-{i}: a\r\n")).collect();
    let long = format!("x: {}\r\n", "a".repeat(2 << 20));
    for (what, line, headers) in
        [("many headers", "GET /healthz HTTP/1.1", many), ("a long header", "GET /healthz HTTP/1.1", long)]
    {
        let request = format!("{line}\r\nHost: {addr}\r\nConnection: close\r\n{headers}\r\n");
        let answer = raw(addr, request.as_bytes()).await;
        // The answer may be lost where the server lets go while more is being sent.
        assert!([&[] as &[u16], &[431]].contains(&statuses(&answer).as_slice()), "{what}: {answer}");
    }
    let address =
        format!("GET /{} HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n", "a".repeat(2 << 20));
    let answer = raw(addr, address.as_bytes()).await;
    assert!([&[] as &[u16], &[414], &[431]].contains(&statuses(&answer).as_slice()), "{answer}");
    // What is long and still read is answered like anything else.
    let address = format!("/{}", "a".repeat(30_000));
    assert_eq!(get(addr, &address, &[]).await.status, 404);
    assert_well(addr).await;
}

/// Each cookie of our name is looked up in the records; a request brings as many as its head has room for.
#[tokio::test]
async fn thousands_of_cookies_are_no_thousands_of_questions() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let name = server.running().cookie_name();
    let good = server.conductor_cookie();
    let wrong = format!("{name}={}", "a".repeat(64));
    let others: Vec<String> = (0..300).map(|i| format!("other_{i}={i}")).collect();
    let few = format!("{}; {good}", [vec![wrong.clone(); 3], others].concat().join("; "));
    assert_eq!(
        get(addr, "/conduct/reach.json", &[("Cookie", &few)]).await.status,
        200,
        "others' cookies do no harm"
    );
    let many = format!("{}; {good}", vec![wrong; 400].join("; "));
    assert_eq!(
        get(addr, "/conduct/reach.json", &[("Cookie", &many)]).await.status,
        403,
        "nobody looks that far"
    );
}

/// Whatever a path says, there is nothing but routes and the files of the pages.
#[tokio::test]
async fn paths_lead_nowhere_else() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let cookie = server.conductor_cookie();
    for path in [
        "/static/../Cargo.toml",
        "/static/..%2f..%2fCargo.toml",
        "/static/%2e%2e/%2e%2e/Cargo.toml",
        "/static/%2e%2e%2f%2e%2e%2fserver%2fsrc%2fmain.rs",
        "/static/..%252f..%252fCargo.toml",
        "/static/..%5c..%5cCargo.toml",
        "/static/..\\..\\Cargo.toml",
        "/static/....//....//Cargo.toml",
        "/static//etc/passwd",
        "/static/%2fetc%2fpasswd.txt",
        "/static/%00base.css",
        "/static/base.css%00.txt",
        "/static/base.css%0a",
        "/static/base.css/",
        "/static/.",
        "/static/fonts/..",
        "/static/v-/../../Cargo.toml",
        "/static/windrow.wasm.sources",
        "/static/%c0%ae%c0%ae/Cargo.toml",
        "/static/%ff",
        "/static/%",
        "/static/%zz",
        "/conduct/plans/..%2f..%2fwindrow.json",
        "/conduct/plans/%00.json",
        "/conduct/plans/..json",
        "/conduct/rehearsals/..%2f..%2f",
        "/conduct/rehearsals/..%2frecords/session.json",
        "/conduct/rehearsals/%27%20or%201=1--/results.csv",
        "/conduct/weeks/%27%20or%201=1--",
        "//conduct/keep",
        "/conduct/./keep",
        "/Conduct/keep",
        "/conduct/keep/",
        "/conduct%2fkeep",
        "/static/../conduct/keep",
    ] {
        let answer = get(addr, path, &[("Cookie", &cookie)]).await;
        assert!([400, 404].contains(&answer.status), "{path}: {}", answer.status);
    }
    // None of that is a way round the sign-in either.
    for path in [
        "//conduct/roster.csv",
        "/static/../conduct/roster.csv",
        "/conduct/roster.csv?",
        "/conduct/roster.csv#",
        "/conduct/roster.csv;x",
    ] {
        assert_ne!(get(addr, path, &[]).await.status, 200, "{path}");
    }
}

/// Names that end up in the records or in a header.
#[tokio::test]
async fn names_of_plans_and_pages_to_go_to_bring_no_path_and_no_header() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let (cookie, origin) = (server.conductor_cookie(), server.url(""));
    let before = files(server.data_dir());
    let plan = get(addr, "/conduct/plans/first-lesson.json", &[("Cookie", &cookie)]).await.text();
    for name in [
        "..%2f..%2fevil",
        "a%22%0d%0aX-Injected:%20b",
        "a%0aX-Injected:%20b",
        "a%00",
        "CON%3a",
        "%2e%2e",
        "a;b=c",
    ] {
        let headers =
            [("Cookie", cookie.as_str()), ("Origin", &origin), ("Content-Type", "application/json")];
        let answer = send(addr, "PUT", &format!("/conduct/plans/{name}.json"), &headers, &plan).await;
        assert_eq!(answer.status, 422, "{name}: {}", answer.text());
        assert_eq!(answer.header("x-injected"), "", "{name}");
    }
    assert_eq!(files(server.data_dir()), before, "no file came out of a name");
    for to in [
        "/conduct%0d%0aX-Injected:%20b",
        "%2f%2felsewhere.example",
        "%5celsewhere.example",
        "https:elsewhere.example",
    ] {
        let page = get(addr, &format!("/sign-in?to={to}"), &[]).await;
        assert_eq!(page.header("x-injected"), "", "{to}");
        let led = get(addr, &format!("/conduct/{to}"), &[("Accept", "text/html")]).await;
        assert_eq!(led.header("x-injected"), "", "{to}");
        assert!(led.header("location").starts_with("/sign-in") || led.header("location").is_empty(), "{to}");
    }
    let referer = [
        ("Origin", origin.as_str()),
        ("Referer", "http://a/%0d%0aX-Injected: b"),
        ("Content-Type", "application/x-www-form-urlencoded"),
    ];
    let chosen = send(addr, "POST", "/language", &referer, "to=de").await;
    assert!(chosen.header("x-injected").is_empty() && chosen.header("location").starts_with('/'));
}

fn files(dir: &std::path::Path) -> Vec<String> {
    let names =
        std::fs::read_dir(dir).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

/// Ranges are not served (RFC 9110, section 14.2 lets a server pass over them), so many of them make no large answer.
#[tokio::test]
async fn ranges_are_passed_over() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let whole = get(addr, "/static/base.css", &[]).await;
    let many = format!("bytes={}", vec!["0-"; 2000].join(","));
    for range in ["bytes=0-0", "bytes=5-1", "bytes=-1", "lines=1-2", many.as_str()] {
        let answer = get(addr, "/static/base.css", &[("Range", range)]).await;
        assert_eq!((answer.status, answer.body.len()), (200, whole.body.len()), "{range:.20}");
    }
}

/// Nothing that comes in is unpacked on the way, so a body that is small and means gigabytes is what it is: no form.
#[tokio::test]
async fn what_comes_packed_is_not_unpacked() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let (cookie, origin) = (server.conductor_cookie(), server.url(""));
    for coding in ["gzip", "deflate", "br", "zstd", "gzip, gzip", "x-unheard-of"] {
        let headers = [
            ("Cookie", cookie.as_str()),
            ("Origin", &origin),
            ("Content-Type", "application/x-www-form-urlencoded"),
            ("Content-Encoding", coding),
        ];
        // The same text without a coding would do something.
        let answer =
            send(addr, "POST", "/conduct/plans", &headers, "\u{1f}\u{8b}\u{8}do=use&name=first-lesson").await;
        assert!((400..500).contains(&answer.status), "{coding}: {}", answer.status);
    }
}

/// Every route that takes something, with a body in pieces that never ends: it is answered, or let go of, long before it is all
/// here, and everybody else is served.
#[tokio::test]
async fn a_body_without_end_is_not_waited_for() {
    /// More than any route takes, of a whole rehearsal too.
    const FAR_TOO_MUCH: usize = 200 << 20;
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let (cookie, origin) = (server.conductor_cookie(), server.url(""));
    let piece = format!("10000\r\n{}\r\n", "a".repeat(0x10000));
    for (method, route) in windrow::route_names().into_iter().filter(|(method, _)| *method != "GET") {
        // The longest things that are taken are tried by `records_exchange` and would be most of the time here.
        let path = route.replace("{code}", server.code()).replace(['{', '}'], "");
        let head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {addr}\r\nOrigin: {origin}\r\nCookie: {cookie}\r\nX-Windrow-Device: a\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nTransfer-Encoding: chunked\r\n\r\n"
        );
        let mut stream = TcpStream::connect(addr).await.unwrap();
        stream.write_all(head.as_bytes()).await.unwrap();
        let mut n_sent = 0;
        let mut answer = Vec::new();
        let mut some = [0; 4096];
        let done = timeout(PATIENCE, async {
            let (mut reading, mut writing) = stream.split();
            loop {
                tokio::select! {
                    biased;
                    got = reading.read(&mut some) => match got {
                        Ok(n) if n > 0 => answer.extend_from_slice(&some[..n]),
                        _ => return,
                    },
                    sent = writing.write_all(piece.as_bytes()) => {
                        n_sent += piece.len();
                        if sent.is_err() || n_sent > FAR_TOO_MUCH {
                            return;
                        }
                    }
                }
            }
        });
        done.await
            .unwrap_or_else(|_| panic!("{method} {path} neither answers nor lets go after {n_sent} bytes"));
        assert!(n_sent < FAR_TOO_MUCH, "{method} {path} takes all");
        let statuses = statuses(&String::from_utf8_lossy(&answer));
        assert!(
            statuses.len() <= 1 && statuses.iter().all(|&status| status < 500),
            "{method} {path}: {statuses:?}"
        );
    }
    assert_well(addr).await;
}
