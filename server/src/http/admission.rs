//! Letting players in: the code at the room's door, how often it may be guessed, and devices that are in already. Every
//! route of a player's asks here; it must know no rule of a rehearsal.

use super::language::words;
use super::peer::Peer;
use super::{App, pages, wire};
use crate::access::{Guess, Knock, Wait};
use crate::room::{RoomHandle, clean_code};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use std::time::Instant;
use windrow_protocol::messages::{Refused, RefusedReason};
use windrow_protocol::phrase::Phrase;

/// Why a code does not open the door.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum TurnedAway {
    /// It never did.
    Wrong { code: String },
    /// The conductor has changed it since.
    Earlier,
    /// The door is closed to everybody new.
    Closed,
    /// Too many wrong ones came from this address.
    TooMany(Wait),
}

impl TurnedAway {
    /// For the device and the person who holds it.
    pub(super) fn refused(&self) -> Refused {
        let (reason, text) = match self {
            TurnedAway::Wrong { code } => {
                (RefusedReason::Code, Phrase::of("refused-code").with("code", code.as_str()))
            }
            TurnedAway::Earlier => (RefusedReason::Code, Phrase::of("refused-code-earlier")),
            TurnedAway::Closed => (RefusedReason::RoomClosed, Phrase::of("refused-room-closed")),
            TurnedAway::TooMany(wait) => (
                RefusedReason::TooManyTries,
                Phrase::of("refused-too-many").with("seconds", wait.seconds as usize),
            ),
        };
        Refused { reason, text }
    }
}

/// Whether a code that somebody typed opens the door; a wrong one counts as a guess.
pub(super) fn knock(app: &App, peer: Peer, typed: &str) -> Result<(), TurnedAway> {
    let access = &app.shared.access;
    let attempt =
        access.guesses().try_once(Guess::Code, peer.ip, Instant::now()).map_err(TurnedAway::TooMany)?;
    app.shared.look_at_door();
    let code = clean_code(typed);
    let knock = access.door().knock(&code);
    // What was good once is no guess.
    if matches!(knock, Knock::Right | Knock::Earlier | Knock::Closed { is_right: true }) {
        attempt.was_right();
    }
    match knock {
        Knock::Right => Ok(()),
        Knock::Earlier => Err(TurnedAway::Earlier),
        Knock::Closed { .. } => Err(TurnedAway::Closed),
        Knock::Wrong => Err(TurnedAway::Wrong { code }),
    }
}

/// The room, for a device that is in already or has the code. Whoever is in may come back whatever became of the code.
pub(super) async fn admit(
    app: &App,
    peer: Peer,
    code: &str,
    token: Option<&str>,
) -> Result<RoomHandle, Refused> {
    let room = app.shared.room().ok_or_else(wire::closing)?;
    if let Some(token) = token
        && room.knows(token).await
    {
        return Ok(room);
    }
    knock(app, peer, code).map(|()| room).map_err(|turned_away| turned_away.refused())
}

/// The page for whoever has guessed too often; the text is said with the seconds to wait.
pub(super) fn too_many(text_id: &str, wait: Wait) -> Response {
    let text = words().of(text_id).arg("s", wait.seconds).to_string();
    let page = pages::message(StatusCode::TOO_MANY_REQUESTS, &words().say("message-wait-title"), text);
    with_retry_after(page, wait)
}

/// Says in the header as well when to try again (RFC 6585, section 4).
pub(super) fn with_retry_after(mut response: Response, wait: Wait) -> Response {
    response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(wait.seconds));
    response
}
