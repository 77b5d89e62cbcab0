//! Letting players in: the code at the room's door, how often it may be guessed, and devices that are in already. Every
//! route of a player's asks here; it must know no rule of a rehearsal.

use super::language::words;
use super::peer::Peer;
use super::{Site, pages, wire};
use crate::access::{Guess, Knock, Wait};
use crate::room::clean_code;
use crate::rooms::OpenRoom;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use std::sync::Arc;
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

/// The room that a code opens which somebody typed; a wrong one counts as a guess.
pub(super) fn knock(site: &Site, peer: Peer, typed: &str) -> Result<Arc<OpenRoom>, TurnedAway> {
    let access = &site.shared.access;
    let attempt =
        access.guesses().try_once(Guess::Code, peer.ip, Instant::now()).map_err(TurnedAway::TooMany)?;
    let code = clean_code(typed);
    let Some(room) = behind(site, &code) else {
        // Where every door is closed nobody can find a code out.
        return Err(if are_all_closed(site, &code) {
            TurnedAway::Closed
        } else {
            TurnedAway::Wrong { code }
        });
    };
    // What was good once is no guess.
    attempt.was_right();
    room.look_at_door();
    let knock = room.door().knock(&code);
    match knock {
        Knock::Right => Ok(room),
        Knock::Earlier => Err(TurnedAway::Earlier),
        Knock::Closed { .. } => Err(TurnedAway::Closed),
        Knock::Wrong => Err(TurnedAway::Wrong { code }),
    }
}

/// The room whose code this is, else the one whose code it was.
fn behind(site: &Site, code: &str) -> Option<Arc<OpenRoom>> {
    let rooms = site.shared.rooms.all();
    let of = |knock: Knock| rooms.iter().find(|room| room.door().is(code) == knock).cloned();
    of(Knock::Right).or_else(|| of(Knock::Earlier))
}

fn are_all_closed(site: &Site, code: &str) -> bool {
    let is_closed = |room: &Arc<OpenRoom>| {
        room.look_at_door();
        matches!(room.door().knock(code), Knock::Closed { .. })
    };
    site.shared.rooms.all().iter().all(is_closed)
}

/// The room, for a device that is in already or has the code. Whoever is in may come back whatever became of the code.
pub(super) async fn admit(
    site: &Site,
    peer: Peer,
    code: &str,
    token: Option<&str>,
) -> Result<Arc<OpenRoom>, Refused> {
    if site.shared.rooms.first().is_none() {
        return Err(wire::closing());
    }
    if let Some(token) = token {
        // Nearly always it is in where its code leads.
        let likely = behind(site, &clean_code(code));
        let rooms = likely.map_or_else(|| site.shared.rooms.all(), |room| vec![room]);
        for room in rooms {
            if room.handle.knows(token).await {
                return Ok(room);
            }
        }
    }
    knock(site, peer, code).map_err(|turned_away| turned_away.refused())
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
