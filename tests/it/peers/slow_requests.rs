//! Requests that hardly come: nothing, half a head, a byte a second; and answers that are not taken.

use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::{sleep, timeout};
use windrow_tests::TestServer;

/// Longer than any limit of the server's, on a machine that compiles something else meanwhile.
const PATIENCE: Duration = Duration::from_secs(50);

/// Sends `first`, then `then` each second, and waits until the server ends the connection: what it said.
async fn told(addr: SocketAddr, first: &str, then: &[u8]) -> String {
    let mut stream = TcpStream::connect(addr).await.unwrap();
    stream.write_all(first.as_bytes()).await.unwrap();
    let mut said = Vec::new();
    let all = async {
        let mut piece = [0; 4096];
        loop {
            match timeout(Duration::from_secs(1), stream.read(&mut piece)).await {
                Ok(Ok(0) | Err(_)) => return,
                Ok(Ok(n)) => said.extend_from_slice(&piece[..n]),
                Err(_) if then.is_empty() => {}
                // The server may have closed by now, which is told by the next read.
                Err(_) => drop(stream.write_all(then).await),
            }
        }
    };
    timeout(PATIENCE, all).await.expect("the connection ends");
    String::from_utf8_lossy(&said).into_owned()
}

#[tokio::test]
async fn a_connection_that_hardly_says_anything_is_closed() {
    let server = TestServer::start_secure().await;
    let (http, https) = (server.running().http_addr, server.running().https_addr.unwrap());
    let health = format!("GET /healthz HTTP/1.1\r\nHost: {http}\r\n\r\n");
    let checks = [
        (http, String::new(), b"".as_slice(), ""),
        (http, "GET /healthz HTTP/1.1\r\nHost: a\r\nX-Slow: ".to_owned(), b"a", ""),
        // Neither is ever TLS.
        (https, String::new(), b"", ""),
        (https, "\u{16}".to_owned(), b"\x03", ""),
        // The first request of this one is complete, the second never.
        (http, format!("{health}GET /heal"), b"", "\"status\":\"ok\""),
    ];
    let told = checks.map(async |(addr, first, then, expected)| {
        let told = told(addr, &first, then).await;
        assert!(told.contains(expected), "{first:?}: {told}");
    });
    futures_util::future::join_all(told).await;
}

#[tokio::test]
async fn what_is_sent_a_byte_a_second_is_refused_in_words() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let head = format!(
        "POST /sign-in HTTP/1.1\r\nHost: {addr}\r\nOrigin: http://{addr}\r\nContent-Type: application/x-www-form-urlencoded\r\n\
         Content-Length: 1000\r\n\r\npassphrase="
    );
    let told = told(addr, &head, b"a").await;
    assert!(told.starts_with("HTTP/1.1 408 "), "{told}");
    assert!(told.contains("came so slowly that it was given up"), "{told}");
}

#[tokio::test]
async fn an_answer_that_is_not_taken_is_given_up() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let mut stream = TcpStream::connect(addr).await.unwrap();
    let head = format!("GET /static/windrow-room.wasm HTTP/1.1\r\nHost: {addr}\r\n\r\n");
    stream.write_all(head.as_bytes()).await.unwrap();
    let mut first = [0; 64];
    stream.read_exact(&mut first).await.unwrap();
    assert!(first.starts_with(b"HTTP/1.1 200 "));
    // The rest stays where it is for longer than the server waits. Somebody else is answered meanwhile.
    let (status, ()) = tokio::join!(
        async { windrow_tests::request::get(addr, "/healthz", &[]).await.status },
        sleep(Duration::from_secs(33))
    );
    assert_eq!(status, 200);
    let mut rest = Vec::new();
    // Either it ends early or it is reset.
    let _ = timeout(PATIENCE, stream.read_to_end(&mut rest)).await.expect("it ends");
    let whole = std::fs::metadata(concat!(env!("CARGO_MANIFEST_DIR"), "/../web/static/windrow-room.wasm"));
    assert!((rest.len() as u64) < whole.unwrap().len() / 2, "{} bytes came", rest.len());
}
