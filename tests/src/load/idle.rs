//! Somebody who is in and does nothing: a phone whose page is hidden. It asks for the time once a minute and answers pings.

use super::pace::{Pace, Stage};
use super::place::Place;
use super::socket::{Socket, open};
use super::traffic::kind_of;
use crate::hello;
use futures_util::{SinkExt, StreamExt};
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, sleep_until};
use tokio_tungstenite::tungstenite::Message;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ClockAsk, PlayerSays};

/// As a hidden page does (`web/static/room-socket.js`).
const ASKS_EVERY: Duration = Duration::from_secs(60);

/// Comes at a moment and stays until the end; whether it got in, and whether it was still in at the end.
pub(super) async fn stay(place: Arc<Place>, pace: Arc<Pace>, number: u32, joins_at: Instant) -> (bool, bool) {
    sleep_until(joins_at).await;
    let Some(mut socket) = come_in(&place, number).await else { return (false, false) };
    pace.came_in();
    let mut stages = pace.stages();
    let mut over = pin!(async move {
        // A run that is gone is over as well.
        let _ = stages.wait_for(|stage| *stage == Stage::Over).await;
    });
    let mut ask_at = joins_at + ASKS_EVERY;
    loop {
        tokio::select! {
            heard = socket.next() => match heard {
                Some(Ok(Message::Close(_)) | Err(_)) | None => return (true, false),
                Some(Ok(_)) => {}
            },
            () = sleep_until(ask_at) => {
                let ask = PlayerSays::Clock(ClockAsk { id: 1, t1_us: pace.us_at(ask_at) });
                ask_at += ASKS_EVERY;
                if say(&mut socket, &ask).await.is_none() {
                    return (true, false);
                }
            }
            () = &mut over => {
                // Whether the other end hears it does not matter.
                let _ = socket.close(None).await;
                return (true, true);
            }
        }
    }
}

async fn come_in(place: &Place, number: u32) -> Option<Socket> {
    let room = &place.rooms[number as usize % place.rooms.len()];
    let mut socket = open(place, &room.player_path).await?;
    let hello = hello(&room.code, &format!("Idle {number}"), Instrument::ALL[0]);
    say(&mut socket, &PlayerSays::Hello(hello)).await?;
    while let Some(Ok(message)) = socket.next().await {
        if let Message::Text(text) = message {
            match kind_of(&text) {
                "welcome" => return Some(socket),
                "refused" => return None,
                _ => {}
            }
        }
    }
    None
}

async fn say(socket: &mut Socket, message: &PlayerSays) -> Option<()> {
    let text = serde_json::to_string(message).expect("messages become JSON");
    socket.send(Message::text(text)).await.ok()
}
