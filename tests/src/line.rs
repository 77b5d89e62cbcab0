//! A player's device where no socket comes through: posts and an event stream, over plain requests written by hand, so
//! that a test can lose answers and come back with any number. It waits for messages, never for time.

use crate::TestServer;
use serde_json::{Value, json};
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// Longest wait for an answer or message.
const PATIENCE: Duration = Duration::from_secs(20);

/// Status and body of an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Status code.
    pub status: u16,
    /// Text of the body.
    pub body: String,
}

/// One request on a connection of its own, with more header lines (each ended) as they stand.
///
/// # Panics
/// When no answer comes.
pub async fn post(server: &TestServer, path: &str, headers: &str, body: &str) -> Answer {
    let addr = server.running().http_addr;
    let request = format!(
        "POST {path} HTTP/1.1\r\nHost: {addr}\r\nConnection: close\r\n{headers}Content-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let answer = timeout(PATIENCE, async {
        let mut stream = TcpStream::connect(addr).await.expect("the server listens");
        // A server that refuses a long body may stop reading it.
        let _ = stream.write_all(request.as_bytes()).await;
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).await.expect("an answer");
        String::from_utf8(bytes).expect("an answer in text")
    });
    let text = answer.await.expect("an answer within patience");
    let (head, body) = text.split_once("\r\n\r\n").expect("a head and a body");
    Answer { status: status_of(head), body: body.to_owned() }
}

fn status_of(head: &str) -> u16 {
    head.split(' ').nth(1).and_then(|code| code.parse().ok()).expect("a status line")
}

/// A line that is open.
#[derive(Debug)]
pub struct LineDevice<'a> {
    server: &'a TestServer,
    /// Where its requests go.
    pub path: String,
    /// More header lines of every request.
    headers: String,
    /// Number of the next request that says something.
    pub number: u32,
}

impl<'a> LineDevice<'a> {
    /// Opens a line with the first message.
    ///
    /// # Panics
    /// When none is opened.
    pub async fn open(server: &'a TestServer, hello: &Value) -> Self {
        Self::open_at(server, "/line/player", "", &hello.to_string()).await
    }

    /// Opens a conductor's line, signed in.
    ///
    /// # Panics
    /// When none is opened.
    pub async fn open_conductor(server: &'a TestServer) -> Self {
        let origin = server.url("");
        let headers = format!("Cookie: {}\r\nOrigin: {origin}\r\n", server.conductor_cookie());
        Self::open_at(server, "/line/conductor", &headers, "").await
    }

    async fn open_at(server: &'a TestServer, path: &str, headers: &str, body: &str) -> Self {
        let answer = post(server, path, headers, body).await;
        assert_eq!(answer.status, 200, "{answer:?}");
        let opened: Value = serde_json::from_str(&answer.body).expect("JSON");
        let name = opened["line"].as_str().expect("a name");
        Self { server, path: format!("{path}/{name}"), headers: headers.to_owned(), number: 1 }
    }

    /// Says messages in one request; gives back the status.
    pub async fn say(&mut self, messages: &[Value]) -> Answer {
        let answer = self.say_as(self.number, messages).await;
        self.number += 1;
        answer
    }

    /// The same with a number of the test's own.
    pub async fn say_as(&self, number: u32, messages: &[Value]) -> Answer {
        self.say_raw(&json!({"number": number, "messages": messages}).to_string()).await
    }

    /// Says something that may be no batch of messages.
    pub async fn say_raw(&self, body: &str) -> Answer {
        post(self.server, &format!("{}/said", self.path), &self.headers, body).await
    }

    /// Asks for the time.
    pub async fn clock(&self, ask: &Value) -> Answer {
        post(self.server, &format!("{}/clock", self.path), &self.headers, &ask.to_string()).await
    }

    /// Opens the stream of what follows a message; the status where there is none.
    ///
    /// # Errors
    /// The status of the refusal.
    ///
    /// # Panics
    /// When no answer comes.
    pub async fn hear_after(&self, after: u64) -> Result<LineStream, u16> {
        let addr = self.server.running().http_addr;
        let request = format!(
            "GET {}/heard HTTP/1.1\r\nHost: {addr}\r\n{}Last-Event-ID: {after}\r\n\r\n",
            self.path, self.headers
        );
        let opening = async {
            let mut stream = TcpStream::connect(addr).await.expect("the server listens");
            stream.write_all(request.as_bytes()).await.expect("the request goes out");
            let mut lines = BufReader::new(stream);
            let mut head = String::new();
            while !head.ends_with("\r\n\r\n") {
                assert!(lines.read_line(&mut head).await.expect("a head") > 0, "{head}");
            }
            (head, lines)
        };
        let (head, lines) = timeout(PATIENCE, opening).await.expect("a stream within patience");
        match status_of(&head) {
            200 => {
                let head = head.to_lowercase();
                for wanted in ["text/event-stream", "cache-control: no-store", "x-accel-buffering: no"] {
                    assert!(head.contains(wanted), "{wanted} is missing: {head}");
                }
                assert!(!head.contains("content-encoding"), "{head}");
                Ok(LineStream { lines, last: after })
            }
            status => Err(status),
        }
    }
}

/// An event stream.
#[derive(Debug)]
pub struct LineStream {
    lines: BufReader<TcpStream>,
    /// Number of the last message.
    pub last: u64,
}

impl LineStream {
    /// The next message; `None` when the line says that it has ended, or the stream does.
    ///
    /// # Panics
    /// When none comes.
    pub async fn next(&mut self) -> Option<Value> {
        let mut data = String::new();
        loop {
            let mut line = String::new();
            // Lines of a chunk's length come between those of the stream and look like none of its fields; a chunk of no
            // length is the last.
            match timeout(PATIENCE, self.lines.read_line(&mut line)).await.expect("a message within patience")
            {
                Ok(0) | Err(_) => return None,
                Ok(_) => {}
            }
            let line = line.trim_end();
            if let Some(id) = line.strip_prefix("id: ") {
                self.last = id.parse().expect("a number");
            } else if let Some(part) = line.strip_prefix("data: ") {
                data.push_str(part);
            } else if line == "event: end" || line == "0" {
                return None;
            } else if line.is_empty() && !data.is_empty() {
                return Some(serde_json::from_str(&data).unwrap_or_else(|e| panic!("{e}: {data}")));
            }
        }
    }

    /// Waits for a message of a kind, passing over others.
    ///
    /// # Panics
    /// When the stream ends first.
    pub async fn hear(&mut self, kind: &str) -> Value {
        self.hear_where(|message| message["type"] == kind).await
    }

    /// Waits for a message that is as `wanted` says.
    ///
    /// # Panics
    /// When the stream ends first, or none comes.
    pub async fn hear_where(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        let found = timeout(PATIENCE, async {
            loop {
                let message = self.next().await.expect("the stream goes on");
                if wanted(&message) {
                    return message;
                }
            }
        });
        found.await.expect("such a message within patience")
    }
}
