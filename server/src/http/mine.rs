//! What a player's own device may ask: the names to tap, who the device is, what is stored about its player, and to erase
//! that. A device shows its token in a header, so that it stands in no address; nobody else's pages can send that header.

use super::admission::{self, TurnedAway};
use super::fresh::{NO_STORE, json};
use super::language::words;
use super::peer::Peer;
use super::{App, Site, pages, protection};
use crate::access::{Guess, Try, Wait};
use crate::roster::RosterError;
use crate::words::Words;
use askama::Template;
use axum::extract::{FromRequestParts, Path};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::time::Instant;
use windrow_protocol::units::Name;

/// The header a device shows its token in.
const TOKEN_HEADER: &str = "x-windrow-device";
/// Tokens are shorter; anything longer is not looked up.
const MAX_TOKEN_BYTES: usize = 128;

/// A name to tap.
#[derive(Debug, Serialize)]
struct NameToTap {
    person_id: String,
    name: Name,
    /// Slug.
    instrument: &'static str,
    part: String,
    is_in: bool,
}

#[derive(Debug, Template)]
#[template(path = "mine.html")]
struct MinePage {
    /// In the reader's language.
    words: Words,
}

/// The token a device shows.
#[derive(Debug)]
pub(super) struct DeviceToken(pub(super) String);

impl FromRequestParts<Site> for DeviceToken {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, _: &Site) -> Result<Self, Response> {
        let token = parts.headers.get(TOKEN_HEADER).and_then(|v| v.to_str().ok()).unwrap_or_default();
        if !protection::same_origin(&parts.headers) || token.is_empty() || token.len() > MAX_TOKEN_BYTES {
            return Err(strange());
        }
        Ok(Self(token.to_owned()))
    }
}

/// The section's names, for whoever has the join code.
pub(super) async fn names(app: App, peer: Peer, Path(code): Path<String>) -> Response {
    let room = match admission::knock(&app, peer, &code) {
        Ok(room) => room,
        Err(turned_away) => {
            let text = format!("{}\n", words().phrase(&turned_away.refused().text));
            return match turned_away {
                TurnedAway::Wrong { .. } | TurnedAway::Earlier => said(StatusCode::NOT_FOUND, text),
                TurnedAway::Closed => said(StatusCode::FORBIDDEN, text),
                TurnedAway::TooMany(wait) => {
                    admission::with_retry_after(said(StatusCode::TOO_MANY_REQUESTS, text), wait)
                }
            };
        }
    };
    let seats = match room.roster.seats().await {
        Ok(seats) => seats,
        Err(error) => return failed(&error),
    };
    let names: Vec<NameToTap> = seats
        .into_iter()
        .filter_map(|s| {
            Some(NameToTap {
                person_id: s.person_id?,
                name: s.name,
                instrument: s.instrument.slug(),
                part: s.part,
                is_in: s.is_in,
            })
        })
        .collect();
    json(names)
}

/// The page that shows a player what is stored; what it shows the device asks for.
pub(super) async fn page() -> Response {
    pages::render(StatusCode::OK, &MinePage { words: words() })
}

/// Whose device this is.
pub(super) async fn who(app: App, peer: Peer, DeviceToken(token): DeviceToken) -> Response {
    let attempt = match attempt(&app, peer) {
        Ok(attempt) => attempt,
        Err(wait) => return too_many(wait),
    };
    answer(app.room.roster.who(&token).await, attempt)
}

/// What is stored, in short.
pub(super) async fn summary(app: App, peer: Peer, DeviceToken(token): DeviceToken) -> Response {
    let attempt = match attempt(&app, peer) {
        Ok(attempt) => attempt,
        Err(wait) => return too_many(wait),
    };
    answer(app.room.roster.summary(&token).await, attempt)
}

/// All that is stored.
pub(super) async fn everything(app: App, peer: Peer, DeviceToken(token): DeviceToken) -> Response {
    let attempt = match attempt(&app, peer) {
        Ok(attempt) => attempt,
        Err(wait) => return too_many(wait),
    };
    answer(app.room.roster.everything(&token, words()).await, attempt)
}

/// Erases all that is stored.
pub(super) async fn erase(app: App, peer: Peer, DeviceToken(token): DeviceToken) -> Response {
    let attempt = match attempt(&app, peer) {
        Ok(attempt) => attempt,
        Err(wait) => return too_many(wait),
    };
    let whose = match app.room.roster.whose_device(&token).await {
        Ok(Some(whose)) => whose,
        Ok(None) => return strange(),
        Err(error) => return failed(&error),
    };
    attempt.was_right();
    match app.shared.rooms.erase(&app.room, whose, true).await {
        Ok(()) => json(serde_json::json!({"erased": true})),
        Err(error) => failed(&error),
    }
}

/// One guess at a token; it does not count where the token is known.
pub(super) fn attempt(app: &App, peer: Peer) -> Result<Try<'_>, Wait> {
    app.shared.access.guesses().try_once(Guess::Link, peer.ip, Instant::now())
}

pub(super) fn too_many(wait: Wait) -> Response {
    let text = format!("{}\n", words().of("message-wait-devices").arg("s", wait.seconds));
    admission::with_retry_after(said(StatusCode::TOO_MANY_REQUESTS, text), wait)
}

fn answer<T: Serialize>(found: Result<Option<T>, RosterError>, attempt: Try<'_>) -> Response {
    match found {
        Ok(Some(value)) => {
            attempt.was_right();
            json(value)
        }
        Ok(None) => strange(),
        Err(error) => failed(&error),
    }
}

fn said(status: StatusCode, text: String) -> Response {
    (status, [NO_STORE], text).into_response()
}

/// Nothing is known of a device that shows no token, or one that is not known.
pub(super) fn strange() -> Response {
    said(StatusCode::NOT_FOUND, format!("{}\n", words().say("message-stranger")))
}

pub(super) fn failed(error: &RosterError) -> Response {
    error.log();
    said(StatusCode::SERVICE_UNAVAILABLE, format!("{}\n", words().phrase(&error.phrase())))
}
