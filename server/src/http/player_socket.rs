//! A player's socket, and what is said over it or over a line: hello, clock, then messages to and from the room. It must
//! know no rule of a rehearsal.

use super::peer::Peer;
use super::upgrade::Upgrade;
use super::wire::{self, Gone, Incoming, LOOK_EVERY, Presence, Wire};
use super::{App, Site, admission};
use crate::metrics::End;
use crate::room::{Joined, Outgoing, Told};
use crate::rooms::OpenRoom;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{MissedTickBehavior, interval, timeout};
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::messages::{
    ClockAnswer, ClockAsk, Hello, PlayerHears, PlayerSays, PulseBatch, Refused, RefusedReason,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Micros;

/// Pulses that weigh as much as a message. A device says each by itself, ten a second; by batches of the most that one may have,
/// two hundred a second go through in the long run, and no device fills the disk or the writer's queue. Our own choice.
const PULSES_A_MESSAGE: usize = 4;
/// Longest wait for the first message.
const HELLO_WITHIN: Duration = Duration::from_secs(10);

pub(super) async fn open(State(site): State<Site>, peer: Peer, upgrade: Upgrade) -> Response {
    upgrade.then(move |socket| converse(Wire::over_socket(socket), site, peer))
}

/// The whole conversation with a device, whatever carries it.
pub(super) async fn converse(mut wire: Wire, site: Site, peer: Peer) {
    let _open = site.shared.metrics.opened(End::Player, wire.is_line());
    let (app, joined) = match greet(&mut wire, &site, peer).await {
        Ok((room, joined)) => {
            wire.set_clock(room.clock);
            (site.at(room), joined)
        }
        Err(Ending::Refused(refused)) => return refuse(wire, &site, refused).await,
        Err(Ending::Gone | Ending::LetGo) => return,
    };
    let way = Told::Way { over_line: wire.is_line() };
    // A room that has ended says so itself.
    let _ = joined.tell(way).await;
    let (joined, ending) = talk(&mut wire, &app, joined).await;
    joined.leave().await;
    match ending {
        Ending::Refused(refused) => refuse(wire, &app, refused).await,
        Ending::LetGo => wire.end().await,
        Ending::Gone => {}
    }
}

/// Why a conversation ends.
#[derive(Debug)]
enum Ending {
    Refused(Refused),
    /// The room let go of the device, which comes back by itself.
    LetGo,
    Gone,
}

impl From<Gone> for Ending {
    fn from(_: Gone) -> Self {
        Ending::Gone
    }
}

impl From<Refused> for Ending {
    fn from(refused: Refused) -> Self {
        Ending::Refused(refused)
    }
}

/// As much of a first message as any version of the protocol has.
#[derive(Debug, Deserialize)]
struct FirstWords {
    #[serde(rename = "type")]
    kind: String,
    version: Option<u32>,
}

async fn greet(wire: &mut Wire, site: &Site, peer: Peer) -> Result<(Arc<OpenRoom>, Joined), Ending> {
    let text = match timeout(HELLO_WITHIN, wire.receive()).await {
        Ok(Incoming::Text(text)) => text,
        Ok(Incoming::Refuse(refused)) => return Err(refused.into()),
        Ok(Incoming::Gone) => return Err(Ending::Gone),
        Err(_) => return Err(out_of_turn("refused-no-hello").into()),
    };
    let first: FirstWords = wire::decode(&text)?;
    if first.kind != "hello" {
        return Err(out_of_turn("refused-first-hello").into());
    }
    if first.version != Some(PROTOCOL_VERSION) {
        let text = Phrase::of("refused-version");
        return Err(Refused { reason: RefusedReason::Version, text }.into());
    }
    let says = wire::decode(&text)?;
    site.shared.metrics.player_said(&says);
    let PlayerSays::Hello(hello) = says else {
        return Err(out_of_turn("refused-first-hello").into());
    };
    join(site, peer, hello).await.map_err(Ending::from)
}

async fn join(site: &Site, peer: Peer, hello: Hello) -> Result<(Arc<OpenRoom>, Joined), Refused> {
    let room = admission::admit(site, peer, &hello.code, hello.token.as_deref()).await?;
    let joined = room.handle.join(hello).await.map_err(|_| wire::closing())?;
    Ok((room, joined))
}

async fn talk(wire: &mut Wire, app: &App, mut joined: Joined) -> (Joined, Ending) {
    let mut look = interval(LOOK_EVERY);
    look.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut presence = Presence::Here;
    let mut closed = pin!(app.room.closed());
    loop {
        let done = tokio::select! {
            incoming = wire.receive() => match incoming {
                Incoming::Text(text) => {
                    let arrived_us = app.room.clock.now();
                    take(wire, app, &joined, &text, arrived_us).await
                }
                Incoming::Refuse(refused) => Err(refused.into()),
                Incoming::Gone => Err(Ending::Gone),
            },
            outgoing = joined.outgoing.recv() => match outgoing {
                Some(Outgoing::Say(message)) => wire.say(&message).await.map_err(Ending::from),
                Some(Outgoing::Text(text)) => wire.say_text(&text).await.map_err(Ending::from),
                Some(Outgoing::Refuse(refused)) => Err((*refused).into()),
                None => Err(Ending::LetGo),
            },
            _ = look.tick() => look_at(wire, &joined, &mut presence).await,
            () = &mut closed => Err(wire::closing().into()),
        };
        if let Err(ending) = done {
            return (joined, ending);
        }
    }
}

/// Tells the room when the device becomes quiet, and when it is there again.
async fn look_at(wire: &mut Wire, joined: &Joined, presence: &mut Presence) -> Result<(), Ending> {
    let now = wire.look().await?;
    if std::mem::replace(presence, now) == now {
        return Ok(());
    }
    let quiet = Told::Quiet { is_quiet: now == Presence::Quiet };
    joined.tell(quiet).await.map_err(|_| Ending::LetGo)
}

async fn take(
    wire: &mut Wire,
    app: &App,
    joined: &Joined,
    text: &str,
    arrived_us: Micros,
) -> Result<(), Ending> {
    let says = wire::decode::<PlayerSays>(text)?;
    app.shared.metrics.player_said(&says);
    let says = match says {
        // Answered here and at once: in the room's queue the time would age.
        PlayerSays::Clock(ClockAsk { id, t1_us }) => {
            let t3_us = app.room.clock.now();
            let answer = ClockAnswer { id, t1_us, t2_us: arrived_us, t3_us };
            return Ok(wire.say(&PlayerHears::Clock(answer)).await?);
        }
        PlayerSays::Pulses(batch) if batch.pulses.len() > PulseBatch::MAX => {
            let text =
                Phrase::of("refused-batch").with("n", batch.pulses.len()).with("most", PulseBatch::MAX);
            return Err(Refused { reason: RefusedReason::Malformed, text }.into());
        }
        PlayerSays::Pulses(batch) => {
            wire.weigh(batch.pulses.len() / PULSES_A_MESSAGE)?;
            PlayerSays::Pulses(batch)
        }
        says => says,
    };
    let what = Told::of(says).ok_or_else(|| out_of_turn("refused-second-hello"))?;
    joined.tell(what).await.map_err(|_| Ending::LetGo)
}

fn out_of_turn(id: &str) -> Refused {
    Refused { reason: RefusedReason::OutOfTurn, text: Phrase::of(id) }
}

async fn refuse(wire: Wire, site: &Site, refused: Refused) {
    site.shared.metrics.refused(refused.reason);
    tracing::info!(reason = ?refused.reason, "a player's connection was refused");
    wire.refuse(&PlayerHears::Refused(refused.clone()), &refused).await;
}
