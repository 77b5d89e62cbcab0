//! The conductor's socket, and what is said over it or over a line: commands in, pictures of the room out. It must know
//! no rule of a rehearsal.

use super::rights::{self, Who};
use super::upgrade::Upgrade;
use super::which_room::RoomOfConnection;
use super::wire::{self, Gone, Incoming, LOOK_EVERY, Wire};
use super::{App, Site};
use crate::metrics::End;
use crate::room::Pictures;
use axum::extract::{Query, State};
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use std::pin::pin;
use tokio::time::{MissedTickBehavior, interval};
use windrow_protocol::messages::{ClockAnswer, ConductorHears, ConductorSays, Refused, RefusedReason};
use windrow_protocol::phrase::Phrase;

#[derive(Debug, Deserialize)]
pub(super) struct KeyQuery {
    /// For programs that keep no cookies.
    key: Option<String>,
}

pub(super) async fn open(
    State(site): State<Site>,
    room: RoomOfConnection,
    Query(query): Query<KeyQuery>,
    headers: HeaderMap,
    upgrade: Upgrade,
) -> Response {
    let who = match query.key {
        Some(key) => rights::program(&site, &key),
        None => rights::who(&site, &headers).await,
    };
    // A browser's script cannot read why an upgrade failed, so the refusal goes over the socket.
    upgrade.then(move |socket| converse(Wire::over_socket(socket), site, room, who))
}

/// The whole conversation with a page, whatever carries it.
pub(super) async fn converse(mut wire: Wire, site: Site, room: RoomOfConnection, who: Option<Who>) {
    let _open = site.shared.metrics.opened(End::Conductor, wire.is_line());
    let ending = match (who, room.0) {
        (None, _) => Some(signed_out()),
        (_, Err(_)) if site.shared.rooms.first().is_none() => Some(wire::closing()),
        (_, Err(why)) => Some(Refused { reason: RefusedReason::RoomClosed, text: Phrase::of(why) }),
        (Some(who), Ok(room)) => talk(&mut wire, &site.at(room), &who).await.err().unwrap_or_default(),
    };
    if let Some(refused) = ending {
        site.shared.metrics.refused(refused.reason);
        tracing::info!(reason = ?refused.reason, "a conductor's connection was refused");
        wire.refuse(&ConductorHears::Refused(refused.clone()), &refused).await;
    }
}

/// Nobody is signed in here, or not any more.
fn signed_out() -> Refused {
    Refused { reason: RefusedReason::Key, text: Phrase::of("refused-signed-out") }
}

/// Runs until the end: with a refusal, or with nothing where the other end has gone.
async fn talk(wire: &mut Wire, app: &App, who: &Who) -> Result<(), Option<Refused>> {
    wire.set_clock(app.room.clock);
    let gone = |_: Gone| None;
    let mut look = interval(LOOK_EVERY);
    look.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut closed = pin!(app.room.closed());
    let mut signed_out_since = pin!(rights::ended(app, who));
    let pictures = app.room.handle.pictures().await;
    let mut pictures = pictures.map_err(|_| Some(wire::closing()))?;
    loop {
        tokio::select! {
            incoming = wire.receive() => match incoming {
                Incoming::Text(text) => take(wire, app, &mut pictures, &text).await?,
                Incoming::Refuse(refused) => return Err(Some(refused)),
                Incoming::Gone => return Err(None),
            },
            picture = pictures.next() => {
                let text = picture.map_err(|_| Some(wire::closing()))?;
                wire.say_text(&text).await.map_err(gone)?;
            }
            _ = look.tick() => drop(wire.look().await.map_err(gone)?),
            () = &mut signed_out_since => return Err(Some(signed_out())),
            () = &mut closed => return Err(Some(wire::closing())),
        }
    }
}

async fn take(
    wire: &mut Wire,
    app: &App,
    pictures: &mut Pictures,
    text: &str,
) -> Result<(), Option<Refused>> {
    let t2_us = app.room.clock.now();
    let says = wire::decode::<ConductorSays>(text).map_err(Some)?;
    app.shared.metrics.conductor_said();
    match says {
        ConductorSays::Clock(ask) => {
            let t3_us = app.room.clock.now();
            let answer = ClockAnswer { id: ask.id, t1_us: ask.t1_us, t2_us, t3_us };
            wire.say(&ConductorHears::Clock(answer)).await.map_err(|_| None)
        }
        ConductorSays::Changes => {
            pictures.as_changes();
            Ok(())
        }
        command => match app.room.handle.command(command).await {
            Ok(None) => Ok(()),
            Ok(Some(text)) => wire.say(&ConductorHears::CannotDo { text }).await.map_err(|_| None),
            Err(_) => Err(Some(wire::closing())),
        },
    }
}
