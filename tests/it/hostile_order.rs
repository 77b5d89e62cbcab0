//! Messages that are well formed and ought not to come: in another order, of spans and times that never were, said a second
//! time, by another socket, with another player's token. Nobody else notices, and nothing false is kept.

use serde_json::{Value, json};
use tokio_tungstenite::tungstenite::Message;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorHears, ConductorSays, Hello, PlayerHears, PlayerSays, RefusedReason, SpanResult,
};
use windrow_protocol::units::Micros;
use windrow_tests::line::LineDevice;
use windrow_tests::request::{get, post, send};
use windrow_tests::{Conductor, Player, TestServer, batch, hello, reading};

fn text_of(message: &Value) -> Message {
    Message::text(message.to_string())
}

/// Everything that a device says after its hello.
fn all_kinds() -> Vec<Value> {
    vec![
        json!({"type": "reading", "seq": 1, "time_us": 1, "hearing": "silence", "level_db": -60, "trust": 0, "trusted": false}),
        json!({"type": "pulses", "seq": 1, "pulses": []}),
        json!({"type": "span-result", "seq": 1, "score_version": 1, "span_idx": 0, "n_pulses": 0}),
        json!({"type": "microphone", "status": "listening"}),
        json!({"type": "rest", "resting": true}),
        json!({"type": "timing", "calibrated": true}),
        json!({"type": "clock", "id": 1, "t1_us": 0}),
    ]
}

/// What a device's own player is shown: how much is stored.
async fn stored(server: &TestServer, token: &str) -> Value {
    let headers = [("x-windrow-device", token)];
    let answer = send(server.running().http_addr, "POST", "/mine/summary.json", &headers, "").await;
    assert_eq!(answer.status, 200, "{}", answer.text());
    serde_json::from_slice(&answer.body).unwrap()
}

#[tokio::test]
async fn nothing_is_heard_before_a_hello() {
    let server = TestServer::start().await;
    for message in all_kinds() {
        let (refused, code) = Player::refused(&server, vec![text_of(&message)]).await;
        assert_eq!((refused.reason, code), (RefusedReason::OutOfTurn, 4005), "{message}");
    }
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| s.lanes.is_empty().then_some(())).await;
}

/// Each side's messages mean nothing to the other.
#[tokio::test]
async fn a_player_commands_nothing_and_a_conductor_plays_nothing() {
    let server = TestServer::start().await;
    for command in [
        json!({"type": "start"}),
        json!({"type": "check-room", "chairs": [1]}),
        json!({"type": "set-tempo", "bpm": 66}),
    ] {
        let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
        player.say_raw(text_of(&command)).await;
        let (refused, _) = player.hear_refusal().await;
        assert_eq!(refused.reason, RefusedReason::Malformed, "{command}");
    }
    for message in all_kinds().into_iter().filter(|m| m["type"] != "clock") {
        let mut conductor = Conductor::open(&server).await;
        conductor.say_raw(text_of(&message)).await;
        let refused = loop {
            match conductor.hear().await.unwrap() {
                ConductorHears::Refused(refused) => break refused,
                _ => continue,
            }
        };
        assert_eq!(refused.reason, RefusedReason::Malformed, "{message}");
    }
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| s.score.is_none().then_some(())).await;
}

fn result(seq: u32, score_version: u32, span_idx: u16) -> PlayerSays {
    PlayerSays::SpanResult(SpanResult {
        seq,
        score_version,
        span_idx,
        n_pulses: u32::MAX,
        pulse_rate_hz: None,
        depth_db_pp: None,
        swing_cents_pp: None,
        centre_cents: None,
        evenness_cv: None,
        timing_ms: Some(f64::MAX),
    })
}

/// Spans of scores that never were, pulses from before the server and from years ahead, backwards and all at one moment: they
/// are taken, count for nothing in what the section did, and every page of it can be read.
#[tokio::test]
async fn spans_and_times_that_never_were_come_to_nothing() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut good = Player::join(&server, "Tobias", Instrument::Flute).await;
    let mut bad = Player::join(&server, "Imogen", Instrument::Flute).await;
    conductor.command(ConductorSays::Start).await;
    let score = conductor.see(|s| s.score.clone()).await;
    let mut seq = 0;
    let mut next = || {
        seq += 1;
        seq
    };
    for (version, span) in
        [(0, 0), (u32::MAX, 0), (score.version, u16::MAX), (score.version + 1, 1), (score.version, 0)]
    {
        bad.say(&result(next(), version, span)).await;
    }
    let now = server.running().now_us();
    let times = [-1e14, -1.0, 0.0, now + 1e9, 1e14, now - 1e9, now, now, now, now + 60e6, now - 60e6];
    for (i, time) in times.into_iter().enumerate() {
        let pulse = json!({"time_us": time, "depth_db": 40, "swing_cents": 10});
        let batch = json!({"type": "pulses", "seq": next(), "pulses": vec![pulse; 8]});
        bad.say_raw(text_of(&batch)).await;
        let mut reading = reading(u32::try_from(i).unwrap() + 1, time);
        reading.time_us = Micros::new(time).unwrap();
        bad.say(&PlayerSays::Reading(reading)).await;
    }
    bad.hear_ack(seq).await;
    // The room still works for everybody.
    good.say(&batch(1, 3)).await;
    good.hear_ack(1).await;
    bad.say(&PlayerSays::Rest { resting: true }).await;
    conductor.see_lane("Imogen", |l| l.state == windrow_protocol::judge::State::Resting).await;
    let stop: ConductorSays = serde_json::from_value(json!({"type": "stop"})).unwrap();
    conductor.command(stop).await;
    conductor.see(|s| s.score.is_none().then_some(())).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    for path in [
        "/conduct/results",
        "/conduct/results.json",
        "/conduct/results/review.json",
        "/conduct/rehearsals",
        "/conduct/weeks",
    ] {
        let answer = get(addr, path, &[("Cookie", &cookie)]).await;
        assert_eq!(answer.status, 200, "{path}");
        let text = answer.text();
        assert!(!text.contains("4294967295") && !text.contains("inf") || path.len() < 16, "{path}: {text}");
    }
    // And after another start the records are as readable.
    let token = bad.welcome.token.clone();
    drop((good, bad, conductor));
    let again = TestServer::start_in(server.stop().await).await;
    assert_eq!(stored(&again, &token).await["n_pulses"], 8 * times.len());
}

/// What was said once counts once: the same number, an earlier one, in the same socket or in another that begins with the
/// device's own token.
#[tokio::test]
async fn what_is_said_again_is_kept_once() {
    let server = TestServer::start().await;
    let mut wren = Player::join(&server, "Wren", Instrument::Oboe).await;
    for seq in [1, 2, 2, 1, 3, 2, 1] {
        wren.say(&batch(seq, 3)).await;
    }
    wren.hear_ack(3).await;
    let token = wren.welcome.token.clone();
    assert_eq!(stored(&server, &token).await["n_pulses"], 9);
    let own = Hello { token: Some(token.clone()), ..hello(server.code(), "Wren", Instrument::Oboe) };
    let mut again = Player::join_as(&server, own).await;
    assert_eq!(again.welcome.acknowledged, 3);
    for seq in 1..=4 {
        again.say(&batch(seq, 3)).await;
    }
    again.hear_ack(4).await;
    assert_eq!(stored(&server, &token).await["n_pulses"], 12);
}

/// The whole of what a device said, from its first hello on, said by somebody else: that is another player, of another name,
/// and the first one's records stay what they were.
#[tokio::test]
async fn a_conversation_that_another_socket_repeats_is_another_player_s() {
    let server = TestServer::start().await;
    let said = [1, 2, 3].map(|seq| batch(seq, 3));
    let mut wren = Player::join(&server, "Wren", Instrument::Oboe).await;
    for message in &said {
        wren.say(message).await;
    }
    wren.hear_ack(3).await;
    let mut other = Player::join(&server, "Wren", Instrument::Oboe).await;
    for message in &said {
        other.say(message).await;
    }
    other.hear_ack(3).await;
    assert_ne!(other.welcome.token, wren.welcome.token);
    assert_eq!((wren.welcome.name.as_str(), other.welcome.name.as_str()), ("Wren", "Wren 2"));
    for (player, name) in [(&wren, "Wren"), (&other, "Wren 2")] {
        let stored = stored(&server, &player.welcome.token).await;
        assert_eq!((&stored["n_pulses"], &stored["name"]), (&9.into(), &name.into()));
    }
    // The first is still in.
    wren.say(&batch(4, 3)).await;
    wren.hear_ack(4).await;
}

/// Whoever has another's token is that device, as far as the server can know: there is one chair, the earlier connection is
/// told, and nothing of the conductor's opens by it. What the thief can see and erase is that player's own.
#[tokio::test]
async fn a_stolen_token_is_that_device_and_no_more() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut wren = Player::join(&server, "Wren", Instrument::Oboe).await;
    let mut tobias = Player::join(&server, "Tobias", Instrument::Flute).await;
    wren.say(&batch(1, 3)).await;
    wren.hear_ack(1).await;
    let stolen =
        Hello { token: Some(wren.welcome.token.clone()), ..hello("CCCCCC", "Thief", Instrument::Bassoon) };
    let mut thief = Player::join_as(&server, stolen.clone()).await;
    let (refused, code) = wren.hear_refusal().await;
    assert_eq!((refused.reason, code), (RefusedReason::Replaced, 4007));
    let names = |s: &windrow_protocol::messages::Snapshot| {
        s.lanes.iter().map(|l| l.name.to_string()).collect::<Vec<_>>()
    };
    let seen = conductor.see(|s| (s.section.n_players == 2).then(|| names(s))).await;
    assert_eq!(seen.len(), 2, "one chair for both devices: {seen:?}");
    // The conductor's things stay shut.
    let addr = server.running().http_addr;
    let token = thief.welcome.token.clone();
    let cookie = format!("{}={token}", server.running().cookie_name());
    assert_eq!(get(addr, "/conduct/reach.json", &[("Cookie", &cookie)]).await.status, 403);
    let mut stranger = Conductor::open_with(&server, &token).await;
    assert!(matches!(stranger.hear().await, Ok(ConductorHears::Refused(_))));
    // Numbers far ahead harm that device alone.
    thief.say_raw(text_of(&json!({"type": "pulses", "seq": u32::MAX, "pulses": []}))).await;
    thief.hear_ack(u32::MAX).await;
    tobias.say(&batch(1, 3)).await;
    tobias.hear_ack(1).await;
    assert_eq!(stored(&server, &tobias.welcome.token).await["n_pulses"], 3);
    // The first device comes back as itself, and it is the other's turn to be told.
    let back = Hello { token: Some(token), ..hello(server.code(), "Wren", Instrument::Oboe) };
    let mut wren = Player::join_as(&server, back).await;
    assert_eq!(thief.hear_refusal().await.0.reason, RefusedReason::Replaced);
    wren.say(&PlayerSays::Rest { resting: true }).await;
    wren.hear(|m| {
        matches!(m, PlayerHears::You(you) if you.state == windrow_protocol::judge::State::Resting)
            .then_some(())
    })
    .await;
    // A closed door lets no thief in who has only seen the code.
    let form = [("what", "close")];
    assert_eq!(post(addr, "/conduct/access/code", &server.conductor_cookie(), &form).await.status, 303);
    let code_alone = Player::refused(
        &server,
        vec![text_of(
            &serde_json::to_value(PlayerSays::Hello(hello(server.code(), "Thief", Instrument::Bassoon)))
                .unwrap(),
        )],
    );
    assert_eq!(code_alone.await.0.reason, RefusedReason::RoomClosed);
}

/// Somebody who is not wanted: the conductor sends the device out, and where the door is closed nothing lets it in again.
#[tokio::test]
async fn who_was_sent_out_comes_in_by_the_code_alone() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut rude = Player::join(&server, "Rude", Instrument::Oboe).await;
    let mut tobias = Player::join(&server, "Tobias", Instrument::Flute).await;
    rude.say(&batch(1, 3)).await;
    rude.hear_ack(1).await;
    conductor.see(|s| (s.lanes.len() == 2).then_some(())).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let (player_id, token) = (rude.welcome.player_id.clone(), rude.welcome.token.clone());
    let out = [("do", "send-out"), ("player_id", player_id.as_str())];
    assert_eq!(post(addr, "/conduct/roster", &cookie, &out).await.status, 303);
    let (refused, code) = rude.hear_refusal().await;
    assert_eq!((refused.reason, code), (RefusedReason::NotYou, 4013));
    conductor.see(|s| (s.lanes.len() == 1).then_some(())).await;
    let again = |code: &str| {
        let own = Hello { token: Some(token.clone()), ..hello(code, "Rude", Instrument::Oboe) };
        vec![text_of(&serde_json::to_value(PlayerSays::Hello(own)).unwrap())]
    };
    let (refused, _) = Player::refused(&server, again("CCCCCC")).await;
    assert_eq!(refused.reason, RefusedReason::Code);
    assert_eq!(post(addr, "/conduct/access/code", &cookie, &[("what", "close")]).await.status, 303);
    let (refused, _) = Player::refused(&server, again(server.code())).await;
    assert_eq!(refused.reason, RefusedReason::RoomClosed);
    // What was recorded stays, and the others go on.
    assert_eq!(stored(&server, &token).await["n_pulses"], 3);
    tobias.say(&batch(1, 3)).await;
    tobias.hear_ack(1).await;
    let gone = post(addr, "/conduct/roster", &cookie, &out).await;
    assert_eq!(gone.status, 422, "nobody is sent out twice");
}

/// Tokens that nobody was given: none of them is believed, none is too long to be refused, and none becomes a device's own.
#[tokio::test]
async fn a_token_that_was_made_up_is_replaced() {
    let server = TestServer::start().await;
    for made_up in ["", " ", "a", "' or 1=1 --", "%", "_", "\u{0}", &"x".repeat(10_000)] {
        let with =
            Hello { token: Some(made_up.to_owned()), ..hello(server.code(), "Wren", Instrument::Oboe) };
        let player = Player::join_as(&server, with.clone()).await;
        assert_ne!(player.welcome.token, made_up);
        assert_eq!(player.welcome.acknowledged, 0);
        drop(player);
        // It opens no closed way in either.
        let without_code = Hello { code: "CCCCCC".to_owned(), ..with };
        let says = serde_json::to_value(PlayerSays::Hello(without_code)).unwrap();
        assert_eq!(Player::refused(&server, vec![text_of(&says)]).await.0.reason, RefusedReason::Code);
    }
}

/// A batch weighs as much as is in it, so that no device fills the writer's queue and the disk.
#[tokio::test]
async fn pulses_by_the_thousand_are_too_fast() {
    let server = TestServer::start().await;
    let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
    // A device that comes back after three minutes without network says two thousand batches of one; each may hold 64. What
    // weighs a message and 16 more is enough for three thousand after 177.
    for seq in 1..=400 {
        if !player.try_say(&batch(seq, 64)).await {
            break;
        }
    }
    let (refused, code) = player.hear_refusal().await;
    assert_eq!((refused.reason, code), (RefusedReason::TooFast, 4004));
    let mut other = Player::join(&server, "Tobias", Instrument::Flute).await;
    for seq in 1..=2000 {
        other.say(&batch(seq, 1)).await;
        // A device hears while it says.
        if seq % 20 == 0 {
            other.hear_ack(seq).await;
        }
    }
}

/// A stream that goes on after a message which was never said, or after the last there can be.
#[tokio::test]
async fn a_stream_goes_on_after_nothing_that_never_was() {
    let server = TestServer::start().await;
    let hello =
        serde_json::to_value(PlayerSays::Hello(hello(server.code(), "Wren", Instrument::Oboe))).unwrap();
    let line = LineDevice::open(&server, &hello).await;
    for after in [u64::MAX, u64::MAX - 1, 1 << 53, 1_000_000] {
        assert_eq!(line.hear_after(after).await.err(), Some(410), "{after}");
    }
    assert!(line.hear_after(0).await.is_ok());
}
