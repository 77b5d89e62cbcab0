//! What a server counts, as whoever watches it meets it: the text, who may read it, and that it names nobody. That the text is OpenMetrics
//! another library judges: `tests/reference/open_metrics.py`.

use crate::reach::{anywhere, own_address};
use std::net::SocketAddr;
use windrow::Server;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{PlayerSays, RefusedReason};
use windrow_tests::request::get;
use windrow_tests::{Conductor, Player, TestServer, batch, hello, new_data_dir, reading, serve_config};

/// The value of a sample, labels and all.
fn value(text: &str, sample: &str) -> f64 {
    let of = |line: &str| line.strip_prefix(sample)?.strip_prefix(' ')?.parse().ok();
    text.lines().find_map(of).unwrap_or_else(|| panic!("no {sample} in\n{text}"))
}

#[tokio::test]
async fn a_rehearsal_is_counted_and_nobody_is_named() {
    const NAME: &str = "Quillfeather";
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let mut player = Player::join(&server, NAME, Instrument::Flute).await;
    let mut conductor = Conductor::open(&server).await;
    conductor.see_lane(NAME, |_| true).await;
    for seq in 1..=3 {
        player.say(&batch(seq, 2)).await;
    }
    player.say(&PlayerSays::Reading(reading(1, 0.0))).await;
    player.hear_ack(3).await;
    let stranger = PlayerSays::Hello(hello("CCCCCC", "Hadley", Instrument::Oboe));
    let text = serde_json::to_string(&stranger).unwrap();
    let (refused, _) =
        Player::refused(&server, vec![tokio_tungstenite::tungstenite::Message::text(text)]).await;
    assert_eq!(refused.reason, RefusedReason::Code);
    let ticked =
        async || value(&get(addr, "/metrics", &[]).await.text(), "windrow_tick_seconds_count") >= 1.0;
    // A room's first tick comes within a fifth of a second.
    for _ in 0..100 {
        if ticked().await {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    let answer = get(addr, "/metrics", &[]).await;
    let kind = "application/openmetrics-text; version=1.0.0; charset=utf-8";
    assert_eq!((answer.status, answer.header("content-type")), (200, kind));
    assert_eq!(answer.header("cache-control"), "no-store");
    let text = answer.text();
    for (sample, expected) in [
        ("windrow_rooms", 1.0),
        ("windrow_players", 1.0),
        ("windrow_player_messages_total{kind=\"pulses\"}", 3.0),
        ("windrow_connections_refused_total{reason=\"code\"}", 1.0),
        ("windrow_connections{end=\"player\",way=\"socket\"}", 1.0),
        ("windrow_connections{end=\"conductor\",way=\"socket\"}", 1.0),
        ("windrow_acknowledgement_seconds_count", 3.0),
        ("windrow_records_failed_total", 0.0),
    ] {
        assert_eq!(value(&text, sample), expected, "{sample} in\n{text}");
    }
    // Both hellos; the player's record and the batches.
    assert_eq!(value(&text, "windrow_player_messages_total{kind=\"hello\"}"), 2.0);
    assert!(value(&text, "windrow_records_written_total") >= 4.0);
    assert!(value(&text, "windrow_tick_seconds_count") >= 1.0);
    assert!(text.ends_with("# EOF\n"));
    for personal in [NAME, "Hadley", &player.welcome.token, server.code(), "127.0.0.1", "Larkmoor"] {
        assert!(!text.contains(personal), "{personal} in\n{text}");
    }
}

#[tokio::test]
async fn another_computer_needs_the_token_and_a_line_that_nobody_listens_to() {
    const TOKEN: &str = "4f1d7c0a9be2835d6f7e1c2b";
    let Some(ip) = own_address("reading what is counted from another computer") else { return };
    for (token, sent, expected) in [
        (Some(TOKEN), "", 401),
        (Some(TOKEN), "Bearer nothing-of-the-kind-at-all", 401),
        (Some(TOKEN), "Bearer 4f1d7c0a9be2835d6f7e1c2b", 200),
        (None, "", 403),
        (None, "Bearer ", 403),
    ] {
        let data_dir = new_data_dir();
        let mut config = serve_config(&data_dir);
        config.reach.http = anywhere();
        config.metrics_token = token.map(str::to_owned);
        let running = Server::start(config).await.unwrap();
        let there = SocketAddr::new(ip, running.http_addr.port());
        let answer = get(there, "/metrics", &[("Authorization", sent)]).await;
        assert_eq!(answer.status, expected, "{token:?} {sent}");
        assert_eq!(answer.header("www-authenticate"), if expected == 401 { "Bearer" } else { "" });
        assert_eq!(answer.text().contains("windrow_rooms"), expected == 200);
        running.stop().await;
        std::fs::remove_dir_all(data_dir).unwrap();
    }
}
