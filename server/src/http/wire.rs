//! One connection, whoever is at the other end and whether over a socket or a line: size and rate limits, keep-alive,
//! refusals. It must not know what the messages mean.

use super::lines::LineEnd;
use crate::clock::ServerClock;
use crate::words::english;
use axum::extract::ws::{CloseFrame, Message, Utf8Bytes, WebSocket, WebSocketUpgrade, close_code};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::time::{Duration, Instant};
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::{self, error::ProtocolError};
use windrow_protocol::messages::{Refused, RefusedReason};
use windrow_protocol::phrase::Phrase;

/// Longest message; the longest a device has to send is a batch of 64 pulses, under 10 KiB.
pub(super) const MAX_MESSAGE_BYTES: usize = 64 * 1024;
/// Longest message read at all. Between the two limits the sender gets a proper refusal; beyond, the connection is cut.
const MAX_READ_BYTES: usize = 4 * MAX_MESSAGE_BYTES;
/// Buffer of a socket for what comes, held as long as it is open: a device's usual messages are under 1 KiB, and longer ones make it grow.
const READ_BYTES: usize = 2 * 1024;
/// Longest message to the other end; a picture of the fullest room has under a megabyte.
const MAX_SAID_BYTES: usize = 4 * 1024 * 1024;
/// Messages a second in the long run: a device sends about fifteen.
const MESSAGES_PER_SECOND: f64 = 50.0;
/// Messages at once: all that a device keeps through minutes without Wi-Fi comes in one go, at most 2000 messages.
const MESSAGES_AT_ONCE: f64 = 3000.0;
/// Between two looks at whether the other end is still there.
pub(super) const LOOK_EVERY: Duration = Duration::from_secs(2);
/// From whom nothing has come for this long is asked for a sign of life. A page in front asks for the time each second, so only hidden ones are.
const ASK_AFTER: Duration = Duration::from_secs(3);
/// Without a sign of life for this long a device is quiet: two questions stayed without an answer. On a network that loses packets TCP sends again
/// within three seconds (RFC 6298). Our own choice.
pub(super) const QUIET_AFTER: Duration = Duration::from_secs(8);
/// A connection from which nothing has come for this long is dropped.
const SILENT_FOR: Duration = Duration::from_secs(30);
/// Longest wait for the other end to take a message.
const SEND_WITHIN: Duration = Duration::from_secs(10);
/// Longest wait for the other end's goodbye. What it still sends meanwhile is read and dropped: closing with unread
/// bytes would reset the connection and could lose the refusal on its way.
const GOODBYE_WITHIN: Duration = Duration::from_secs(1);
/// Longest wait until the other end of a line has heard its last message; the stream may only be about to be opened.
const HEARD_WITHIN: Duration = Duration::from_secs(3);

/// The connection is gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Gone;

/// Whether the other end gives signs of life.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Presence {
    Here,
    /// Not for a while; it may come back on the same connection.
    Quiet,
}

/// What came in.
#[derive(Debug)]
pub(super) enum Incoming {
    /// A message within the limits.
    Text(Utf8Bytes),
    /// Something the sender has to be refused for.
    Refuse(Refused),
    /// The other end has gone.
    Gone,
}

/// Sets the limits before a socket is opened.
pub(super) fn limited(upgrade: WebSocketUpgrade) -> WebSocketUpgrade {
    upgrade
        .max_message_size(MAX_READ_BYTES)
        .max_frame_size(MAX_READ_BYTES)
        .read_buffer_size(READ_BYTES)
        // Every message is sent before the next one is made, so there is nothing to gather.
        .write_buffer_size(0)
        .max_write_buffer_size(MAX_SAID_BYTES)
}

/// What carries the messages.
#[derive(Debug)]
enum Way {
    Socket(Box<WebSocket>),
    Line(LineEnd),
}

/// A connection within limits.
#[derive(Debug)]
pub(super) struct Wire {
    way: Way,
    heard: Instant,
    allowance: Allowance,
}

impl Wire {
    pub(super) fn over_socket(socket: WebSocket) -> Self {
        Self::new(Way::Socket(Box::new(socket)))
    }

    pub(super) fn over_line(end: LineEnd) -> Self {
        Self::new(Way::Line(end))
    }

    fn new(way: Way) -> Self {
        let now = Instant::now();
        Self { way, heard: now, allowance: Allowance::new(now, MESSAGES_PER_SECOND, MESSAGES_AT_ONCE) }
    }

    /// Says which time the room has; on a line the device asks for it beside the conversation.
    pub(super) fn set_clock(&self, clock: ServerClock) {
        if let Way::Line(end) = &self.way {
            end.set_clock(clock);
        }
    }

    /// Takes what a message was more than one of its kind off the allowance; fails where there is not as much left.
    pub(super) fn weigh(&mut self, n_more: usize) -> Result<(), Refused> {
        let now = Instant::now();
        if (0..n_more).all(|_| self.allowance.take(now)) { Ok(()) } else { Err(too_fast()) }
    }

    pub(super) fn is_line(&self) -> bool {
        matches!(self.way, Way::Line(_))
    }

    /// The next message. Nothing is lost when this is given up half-way.
    pub(super) async fn receive(&mut self) -> Incoming {
        loop {
            let received = match &mut self.way {
                Way::Socket(socket) => socket.recv().await,
                Way::Line(end) => end.receive().await.map(|text| Ok(Message::Text(text))),
            };
            self.heard = Instant::now();
            if matches!(received, Some(Ok(_))) && !self.allowance.take(self.heard) {
                return Incoming::Refuse(too_fast());
            }
            match received {
                Some(Ok(Message::Text(text))) if text.len() > MAX_MESSAGE_BYTES => return too_long(),
                Some(Ok(Message::Text(text))) => return Incoming::Text(text),
                Some(Ok(Message::Binary(_))) => {
                    return refuse(RefusedReason::Malformed, "refused-binary");
                }
                Some(Ok(Message::Ping(_) | Message::Pong(_))) => {}
                Some(Ok(Message::Close(_))) => {
                    self.answer_goodbye().await;
                    return Incoming::Gone;
                }
                None => return Incoming::Gone,
                Some(Err(error)) => return self.broken(error).await,
            }
        }
    }

    /// A close is answered by one (RFC 6455, section 5.5.1): it is ready, and goes out when the socket is looked at again.
    async fn answer_goodbye(&mut self) {
        if let Way::Socket(socket) = &mut self.way {
            let answered = async { while let Some(Ok(_)) = socket.recv().await {} };
            let _ = timeout(GOODBYE_WITHIN, answered).await;
        }
    }

    /// What cannot be read as RFC 6455 has it ends the connection, with the code for that (section 7.1.7).
    async fn broken(&mut self, error: axum::Error) -> Incoming {
        let code = match error.into_inner().downcast_ref::<tungstenite::Error>() {
            Some(tungstenite::Error::Capacity(_)) => return too_long(),
            Some(tungstenite::Error::Protocol(ProtocolError::ResetWithoutClosingHandshake)) => {
                return Incoming::Gone;
            }
            Some(tungstenite::Error::Protocol(_)) => close_code::PROTOCOL,
            Some(tungstenite::Error::Utf8(_)) => close_code::INVALID,
            _ => return Incoming::Gone,
        };
        if let Way::Socket(socket) = &mut self.way {
            let frame = CloseFrame { code, reason: Utf8Bytes::default() };
            // Whoever sends such things may not listen either.
            let _ = send(socket, Message::Close(Some(frame))).await;
        }
        Incoming::Gone
    }

    pub(super) async fn say(&mut self, message: &impl Serialize) -> Result<(), Gone> {
        let text = serde_json::to_string(message).expect("messages hold only what JSON can");
        self.say_text(&text).await
    }

    pub(super) async fn say_text(&mut self, text: &str) -> Result<(), Gone> {
        match &mut self.way {
            Way::Socket(socket) => send(socket, Message::text(text)).await,
            Way::Line(end) => timeout(SEND_WITHIN, end.say(text)).await.map_err(|_| Gone)?,
        }
    }

    /// Looks whether the other end is still there, and asks for a sign of life where none came lately. Fails where none has come for too long.
    pub(super) async fn look(&mut self) -> Result<Presence, Gone> {
        let now = Instant::now();
        let silent_for = match &mut self.way {
            Way::Socket(_) => now.saturating_duration_since(self.heard),
            // Its stream sends comments by itself.
            Way::Line(end) => end.silent_for(now).ok_or(Gone)?,
        };
        if silent_for > SILENT_FOR {
            return Err(Gone);
        }
        if let (Way::Socket(socket), true) = (&mut self.way, silent_for > ASK_AFTER) {
            send(socket, Message::Ping(Vec::new().into())).await?;
        }
        Ok(if silent_for > QUIET_AFTER { Presence::Quiet } else { Presence::Here })
    }

    /// Says why and ends the connection. `message` is the refusal as this kind of page reads it.
    pub(super) async fn refuse(mut self, message: &impl Serialize, refused: &Refused) {
        if self.say(message).await.is_ok() {
            self.close(refused.reason.close_code(), &english(&refused.text)).await;
        }
    }

    /// Ends the connection so that the other end tries again.
    pub(super) async fn end(self) {
        // RFC 6455 registry: 1013, try again later.
        self.close(1013, "").await;
    }

    async fn close(self, code: u16, reason: &str) {
        match self.way {
            Way::Socket(socket) => close(*socket, code, reason).await,
            Way::Line(end) => end.end(HEARD_WITHIN).await,
        }
    }
}

async fn close(mut socket: WebSocket, code: u16, reason: &str) {
    // A close frame carries at most 123 bytes of reason (RFC 6455, section 5.5).
    let end = (0..=reason.len().min(120)).rev().find(|&i| reason.is_char_boundary(i)).unwrap_or(0);
    let frame = CloseFrame { code, reason: reason[..end].into() };
    if send(&mut socket, Message::Close(Some(frame))).await.is_ok() {
        let drained = async { while let Some(Ok(_)) = socket.recv().await {} };
        let _ = timeout(GOODBYE_WITHIN, drained).await;
    }
}

async fn send(socket: &mut WebSocket, message: Message) -> Result<(), Gone> {
    match timeout(SEND_WITHIN, socket.send(message)).await {
        Ok(Ok(())) => Ok(()),
        Ok(Err(_)) | Err(_) => Err(Gone),
    }
}

/// Reads a message, or says why it cannot be read.
pub(super) fn decode<T: DeserializeOwned>(text: &str) -> Result<T, Refused> {
    serde_json::from_str(text).map_err(|error| {
        let why: String = error.to_string().chars().take(200).collect();
        Refused { reason: RefusedReason::Malformed, text: Phrase::of("refused-malformed").with("why", why) }
    })
}

/// The server is stopping.
pub(super) fn closing() -> Refused {
    let text = Phrase::of("refused-closing");
    Refused { reason: RefusedReason::Closing, text }
}

fn refuse(reason: RefusedReason, id: &str) -> Incoming {
    Incoming::Refuse(Refused { reason, text: Phrase::of(id) })
}

fn too_fast() -> Refused {
    Refused { reason: RefusedReason::TooFast, text: Phrase::of("refused-too-fast") }
}

fn too_long() -> Incoming {
    let text = Phrase::of("refused-too-long").with("n", MAX_MESSAGE_BYTES);
    Incoming::Refuse(Refused { reason: RefusedReason::Malformed, text })
}

/// A bucket that fills at the long-run rate and holds what may come at once.
#[derive(Debug)]
pub(super) struct Allowance {
    per_second: f64,
    at_once: f64,
    left: f64,
    filled: Instant,
}

impl Allowance {
    pub(super) fn new(now: Instant, per_second: f64, at_once: f64) -> Self {
        Self { per_second, at_once, left: at_once, filled: now }
    }

    /// Takes one message out; `false` when there is none left.
    pub(super) fn take(&mut self, now: Instant) -> bool {
        let earned = now.saturating_duration_since(self.filled).as_secs_f64() * self.per_second;
        self.left = (self.left + earned).min(self.at_once) - 1.0;
        self.filled = now;
        self.left >= 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_is_allowed_once_and_the_long_run_rate_for_ever() {
        let start = Instant::now();
        let mut allowance = Allowance::new(start, MESSAGES_PER_SECOND, MESSAGES_AT_ONCE);
        let burst = (0..4000).filter(|_| allowance.take(start)).count();
        assert_eq!(burst, 3000);
        let mut allowance = Allowance::new(start, MESSAGES_PER_SECOND, MESSAGES_AT_ONCE);
        // Twice the fifteen a second a device sends, for an hour.
        assert!(
            (0..30 * 3600u32).all(|i| allowance.take(start + Duration::from_secs_f64(f64::from(i) / 30.0)))
        );
    }
}
