//! Players and conductors without a socket: the same messages by posts and an event stream, in order, each once, and the
//! stream goes on where it broke off.

use serde_json::{Value, json};
use windrow_protocol::clock::{Exchange, SharedClock};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Hello};
use windrow_tests::line::{LineDevice, post};
use windrow_tests::{Conductor, Player, TestServer, hello};

fn greeting(server: &TestServer, name: &str) -> Value {
    let mut greeting = serde_json::to_value(hello(server.code(), name, Instrument::Flute)).unwrap();
    greeting["type"] = "hello".into();
    greeting
}

fn pulse(seq: u32) -> Value {
    json!({"type": "pulses", "seq": seq,
           "pulses": [{"time_us": f64::from(seq) * 1000.0, "depth_db": 5.0, "swing_cents": 5.0}]})
}

fn rest(resting: bool) -> Value {
    json!({"type": "rest", "resting": resting})
}

#[tokio::test]
async fn a_player_on_a_line_is_a_player_like_any_other() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut imogen = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = imogen.hear_after(0).await.unwrap();
    let welcome = heard.hear("welcome").await;
    assert_eq!((&welcome["chair"], &welcome["part"]), (&json!(1), &json!("flute 1")));
    conductor.see_lane("Imogen", |lane| lane.over_line).await;

    assert_eq!(imogen.say(&[pulse(1), pulse(2), rest(true)]).await.status, 204);
    heard.hear_where(|m| m["type"] == "ack" && m["seq"] == 2).await;
    conductor.see_lane("Imogen", |lane| lane.state == State::Resting).await;
    conductor.command(ConductorSays::Start).await;
    let score = heard.hear("score").await;
    assert_eq!(score["score"]["version"], json!(1), "{score}");

    // On a socket the same player is not on a line any more.
    let token = welcome["token"].as_str().unwrap().to_owned();
    let again = Hello { token: Some(token), ..hello(server.code(), "Imogen", Instrument::Flute) };
    let _socket = Player::join_as(&server, again).await;
    let refused = heard.hear("refused").await;
    assert_eq!(refused["reason"], "replaced");
    assert_eq!(heard.next().await, None, "nothing follows a refusal");
    conductor.see_lane("Imogen", |lane| !lane.over_line).await;
    server.stop().await;
}

#[tokio::test]
async fn what_was_said_is_taken_once_and_in_order() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let imogen = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = imogen.hear_after(0).await.unwrap();
    heard.hear("welcome").await;
    assert_eq!(imogen.say_as(1, &[rest(true)]).await.status, 204);
    assert_eq!(imogen.say_as(2, &[rest(false)]).await.status, 204);
    // The answer to the first was lost: said again it must not make the player rest again.
    assert_eq!(imogen.say_as(1, &[rest(true)]).await.status, 204);
    assert_eq!(imogen.say_as(3, &[pulse(1)]).await.status, 204);
    heard.hear_where(|m| m["type"] == "ack" && m["seq"] == 1).await;
    let lane = conductor.see_lane("Imogen", |_| true).await;
    assert_ne!(lane.state, State::Resting);
    // One request is missing.
    let answer = imogen.say_as(5, &[rest(true)]).await;
    assert_eq!(answer.status, 409, "{answer:?}");
    assert!(answer.body.contains("open the line anew"), "{answer:?}");
}

#[tokio::test]
async fn a_stream_that_broke_off_goes_on_where_it_was() {
    let server = TestServer::start().await;
    let mut imogen = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = imogen.hear_after(0).await.unwrap();
    heard.hear("welcome").await;
    assert_eq!(imogen.say(&[pulse(1)]).await.status, 204);
    heard.hear_where(|m| m["type"] == "ack" && m["seq"] == 1).await;
    let before = heard.last;
    // What is said meanwhile waits; the last acknowledgement is lost with the stream that was to bring it.
    assert_eq!(imogen.say(&[pulse(2)]).await.status, 204);
    heard.hear_where(|m| m["type"] == "ack" && m["seq"] == 2).await;
    drop(heard);
    let mut again = imogen.hear_after(before).await.unwrap();
    again.hear_where(|m| m["type"] == "ack" && m["seq"] == 2).await;
    assert!(again.last > before);
    // A second stream takes over from the first.
    let mut third = imogen.hear_after(again.last).await.unwrap();
    assert_eq!(imogen.say(&[pulse(3)]).await.status, 204);
    third.hear_where(|m| m["type"] == "ack" && m["seq"] == 3).await;
    while let Some(message) = again.next().await {
        assert_ne!(message["seq"], 3, "heard on both");
    }
    // Numbers that were never given.
    assert_eq!(imogen.hear_after(1_000_000).await.err(), Some(410));
}

#[tokio::test]
async fn a_device_that_comes_back_on_another_line_keeps_its_seat() {
    let server = TestServer::start().await;
    let mut first = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = first.hear_after(0).await.unwrap();
    let welcome = heard.hear("welcome").await;
    assert_eq!(first.say(&[pulse(1)]).await.status, 204);
    heard.hear_where(|m| m["type"] == "ack" && m["seq"] == 1).await;
    let mut greeting = greeting(&server, "Imogen");
    greeting["token"] = welcome["token"].clone();
    let second = LineDevice::open(&server, &greeting).await;
    let again = second.hear_after(0).await.unwrap().hear("welcome").await;
    assert_eq!((&again["player_id"], &again["acknowledged"]), (&welcome["player_id"], &json!(1)));
}

#[tokio::test]
async fn a_server_that_stops_says_so_and_does_not_wait_for_streams() {
    let server = TestServer::start().await;
    let mut heard = {
        let line = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
        line.hear_after(0).await.unwrap()
    };
    heard.hear("welcome").await;
    let hears = async {
        let refused = heard.hear("refused").await;
        (refused["reason"].clone(), heard.next().await)
    };
    let (_, (reason, then)) = tokio::join!(server.stop(), hears);
    assert_eq!((reason, then), (json!("closing"), None));
}

#[tokio::test]
async fn refusals_come_by_the_stream_as_on_a_socket() {
    let server = TestServer::start().await;
    let mut wrong = greeting(&server, "Imogen");
    wrong["code"] = "CCCCCC".into();
    let line = LineDevice::open(&server, &wrong).await;
    let mut heard = line.hear_after(0).await.unwrap();
    let refused = heard.hear("refused").await;
    assert_eq!(refused["reason"], "code");
    assert_eq!(heard.next().await, None);

    let mut line = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = line.hear_after(0).await.unwrap();
    heard.hear("welcome").await;
    assert_eq!(line.say(&[json!({"type": "rest"})]).await.status, 204);
    assert_eq!(heard.hear("refused").await["reason"], "malformed");
    assert_eq!(heard.next().await, None);
    // The line is gone now.
    assert_eq!(line.say(&[rest(true)]).await.status, 410);
    assert_eq!(line.hear_after(0).await.err(), Some(410));
}

#[tokio::test]
async fn what_is_too_long_too_many_or_from_elsewhere_is_refused_in_words() {
    let server = TestServer::start().await;
    let line = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let check = async |body: &str, status: u16, words: &str| {
        let answer = line.say_raw(body).await;
        assert_eq!(answer.status, status, "{answer:?}");
        assert!(answer.body.contains(words), "{answer:?}");
    };
    check(&"x".repeat(64 * 1024 + 1), 413, "longer than 65536 bytes").await;
    check("[]", 400, "could not be understood").await;
    check(r#"{"number":1,"messages":[]}"#, 400, "0 messages came together").await;
    let many = json!({"number": 1, "messages": vec![rest(true); 129]}).to_string();
    check(&many, 400, "129 messages came together").await;

    let foreign = "Origin: https://elsewhere.example\r\n";
    let answer = post(&server, "/line/player", foreign, &greeting(&server, "Wren").to_string()).await;
    assert_eq!(answer.status, 403, "{answer:?}");
    assert_eq!(post(&server, &format!("{}/said", line.path), foreign, "{}").await.status, 403);
    assert_eq!(post(&server, "/line/player/nosuchline/said", "", "{}").await.status, 410);
    let stranger = post(&server, "/line/conductor", "", "").await;
    assert_eq!(stranger.status, 403);
    let refused: Value = serde_json::from_str(&stranger.body).unwrap();
    assert_eq!((&refused["type"], &refused["reason"]), (&json!("refused"), &json!("key")));
    // A player's line is not the conductor's, whoever asks.
    let path = line.path.replace("/player/", "/conductor/");
    assert_eq!(post(&server, &format!("{path}/said"), "", "{}").await.status, 403);
}

#[tokio::test]
async fn messages_and_clock_requests_that_come_too_fast_are_refused() {
    let server = TestServer::start().await;
    let mut line = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut heard = line.hear_after(0).await.unwrap();
    heard.hear("welcome").await;
    let ask = json!({"id": 1, "t1_us": 5.0});
    let mut statuses = Vec::new();
    for _ in 0..200 {
        statuses.push(line.clock(&ask).await.status);
    }
    assert!(statuses[..60].iter().all(|status| *status == 200), "{statuses:?}");
    assert!(statuses.contains(&429), "200 at once");
    // 3,000 messages at once are the limit of a socket too.
    let batch = vec![rest(true); 128];
    let mut last = 204;
    for _ in 0..40 {
        last = line.say(&batch).await.status;
        if last != 204 {
            break;
        }
    }
    assert_eq!(heard.hear("refused").await["reason"], "too-fast");
    assert!(last == 204 || last == 410, "{last}");
}

#[tokio::test]
async fn a_conductor_on_a_line_sees_the_room_and_commands_it() {
    let server = TestServer::start().await;
    let mut line = LineDevice::open_conductor(&server).await;
    let mut heard = line.hear_after(0).await.unwrap();
    heard.hear("room").await;
    assert_eq!(line.say(&[json!({"type": "start"})]).await.status, 204);
    heard.hear_where(|m| m["type"] == "room" && !m["score"].is_null()).await;
    assert_eq!(line.say(&[json!({"type": "set-count-in", "bars": 9})]).await.status, 204);
    let said = heard.hear_where(|m| m["type"] == "cannot-do" || m["type"] == "refused").await;
    assert_eq!(said["type"], "cannot-do", "{said}");
    let answer = line.clock(&json!({"id": 7, "t1_us": 5.0})).await;
    let answer: Value = serde_json::from_str(&answer.body).unwrap();
    assert_eq!((&answer["type"], &answer["id"]), (&json!("clock"), &json!(7)));
}

#[tokio::test]
async fn a_line_keeps_the_server_time() {
    let server = TestServer::start().await;
    let line = LineDevice::open(&server, &greeting(&server, "Imogen")).await;
    let mut clock = SharedClock::new();
    // The server's own clock is the device's here, so that the truth is known: they do not differ.
    for id in 0..40 {
        // Whole microseconds go through text unchanged.
        let t1_us = server.running().now_us().floor();
        let answer = line.clock(&json!({"id": id, "t1_us": t1_us})).await;
        let t4_us = server.running().now_us();
        let answer: Value = serde_json::from_str(&answer.body).unwrap();
        assert_eq!((&answer["id"], &answer["t1_us"]), (&json!(id), &json!(t1_us)), "{answer}");
        let (t2_us, t3_us) = (answer["t2_us"].as_f64().unwrap(), answer["t3_us"].as_f64().unwrap());
        assert!(t1_us <= t2_us && t2_us <= t3_us && t3_us <= t4_us, "{t1_us} {answer} {t4_us}");
        clock.add(Exchange { t1_us, t2_us, t3_us, t4_us });
    }
    let now_us = server.running().now_us();
    let error_us = clock.server_us(now_us).unwrap() - now_us;
    let bound_us = clock.error(now_us).unwrap().bound_us;
    println!("a line's clock is {error_us:.0} µs off; at most {bound_us:.0} are possible");
    // By RFC 5905 an offset lies within half of the delay there and back; a microsecond for rounding.
    assert!(error_us.abs() <= bound_us + 1.0, "{error_us} of {bound_us}");
}
