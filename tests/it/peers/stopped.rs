//! Who stops reading: what waits for them is bounded, they are shown as away, and come back to a fresh welcome.

use std::time::Duration;
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::Message;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ClockAsk, ConductorHears, ConductorSays, Hello, PlayerHears, PlayerSays};
use windrow_tests::{Conductor, Player, TestServer, hello};

/// Clock requests whose answers, about 110 bytes each, fill what the system keeps of a connection that is not read; fewer than a device may send
/// at once.
const ASKED: u32 = 2900;

/// Room time in which pictures are counted: more than the ten seconds that a message may wait.
const PICTURES_US: f64 = 12e6;

fn clock(id: u32) -> ClockAsk {
    ClockAsk { id, t1_us: 0.0 }
}

/// Asks for the time and hears it.
async fn is_answered(player: &mut Player, id: u32) {
    player.say(&PlayerSays::Clock(clock(id))).await;
    player
        .hear(|message| matches!(message, PlayerHears::Clock(answer) if answer.id == id).then_some(()))
        .await;
}

#[tokio::test]
async fn a_phone_that_stops_reading_is_away_and_holds_up_nobody() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut wren = Player::join(&server, "Wren", Instrument::Oboe).await;
    let mut frozen = Player::join(&server, "Ida", Instrument::Flute).await;
    let token = frozen.welcome.token.clone();
    frozen.read(false);
    for id in 0..ASKED {
        let ask = PlayerSays::Clock(clock(id));
        // Once its own end is full as well, the server has stopped listening to it.
        if timeout(Duration::from_secs(1), frozen.try_say(&ask)).await.is_err() {
            break;
        }
    }
    is_answered(&mut wren, 1).await;
    conductor.see_lane("Ida", |lane| lane.state == State::Away).await;
    is_answered(&mut wren, 2).await;
    conductor.see_lane("Wren", |lane| lane.state != State::Away).await;
    let again = Hello { token: Some(token), ..hello(server.code(), "Ida", Instrument::Flute) };
    let back = Player::join_as(&server, again).await;
    assert_eq!(back.welcome.player_id, frozen.welcome.player_id);
    assert_eq!(back.welcome.chair, frozen.welcome.chair);
    conductor.see_lane("Ida", |lane| lane.state != State::Away).await;
}

#[tokio::test]
async fn a_conductors_page_that_stops_reading_gets_the_newest_picture_or_none() {
    let server = TestServer::start().await;
    let mut frozen = Conductor::open(&server).await;
    frozen.read(false);
    let ask = serde_json::to_string(&ConductorSays::Clock(clock(1))).unwrap();
    for _ in 0..ASKED {
        if timeout(Duration::from_secs(1), frozen.say_raw(Message::text(ask.clone()))).await.is_err() {
            break;
        }
    }
    let mut other = Conductor::open(&server).await;
    // All pictures of more time than a message may wait.
    let begin_us = other.see(|s| Some(s.time_us.get())).await;
    let mut n_seen = 0;
    other
        .see(|s| {
            n_seen += 1;
            (s.time_us.get() - begin_us > PICTURES_US).then_some(())
        })
        .await;
    frozen.read(true);
    let mut n_heard = 0;
    while let Ok(message) = frozen.hear().await {
        n_heard += u32::from(matches!(message, ConductorHears::Room(_)));
    }
    assert!(n_heard < n_seen / 2, "{n_heard} pictures waited for a page that did not read");
    // It comes back as any page does.
    Conductor::open(&server).await.see(|_| Some(())).await;
}
