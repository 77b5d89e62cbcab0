//! What is acknowledged survives: a proper end, and a server that is killed without warning.

use std::path::Path;
use windrow::store::{PlayerRow, Store};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{Hello, PlayerSays, Pulse, PulseBatch, SpanResult};
use windrow_protocol::units::{Cents, Decibels, Hertz, Micros};
use windrow_tests::{Player, TestServer, hello};

fn batch(seq: u32, n_pulses: u32) -> PlayerSays {
    let pulse = |i: u32| Pulse {
        time_us: Micros::new(f64::from(seq * 1000 + i) * 1e3).unwrap(),
        depth_db: Decibels::new(6.0).unwrap(),
        swing_cents: Cents::new(12.0).unwrap(),
        mean_cents: None,
        choked: false,
    };
    PlayerSays::Pulses(PulseBatch { seq, pulses: (0..n_pulses).map(pulse).collect() })
}

fn span_result(seq: u32) -> PlayerSays {
    PlayerSays::SpanResult(SpanResult {
        seq,
        score_version: 1,
        span_idx: 0,
        n_pulses: 12,
        pulse_rate_hz: Some(Hertz::new(3.3).unwrap()),
        depth_db_pp: None,
        swing_cents_pp: None,
        centre_cents: None,
        evenness_cv: None,
        timing_ms: Some(-4.0),
    })
}

async fn players(data_dir: &Path) -> Vec<PlayerRow> {
    let store = Store::open(data_dir).await.unwrap();
    let players = store.players().await.unwrap();
    store.close().await;
    players
}

#[tokio::test]
async fn a_proper_end_keeps_what_was_acknowledged() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.say(&batch(2, 2)).await;
    imogen.say(&span_result(3)).await;
    imogen.hear_ack(3).await;
    let data_dir = server.stop().await;
    let rows = players(&data_dir).await;
    assert_eq!(rows.len(), 1);
    assert_eq!((rows[0].name.as_str(), rows[0].instrument.as_str(), rows[0].chair), ("Imogen", "flute", 1));
    assert_eq!((rows[0].n_pulses, rows[0].n_spans), (5, 1));
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn what_is_sent_twice_is_kept_once_and_acknowledged_again() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let token = Some(imogen.welcome.token.clone());
    drop(imogen);
    let greeting = Hello { token, ..hello(server.code(), "Imogen", Instrument::Flute) };
    let mut imogen = Player::join_as(&server, greeting).await;
    assert_eq!(imogen.welcome.acknowledged, 1);
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    imogen.say(&batch(2, 1)).await;
    imogen.hear_ack(2).await;
    let data_dir = server.stop().await;
    assert_eq!(players(&data_dir).await[0].n_pulses, 4);
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn the_records_open_again_for_the_next_rehearsal() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let first_code = server.code().to_owned();
    let data_dir = server.stop().await;
    let server = TestServer::start_in(data_dir).await;
    assert_ne!(server.code(), first_code);
    let _tobias = Player::join(&server, "Tobias", Instrument::Bassoon).await;
    let data_dir = server.stop().await;
    let names: Vec<_> = players(&data_dir).await.into_iter().map(|p| p.name).collect();
    assert_eq!(names, ["Imogen", "Tobias"]);
    std::fs::remove_dir_all(data_dir).unwrap();
}
