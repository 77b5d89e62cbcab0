//! Pages, files and headers, as a browser's first requests meet them.

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use windrow_tests::TestServer;

/// An answer, with the names of its headers in small letters.
struct Answer {
    status: u16,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Answer {
    fn header(&self, name: &str) -> &str {
        self.headers.iter().find(|(n, _)| n == name).map_or("", |(_, value)| value)
    }

    fn text(&self) -> String {
        String::from_utf8(self.body.clone()).unwrap()
    }
}

/// One request on a connection of its own.
async fn get(server: &TestServer, path: &str, headers: &[(&str, &str)]) -> Answer {
    let addr = server.running().http_addr;
    let mut stream = TcpStream::connect(addr).await.unwrap();
    let mut request = format!("GET {path} HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n");
    for (name, value) in headers {
        request.push_str(&format!("{name}: {value}\r\n"));
    }
    stream.write_all(format!("{request}\r\n").as_bytes()).await.unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).await.unwrap();
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    let mut lines = head.lines();
    let status = lines.next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
    let headers = lines
        .map(|line| line.split_once(": ").unwrap())
        .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
        .collect();
    Answer { status, headers, body: bytes[end + 4..].to_vec() }
}

#[tokio::test]
async fn the_join_page_knows_the_code_the_section_and_the_instruments() {
    let server = TestServer::start().await;
    let page = get(&server, &format!("/join/{}", server.code().to_lowercase()), &[]).await;
    assert_eq!((page.status, page.header("content-type")), (200, "text/html; charset=utf-8"));
    for words in [server.code(), "Larkmoor Youth Winds", "alto-sax", "clarinet in B flat"] {
        assert!(page.text().contains(words), "{words} is missing");
    }
    let page = get(&server, "/", &[]).await;
    assert_eq!(page.status, 200);
    assert!(
        !page.text().contains(server.code()),
        "the code is on the conductor's screen, not for every visitor"
    );
}

#[tokio::test]
async fn a_code_that_leads_nowhere_is_explained() {
    let server = TestServer::start().await;
    let page = get(&server, "/join/CCCCCC", &[]).await;
    assert_eq!(page.status, 404);
    assert!(page.text().contains("There is no rehearsal with the code CCCCCC"));
    let page = get(&server, "/join/%3Cscript%3E", &[]).await;
    assert!(!page.text().contains("<script>"), "{}", page.text());
}

#[tokio::test]
async fn the_conductors_key_becomes_a_cookie_and_leaves_the_address() {
    let server = TestServer::start().await;
    let closed = get(&server, "/conduct", &[]).await;
    assert_eq!(closed.status, 403);
    assert!(closed.text().contains("the link that Windrow printed"));
    assert_eq!(get(&server, "/conduct?key=wrong", &[]).await.status, 403);
    let opened = get(&server, &format!("/conduct?key={}", server.key()), &[]).await;
    assert_eq!((opened.status, opened.header("location")), (303, "/conduct"));
    let cookie = opened.header("set-cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let pair = cookie.split(';').next().unwrap();
    let page = get(&server, "/conduct", &[("Cookie", &format!("other=1; {pair}"))]).await;
    assert_eq!((page.status, page.header("cache-control")), (200, "no-store"));
    assert!(page.text().contains(server.code()));
    assert!(!page.text().contains(server.key()), "a projector shows this page");
}

#[tokio::test]
async fn every_answer_says_what_a_page_may_load() {
    let server = TestServer::start().await;
    for path in ["/", "/conduct", "/static/windrow.wasm", "/static/nothing.js", "/healthz", "/nowhere"] {
        let answer = get(&server, path, &[]).await;
        let policy = answer.header("content-security-policy");
        assert!(
            policy.starts_with("default-src 'none'; script-src 'self' 'wasm-unsafe-eval';"),
            "{path}: {policy}"
        );
        assert!(policy.contains("frame-ancestors 'none'"), "{path}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("referrer-policy"), "same-origin", "{path}");
        assert_eq!(answer.header("x-frame-options"), "DENY", "{path}");
        assert!(answer.header("permissions-policy").starts_with("microphone=(self),"), "{path}");
    }
}

#[tokio::test]
async fn a_page_holds_nothing_that_the_policy_would_block() {
    let server = TestServer::start().await;
    let cookie = server.conductor_cookie();
    for path in ["/", "/conduct"] {
        let page = get(&server, path, &[("Cookie", &cookie)]).await;
        assert_eq!(page.status, 200, "{path}");
        let text = page.text().to_lowercase();
        for inline in ["<style", " style=", " onclick=", " onload=", "javascript:", "http://", "//cdn"] {
            // The address to join stands in the page as text.
            let text = text.replace(&format!("http://{}", server.running().http_addr), "");
            assert!(!text.contains(inline), "{path} has {inline}");
        }
        for (i, _) in text.match_indices("<script") {
            let tag = &text[i..i + text[i..].find('>').unwrap()];
            // A block of data is no script to a browser.
            let is_data = tag.contains(" type=\"text/fluent\"");
            assert!(is_data || tag.contains(" src=\"/static/"), "{path}: {tag}");
        }
    }
}

#[tokio::test]
async fn files_come_with_their_type_and_are_not_sent_twice() {
    let server = TestServer::start().await;
    let wasm = get(&server, "/static/windrow.wasm", &[]).await;
    assert_eq!((wasm.status, wasm.header("content-type")), (200, "application/wasm"));
    assert_eq!(&wasm.body[..4], b"\0asm");
    let etag = wasm.header("etag").to_owned();
    let again = get(&server, "/static/windrow.wasm", &[("If-None-Match", &etag)]).await;
    assert_eq!((again.status, again.body.len(), again.header("etag")), (304, 0, etag.as_str()));
    let changed = get(&server, "/static/windrow.wasm", &[("If-None-Match", "\"older\"")]).await;
    assert_eq!((changed.status, changed.body.len()), (200, wasm.body.len()));
    for path in [
        "/static/../server/Cargo.toml",
        "/static/%2e%2e/Cargo.toml",
        "/static/",
        "/static/windrow.wasm.sources",
    ] {
        assert_eq!(get(&server, path, &[]).await.status, 404, "{path}");
    }
}

#[tokio::test]
async fn health_counts_players_and_names_nobody() {
    let server = TestServer::start().await;
    let _imogen =
        windrow_tests::Player::join(&server, "Imogen", windrow_protocol::instrument::Instrument::Flute).await;
    let mut conductor = windrow_tests::Conductor::open(&server).await;
    conductor.see_lane("Imogen", |_| true).await;
    let health = get(&server, "/healthz", &[]).await;
    let fields: serde_json::Value = serde_json::from_slice(&health.body).unwrap();
    assert_eq!((health.status, &fields["status"], &fields["rooms"]), (200, &"ok".into(), &1.into()));
    assert_eq!(fields["players"], 1);
    assert!(!health.text().contains("Imogen"));
}
