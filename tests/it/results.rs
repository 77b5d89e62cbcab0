//! What the section did, over real sockets: players whose pulses are known, the page and the same for scripts.

use serde_json::Value;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, Hearing, Moment, PlayerSays, Pulse, PulseBatch, Reading, Results,
};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros, Share};
use windrow_tests::{Conductor, Player, TestServer, hello, reading};

/// Sixteenths at 120: eight pulses a second.
const RATE_HZ: f64 = 8.0;

async fn page(server: &TestServer, path: &str) -> String {
    let cookie = server.conductor_cookie();
    let answer = windrow_tests::request::get(server.running().http_addr, path, &[("Cookie", &cookie)]).await;
    assert_eq!(answer.status, 200, "{path}");
    answer.text()
}

#[tokio::test]
async fn what_was_played_stands_on_the_conductors_page() {
    let server = TestServer::start().await;
    let mut players = Vec::new();
    for name in ["Imogen", "Wren"] {
        let mut hello = hello(server.code(), name, Instrument::Flute);
        hello.calibrated = true;
        players.push(Player::join_as(&server, hello).await);
    }
    let mut conductor = Conductor::open(&server).await;
    assert!(page(&server, "/conduct/results").await.contains("Nothing has been played yet"));
    conductor.command(ConductorSays::SetCountIn { bars: 0 }).await;
    conductor.command(ConductorSays::SetTempo { bpm: Bpm::new(120.0).unwrap(), at: Moment::Bar }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 4, at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    let start_us = conductor.see(|s| s.score.as_ref().map(|score| score.start_us.get())).await;
    // Ten readings a second for four seconds, sent when the room's pictures say that their time has come.
    for seq in 1..=40u32 {
        let time_us = start_us + f64::from(seq) * 1e5;
        conductor.see(|s| (s.time_us.get() >= time_us).then_some(())).await;
        for (player, factor) in players.iter_mut().zip([1.0, 1.1]) {
            player
                .say(&PlayerSays::Reading(Reading {
                    hearing: Hearing::Pulsed,
                    level_db: Decibels::new(-20.0).unwrap(),
                    pulse_rate_hz: Hertz::new(RATE_HZ * factor).ok(),
                    n_pulses: 8,
                    depth_db_pp: Decibels::new(6.0).ok(),
                    centre_cents: Cents::new(3.0).ok(),
                    trust: Share::new(0.9).unwrap(),
                    trusted: true,
                    ..reading(seq, time_us)
                }))
                .await;
        }
    }
    for (player, factor) in players.iter_mut().zip([1.0, 1.1]) {
        let pulse = |i: u32| Pulse {
            time_us: Micros::new(start_us + f64::from(i) * 1e6 / (RATE_HZ * factor)).unwrap(),
            depth_db: Decibels::new(6.0).unwrap(),
            swing_cents: Cents::new(12.0).unwrap(),
            mean_cents: Cents::new(3.0).ok(),
            choked: false,
        };
        let batch = PulseBatch { seq: 1, pulses: (0..32).map(pulse).collect() };
        // Twice, as after a break that took the acknowledgement away.
        player.say(&PlayerSays::Pulses(batch.clone())).await;
        player.hear_ack(1).await;
        player.say(&PlayerSays::Pulses(batch)).await;
    }
    conductor.command(ConductorSays::Stop { at: Moment::Now }).await;
    conductor.see(|s| (s.score.is_none() && s.results > 0).then_some(())).await;

    let text = page(&server, "/conduct/results.json").await;
    let results: Results = serde_json::from_str(&text).unwrap();
    let run = &results.runs[0];
    let found: Vec<(State, u32)> = run.players.iter().map(|p| (p.whole.state, p.whole.n_pulses)).collect();
    assert_eq!(found, [(State::Matched, 32), (State::Fast, 32)], "{text}");
    let rates: Vec<f64> = run.players.iter().map(|p| p.whole.pulse_rate_hz.unwrap().get()).collect();
    assert!((rates[0] - 8.0).abs() < 1e-6 && (rates[1] - 8.8).abs() < 1e-6, "{rates:?}");
    assert_eq!((run.is_over, run.section.n_judged, &run.section.out[..]), (true, 2, &[2][..]));

    let html = page(&server, "/conduct/results").await;
    for words in ["1. Sixteenths", "Matched in the end: 1 of 2", "2 Wren (fast)", "<td>8.80</td>", "NIOSH"] {
        assert!(html.contains(words), "{words}: {html}");
    }
    let value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["runs"][0]["spans"][0], "Sixteenths at 120");
    server.stop().await;
}
