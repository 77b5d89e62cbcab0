//! One plain http request on a connection of its own, as a browser or a stranger sends it. It must know no route.

use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// Longest wait for an answer, on a machine that compiles something else meanwhile.
const PATIENCE: Duration = Duration::from_secs(30);

/// An answer, with the names of its headers in small letters.
#[derive(Debug)]
pub struct Answer {
    /// Status code.
    pub status: u16,
    /// Names in small letters, and values.
    pub headers: Vec<(String, String)>,
    /// Bytes as they came.
    pub body: Vec<u8>,
}

impl Answer {
    /// First value of a header; empty where there is none.
    pub fn header(&self, name: &str) -> &str {
        self.headers.iter().find(|(n, _)| n == name).map_or("", |(_, value)| value)
    }

    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// Name and value of the cookie that was set, as a browser sends it back; empty where none was.
    pub fn cookie(&self) -> String {
        self.header("set-cookie").split(';').next().unwrap_or_default().to_owned()
    }
}

/// Sends a request without a body.
pub async fn get(addr: SocketAddr, path: &str, headers: &[(&str, &str)]) -> Answer {
    send(addr, "GET", path, headers, "").await
}

/// Sends a form as one of the server's own pages does, with its origin.
pub async fn post(addr: SocketAddr, path: &str, cookie: &str, form: &[(&str, &str)]) -> Answer {
    let origin = format!("http://{addr}");
    let headers = [
        ("Origin", origin.as_str()),
        ("Cookie", cookie),
        ("Content-Type", "application/x-www-form-urlencoded"),
    ];
    send(addr, "POST", path, &headers, &form_text(form)).await
}

/// A form as a browser writes it (WHATWG URL, application/x-www-form-urlencoded).
pub fn form_text(form: &[(&str, &str)]) -> String {
    let pairs: Vec<String> =
        form.iter().map(|(name, value)| format!("{}={}", escaped(name), escaped(value))).collect();
    pairs.join("&")
}

/// Puts something at an address as one of the server's own pages does, with its origin.
pub async fn put(addr: SocketAddr, path: &str, cookie: &str, headers: &[(&str, &str)], body: &str) -> Answer {
    let origin = format!("http://{addr}");
    let own = [("Origin", origin.as_str()), ("Cookie", cookie), ("Content-Type", "application/json")];
    send(addr, "PUT", path, &[&own, headers].concat(), body).await
}

/// What comes back until the server lets go of the connection, whatever was sent.
///
/// # Panics
/// When the server cannot be reached, or never lets go.
pub async fn raw(addr: SocketAddr, bytes: &[u8]) -> String {
    let mut stream = TcpStream::connect(addr).await.expect("the server listens");
    // A server that has read enough may stop reading.
    let _ = stream.write_all(bytes).await;
    let mut answer = Vec::new();
    let _ = timeout(PATIENCE, stream.read_to_end(&mut answer)).await.expect("the server lets go");
    String::from_utf8_lossy(&answer).into_owned()
}

/// Status codes of all answers in it, in order.
pub fn statuses(answer: &str) -> Vec<u16> {
    let begins = answer.match_indices("HTTP/1.").map(|(at, begin)| &answer[at + begin.len()..]);
    begins.filter_map(|rest| rest.get(2..5)?.parse().ok()).collect()
}

/// Sends a request.
///
/// # Panics
/// When the server cannot be reached or answers something that is no http.
pub async fn send(
    addr: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> Answer {
    let mut stream = TcpStream::connect(addr).await.expect("the server listens");
    let mut request = format!("{method} {path} HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n");
    for (name, value) in headers.iter().filter(|(_, value)| !value.is_empty()) {
        request.push_str(&format!("{name}: {value}\r\n"));
    }
    request.push_str(&format!("Content-Length: {}\r\n\r\n{body}", body.len()));
    stream.write_all(request.as_bytes()).await.expect("the server reads");
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).await.expect("the server answers");
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").expect("an answer has a head");
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.lines();
    let status = lines.next().and_then(|line| line.split(' ').nth(1)?.parse().ok()).expect("a status");
    let headers = lines
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
        .collect();
    let mut answer = Answer { status, headers, body: bytes[end + 4..].to_vec() };
    if answer.header("transfer-encoding") == "chunked" {
        answer.body = unchunked(&answer.body);
    }
    answer
}

/// What comes in pieces, each after its length in hex (RFC 9112, section 7.1).
///
/// # Panics
/// When it ends before its last piece: the server has broken it off.
fn unchunked(mut pieces: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    loop {
        let end = pieces.windows(2).position(|w| w == b"\r\n").expect("a piece begins with its length");
        let length = String::from_utf8_lossy(&pieces[..end]).into_owned();
        let length = usize::from_str_radix(&length, 16).expect("a length in hex");
        if length == 0 {
            return body;
        }
        let piece = pieces.get(end + 2..end + 2 + length).expect("a whole piece");
        body.extend_from_slice(piece);
        pieces = &pieces[end + 2 + length + 2..];
    }
}

/// As a form writes it: letters and figures as they are, everything else as bytes.
fn escaped(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}
