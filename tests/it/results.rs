//! What the section did, over real sockets: players whose pulses are known, the page and the same for scripts.

use serde_json::Value;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, Hearing, Moment, PlayerSays, PractiseHow, Pulse, PulseBatch, Reading, Replay, Results,
    Review,
};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros, Share};
use windrow_tests::{Conductor, Player, TestServer, hello, reading, request};

/// Sixteenths at 120: eight pulses a second.
const RATE_HZ: f64 = 8.0;

async fn page(server: &TestServer, path: &str) -> String {
    let cookie = server.conductor_cookie();
    let answer = request::get(server.running().http_addr, path, &[("Cookie", &cookie)]).await;
    assert_eq!(answer.status, 200, "{path}");
    answer.text()
}

/// Imogen and Wren play a run of four seconds, Wren a tenth too fast.
pub(crate) async fn play_a_run(server: &TestServer) -> (Conductor, Vec<Player>) {
    let mut players = Vec::new();
    for name in ["Imogen", "Wren"] {
        let mut hello = hello(server.code(), name, Instrument::Flute);
        hello.calibrated = true;
        players.push(Player::join_as(server, hello).await);
    }
    let mut conductor = Conductor::open(server).await;
    conductor.command(ConductorSays::SetCountIn { bars: 0 }).await;
    conductor.command(ConductorSays::SetTempo { bpm: Bpm::new(120.0).unwrap(), at: Moment::Bar }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 4, at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    let (start_us, now_us) =
        conductor.see(|s| s.score.as_ref().map(|score| (score.start_us.get(), s.time_us.get()))).await;
    let seen = tokio::time::Instant::now();
    // Ten readings a second for four seconds, sent when their time has come; pictures are fewer where nothing new is heard.
    for seq in 1..=40u32 {
        let time_us = start_us + f64::from(seq) * 1e5;
        let wait_s = (time_us - now_us).max(0.0) / 1e6;
        tokio::time::sleep_until(seen + std::time::Duration::from_secs_f64(wait_s)).await;
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
    (conductor, players)
}

#[tokio::test]
async fn what_was_played_stands_on_the_conductors_page() {
    let server = TestServer::start().await;
    assert!(page(&server, "/conduct/results").await.contains("The rehearsal, to look through"));
    let _here = play_a_run(&server).await;

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

    let review: Review = serde_json::from_str(&page(&server, "/conduct/results/review.json").await).unwrap();
    let needs: Vec<(State, PractiseHow)> = review.needs.iter().map(|n| (n.state, n.practise.how)).collect();
    let expected = [(State::Matched, PractiseHow::Faster), (State::Fast, PractiseHow::SlowerThenBack)];
    assert_eq!((&needs[..], review.runs[0].lanes.len()), (&expected[..], 2));
    for words in ["<span class=\"need\">wait for the tick</span>", "sixteenths at 116, then 120"] {
        assert!(html.contains(words), "{words}: {html}");
    }
    server.stop().await;
}

#[tokio::test]
async fn a_run_s_raster_is_what_was_played() {
    let server = TestServer::start().await;
    let _here = play_a_run(&server).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let path = "/conduct/results/1/raster.json";
    let answer = request::get(addr, path, &[("Cookie", &cookie)]).await;
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"));
    let replay: Replay = serde_json::from_str(&answer.text()).unwrap();
    // Wren's pulses, a tenth closer than the ticks.
    let wren = &replay.lanes[1];
    assert_eq!((wren.name.as_str(), wren.marks.len()), ("Wren", 32));
    for (i, mark) in wren.marks.iter().enumerate() {
        assert!((mark.0 - i as f64 * 1000.0 / (RATE_HZ * 1.1)).abs() <= 0.11, "{mark:?}");
        assert_eq!((mark.1, mark.2, mark.3), (6.0, 12.0, 0));
    }
    assert!(replay.lasts_ms > 3500.0 && replay.ticks.len() >= 28, "{}", replay.lasts_ms);
    // Nothing has changed since: only its tag comes.
    let etag = answer.header("etag");
    let again = request::get(addr, path, &[("Cookie", &cookie), ("If-None-Match", etag)]).await;
    assert_eq!((again.status, again.text().as_str()), (304, ""));
    for nothing in ["2", "0", "70000", "-1", "one"] {
        let path = format!("/conduct/results/{nothing}/raster.json");
        assert_eq!(request::get(addr, &path, &[("Cookie", &cookie)]).await.status, 404, "{nothing}");
    }
    server.stop().await;
}
