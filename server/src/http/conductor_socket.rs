//! The conductor's socket, and what is said over it or over a line: commands in, pictures of the room out. It must know
//! no rule of a rehearsal.

use super::language::words;
use super::rights::{self, Who};
use super::wire::{self, Gone, Incoming, PING_EVERY, Wire};
use super::{App, protection};
use crate::room::RoomHandle;
use axum::extract::Query;
use axum::extract::ws::{WebSocket, WebSocketUpgrade};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use std::pin::pin;
use windrow_protocol::messages::{ClockAnswer, ConductorHears, ConductorSays, Refused, RefusedReason};
use windrow_protocol::phrase::Phrase;

#[derive(Debug, Deserialize)]
pub(super) struct KeyQuery {
    /// For programs that keep no cookies.
    key: Option<String>,
}

pub(super) async fn open(
    app: App,
    Query(query): Query<KeyQuery>,
    headers: HeaderMap,
    upgrade: WebSocketUpgrade,
) -> Response {
    if !protection::same_origin(&headers) {
        let text = format!("{}\n", words().say("message-other-address"));
        return (StatusCode::FORBIDDEN, text).into_response();
    }
    let who = match query.key {
        Some(key) => rights::program(&app, &key),
        None => rights::who(&app, &headers).await,
    };
    // A browser's script cannot read why an upgrade failed, so the refusal goes over the socket.
    wire::limited(upgrade).on_upgrade(move |socket: WebSocket| converse(Wire::over_socket(socket), app, who))
}

/// The whole conversation with a page, whatever carries it.
pub(super) async fn converse(mut wire: Wire, app: App, who: Option<Who>) {
    let room = app.shared.room();
    let ending = match (who, room) {
        (None, _) => Some(signed_out()),
        (_, None) => Some(wire::closing()),
        (Some(who), Some(room)) => talk(&mut wire, &app, &room, &who).await.err().unwrap_or_default(),
    };
    if let Some(refused) = ending {
        tracing::info!(reason = ?refused.reason, "a conductor's connection was refused");
        wire.refuse(&ConductorHears::Refused(refused.clone()), &refused).await;
    }
}

/// Nobody is signed in here, or not any more.
fn signed_out() -> Refused {
    Refused { reason: RefusedReason::Key, text: Phrase::of("refused-signed-out") }
}

/// Runs until the end: with a refusal, or with nothing where the other end has gone.
async fn talk(wire: &mut Wire, app: &App, room: &RoomHandle, who: &Who) -> Result<(), Option<Refused>> {
    let gone = |_: Gone| None;
    let mut ping = tokio::time::interval(PING_EVERY);
    let mut signed_out_since = pin!(rights::ended(app, who));
    let mut pictures = room.pictures();
    pictures.mark_changed();
    loop {
        tokio::select! {
            incoming = wire.receive() => match incoming {
                Incoming::Text(text) => take(wire, app, room, &text).await?,
                Incoming::Refuse(refused) => return Err(Some(refused)),
                Incoming::Gone => return Err(None),
            },
            changed = pictures.changed() => {
                if changed.is_err() {
                    return Err(Some(wire::closing()));
                }
                let text = pictures.borrow_and_update().clone();
                // Empty before the room has made its first one.
                if !text.is_empty() {
                    wire.say_text(&text).await.map_err(gone)?;
                }
            }
            _ = ping.tick() => wire.ping().await.map_err(gone)?,
            () = &mut signed_out_since => return Err(Some(signed_out())),
            () = app.shared.closed() => return Err(Some(wire::closing())),
        }
    }
}

async fn take(wire: &mut Wire, app: &App, room: &RoomHandle, text: &str) -> Result<(), Option<Refused>> {
    let t2_us = app.shared.clock.now();
    match wire::decode::<ConductorSays>(text).map_err(Some)? {
        ConductorSays::Clock(ask) => {
            let t3_us = app.shared.clock.now();
            let answer = ClockAnswer { id: ask.id, t1_us: ask.t1_us, t2_us, t3_us };
            wire.say(&ConductorHears::Clock(answer)).await.map_err(|_| None)
        }
        command => match room.command(command).await {
            Ok(None) => Ok(()),
            Ok(Some(text)) => wire.say(&ConductorHears::CannotDo { text }).await.map_err(|_| None),
            Err(_) => Err(Some(wire::closing())),
        },
    }
}
