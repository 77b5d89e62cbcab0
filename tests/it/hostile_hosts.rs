//! The name that a request says it was made to: exactly one, and none that a page from elsewhere makes lead here.

use windrow::Server;
use windrow_tests::request::{post, raw, statuses};
use windrow_tests::{TestServer, serve_config};

/// RFC 9112, section 3.2: one host, and what stands in the address counts.
#[tokio::test]
async fn a_request_names_one_host() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    for (request, expected) in [
        (format!("GET /healthz HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 200),
        ("GET /healthz HTTP/1.1\r\nConnection: close\r\n\r\n".to_owned(), 400),
        (format!("GET /healthz HTTP/1.1\r\nHost: {addr}\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 400),
        (
            format!(
                "GET /healthz HTTP/1.1\r\nHost: {addr}\r\nhost: elsewhere.example\r\nConnection: close\r\n\r\n"
            ),
            400,
        ),
        ("GET /healthz HTTP/1.0\r\n\r\n".to_owned(), 200),
        // As to a proxy: this is none, and answers for itself alone.
        (format!("GET http://{addr}/healthz HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 200),
        (format!("CONNECT elsewhere.example:443 HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 404),
        (format!("GET /../healthz HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 404),
        (format!("GET healthz HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 404),
        (format!("GET /healthz HTTP/9.9\r\nHost: {addr}\r\nConnection: close\r\n\r\n"), 400),
        (format!("GET /healthz\r\nHost: {addr}\r\n\r\n"), 400),
        ("\u{16}\u{3}\u{1}\u{2}\u{0}\u{1}\r\n\r\n".to_owned(), 400),
    ] {
        let answer = raw(addr, request.as_bytes()).await;
        assert_eq!(statuses(&answer).first(), Some(&expected), "{request:?}: {answer}");
    }
    // A page that says it is of the host in the header, while the address names another one, is from elsewhere.
    let cookie = server.conductor_cookie();
    let request = format!(
        "POST http://elsewhere.example/conduct/plans/delete HTTP/1.1\r\nHost: {addr}\r\nOrigin: http://{addr}\r\nCookie: {cookie}\r\n\
         Content-Length: 0\r\nConnection: close\r\n\r\n"
    );
    assert_eq!(statuses(&raw(addr, request.as_bytes()).await), [403]);
}

/// DNS rebinding: a page in the teacher's browser makes its own name lead to this computer. Its requests have an origin that is
/// their host, and come from here; over plain http alone, no gate before it refuses other names. It may not try passphrases.
#[tokio::test]
async fn a_strange_name_that_leads_here_signs_nobody_in() {
    let data_dir = windrow_tests::new_data_dir();
    let running = Server::start(serve_config(&data_dir)).await.unwrap();
    let addr = running.http_addr;
    let first = format!("/{}", running.first_link.as_deref().unwrap().splitn(4, '/').nth(3).unwrap());
    let form = [("new", "reed water 4"), ("again", "reed water 4")];
    assert_eq!(post(addr, &first, "", &form).await.status, 303);
    let sign_in = |host: &str| {
        let body = "passphrase=reed+water+4";
        format!(
            "POST /sign-in HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        )
    };
    for (host, expected) in [
        (addr.to_string(), 303),
        (format!("localhost:{}", addr.port()), 303),
        (format!("rebound.example:{}", addr.port()), 403),
        (format!("127.0.0.1.rebound.example:{}", addr.port()), 403),
        (format!("localhost.rebound.example:{}", addr.port()), 403),
    ] {
        assert_eq!(statuses(&raw(addr, sign_in(&host).as_bytes()).await), [expected], "{host}");
    }
    running.stop().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}
