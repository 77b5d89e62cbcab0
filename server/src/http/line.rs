//! A line's requests: where a device or a proxy lets no socket through, a page says things by posts and hears by an event
//! stream, ordinary https both, and everything is said as on the socket. It must not know what messages mean, apart from
//! clock requests, which are answered at once.

use super::lines::{For, Heard, Line, LineStream, MAX_TOGETHER, Taken, TooMany};
use super::peer::Peer;
use super::rights::Conducting;
use super::which_room::RoomOfConnection;
use super::wire::{MAX_MESSAGE_BYTES, Wire};
use super::{Site, conductor_socket, player_socket, protection};
use axum::Json;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Path, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::future::ready;
use futures_util::stream::{StreamExt, once, unfold};
use serde::{Deserialize, Serialize};
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;
use windrow_protocol::messages::{ClockAnswer, ClockAsk, PlayerHears, Refused, RefusedReason};
use windrow_protocol::phrase::Phrase;

/// Between two comments in a stream that has nothing to say: proxies end what is silent, and only what is sent can be missed at the other end.
const COMMENT_EVERY: Duration = Duration::from_secs(10);
/// A browser's own pause before it asks for a stream again is some seconds.
const RETRY: Duration = Duration::from_secs(1);

/// A line was opened.
#[derive(Debug, Serialize)]
struct Opened {
    /// Its name in every further request; whoever knows it speaks for the device.
    line: String,
}

/// Messages of a device.
#[derive(Debug, Deserialize)]
pub(super) struct Said {
    /// Counts the line's requests, from 1. The same again, after an answer that was lost, is not taken twice.
    number: u32,
    /// In order.
    pub(super) messages: Vec<serde_json::Value>,
}

/// Why a request is not done, in words for whoever reads the log of the page.
#[derive(Debug)]
pub(super) struct Refusal {
    status: StatusCode,
    text: String,
}

impl Refusal {
    fn new(status: StatusCode, text: impl Into<String>) -> Self {
        Self { status, text: text.into() }
    }

    fn elsewhere() -> Self {
        Self::new(StatusCode::FORBIDDEN, "this page belongs to another address")
    }

    fn gone() -> Self {
        Self::new(StatusCode::GONE, "this line has ended: open another one")
    }

    fn malformed(what: &str) -> Self {
        Self::new(StatusCode::BAD_REQUEST, format!("{what}: reload the page"))
    }
}

impl From<TooMany> for Refusal {
    fn from(_: TooMany) -> Self {
        let text = "too many devices are connected this way: try again in a minute";
        Self::new(StatusCode::SERVICE_UNAVAILABLE, text)
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        (self.status, no_store(), format!("{}\n", self.text)).into_response()
    }
}

type Answer = Result<Response, Refusal>;

/// The body is the first message, the hello; the answer to it comes by the stream.
pub(super) async fn open_player(State(site): State<Site>, peer: Peer, request: Request) -> Answer {
    if !protection::same_origin(request.headers()) {
        return Err(Refusal::elsewhere());
    }
    let hello = String::from_utf8(read(request).await?.into())
        .map_err(|_| Refusal::malformed("a message must be text"))?;
    let (name, end) = site.shared.lines.open(For::Player, peer.ip, Some(hello))?;
    tokio::spawn(player_socket::converse(Wire::over_line(end), site, peer));
    Ok(opened(name))
}

pub(super) async fn open_conductor(
    State(site): State<Site>,
    peer: Peer,
    room: RoomOfConnection,
    conducting: Result<Conducting, Response>,
) -> Answer {
    let Ok(Conducting { who }) = conducting else {
        let text = Phrase::of("refused-conductors");
        let refused = PlayerHears::Refused(Refused { reason: RefusedReason::Key, text });
        return Ok((StatusCode::FORBIDDEN, no_store(), Json(refused)).into_response());
    };
    let (name, end) = site.shared.lines.open(For::Conductor, peer.ip, None)?;
    tokio::spawn(conductor_socket::converse(Wire::over_line(end), site, room, Some(who)));
    Ok(opened(name))
}

pub(super) async fn player_heard(
    State(site): State<Site>,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Answer {
    hear(&site, For::Player, &name, &headers)
}

pub(super) async fn conductor_heard(
    State(site): State<Site>,
    _: Conducting,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Answer {
    hear(&site, For::Conductor, &name, &headers)
}

pub(super) async fn player_said(
    State(site): State<Site>,
    Path(name): Path<String>,
    request: Request,
) -> Answer {
    say(&site, For::Player, &name, request).await
}

pub(super) async fn conductor_said(
    State(site): State<Site>,
    _: Conducting,
    Path(name): Path<String>,
    request: Request,
) -> Answer {
    say(&site, For::Conductor, &name, request).await
}

pub(super) async fn player_clock(
    State(site): State<Site>,
    Path(name): Path<String>,
    request: Request,
) -> Answer {
    tell_time(&site, For::Player, &name, request).await
}

pub(super) async fn conductor_clock(
    State(site): State<Site>,
    _: Conducting,
    Path(name): Path<String>,
    request: Request,
) -> Answer {
    tell_time(&site, For::Conductor, &name, request).await
}

/// The stream: messages as they stand on the socket, numbered, so that a browser that comes back says after which to go on.
fn hear(site: &Site, whose: For, name: &str, headers: &HeaderMap) -> Answer {
    if !protection::same_origin(headers) {
        return Err(Refusal::elsewhere());
    }
    let after = headers.get("last-event-id").and_then(|v| v.to_str().ok()).unwrap_or("0").parse();
    let line = site.shared.lines.get(name, whose).zip(after.ok());
    let stream = line.and_then(|(line, after)| line.stream(after)).ok_or_else(Refusal::gone)?;
    let events = unfold(stream, async |mut stream: LineStream| {
        let event = match stream.next().await? {
            Heard::Message { number, text } => Event::default().id(number.to_string()).data(&*text),
            Heard::End => Event::default().event("end").data(""),
        };
        Some((Ok::<_, Infallible>(event), stream))
    });
    // Says at once that the stream stands, and how soon to come back when it breaks.
    let first = once(ready(Ok(Event::default().retry(RETRY))));
    let events = first.chain(events);
    // Proxies that gather an answer before they pass it on are asked not to.
    let unbuffered = [(HeaderName::from_static("x-accel-buffering"), HeaderValue::from_static("no"))];
    let events = Sse::new(events).keep_alive(KeepAlive::new().interval(COMMENT_EVERY));
    Ok((no_store(), unbuffered, events).into_response())
}

async fn say(site: &Site, whose: For, name: &str, request: Request) -> Answer {
    let line = line_of(site, whose, name, &request)?;
    let said: Said = serde_json::from_slice(&read(request).await?)
        .map_err(|error| Refusal::malformed(&format!("what was sent could not be understood ({error})")))?;
    let n_messages = said.messages.len();
    if !(1..=MAX_TOGETHER).contains(&n_messages) {
        let text = format!("{n_messages} messages came together, but 1 to {MAX_TOGETHER} are taken");
        return Err(Refusal::malformed(&text));
    }
    let messages = said.messages.iter().map(serde_json::Value::to_string).collect();
    let refusal = match line.take(said.number, messages).await {
        Taken::Yes => return Ok((StatusCode::NO_CONTENT, no_store()).into_response()),
        Taken::OutOfOrder => (StatusCode::CONFLICT, "messages before these are missing: open the line anew"),
        Taken::Busy => (StatusCode::SERVICE_UNAVAILABLE, "the room is busy: send the same again"),
        Taken::Ended => return Err(Refusal::gone()),
    };
    Err(Refusal::new(refusal.0, refusal.1))
}

async fn tell_time(site: &Site, whose: For, name: &str, request: Request) -> Answer {
    let line = line_of(site, whose, name, &request)?;
    let Some(clock) = line.clock() else {
        return Err(Refusal::new(StatusCode::CONFLICT, "there is no time before the welcome"));
    };
    // Before the body is read: it came with the head.
    let t2_us = clock.now();
    if !line.may_ask_clock() {
        let text = "the time is asked for too often: reload the page";
        return Err(Refusal::new(StatusCode::TOO_MANY_REQUESTS, text));
    }
    let ask: ClockAsk = serde_json::from_slice(&read(request).await?)
        .map_err(|_| Refusal::malformed("this is no clock request"))?;
    let t3_us = clock.now();
    // The conductor's answer reads the same.
    let answer = PlayerHears::Clock(ClockAnswer { id: ask.id, t1_us: ask.t1_us, t2_us, t3_us });
    Ok((no_store(), Json(answer)).into_response())
}

/// The line a request is for, if it comes from one of our own pages.
fn line_of(site: &Site, whose: For, name: &str, request: &Request) -> Result<Arc<Line>, Refusal> {
    if !protection::same_origin(request.headers()) {
        return Err(Refusal::elsewhere());
    }
    site.shared.lines.get(name, whose).ok_or_else(Refusal::gone)
}

async fn read(request: Request) -> Result<Bytes, Refusal> {
    let body: Body = request.into_body();
    to_bytes(body, MAX_MESSAGE_BYTES).await.map_err(|_| {
        let text = format!("what was sent is longer than {MAX_MESSAGE_BYTES} bytes, or broke off");
        Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, text)
    })
}

fn opened(line: String) -> Response {
    (no_store(), Json(Opened { line })).into_response()
}

fn no_store() -> [(HeaderName, HeaderValue); 1] {
    [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))]
}
