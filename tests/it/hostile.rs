//! Input that no device of ours would send: it is refused by name, and nobody else notices.

use tokio_tungstenite::tungstenite::{self, Message};
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorHears, Hello, PlayerSays, RefusedReason};
use windrow_tests::{Conductor, Player, TestServer, hello};

fn text_of(message: &PlayerSays) -> Message {
    Message::text(serde_json::to_string(message).unwrap())
}

fn hello_text(hello: Hello) -> Message {
    text_of(&PlayerSays::Hello(hello))
}

/// Sends the messages on a new socket and expects this refusal, its close code, and these words in its text.
async fn check(server: &TestServer, messages: Vec<Message>, reason: RefusedReason, code: u16, words: &str) {
    let (refused, close_code) = Player::refused(server, messages).await;
    assert_eq!((refused.reason, close_code), (reason, code), "{:?}", refused.text);
    assert!(english(&refused.text).contains(words), "{:?}", refused.text);
}

#[tokio::test]
async fn a_first_message_that_is_no_proper_hello_is_refused() {
    use RefusedReason::{Code, Malformed, OutOfTurn, Version};
    let server = TestServer::start().await;
    let good = hello(server.code(), "Imogen", Instrument::Flute);
    let old = Message::text(r#"{"type":"hello","version":0,"colour":"green"}"#);
    check(&server, vec![old], Version, 4000, "reload").await;
    let wrong = Hello { code: "CCCCCC".to_owned(), ..good.clone() };
    check(&server, vec![hello_text(wrong)], Code, 4001, "no rehearsal has the code CCCCCC").await;
    let early = text_of(&PlayerSays::Rest { resting: true });
    check(&server, vec![early], OutOfTurn, 4005, "first message must be a hello").await;
    check(&server, vec![Message::text("windrow?")], Malformed, 4003, "could not be understood").await;
    check(&server, vec![Message::binary(vec![0u8; 16])], Malformed, 4003, "binary").await;
    let nameless = format!(
        r#"{{"type":"hello","version":5,"code":"{}","name":"  ","instrument":"flute"}}"#,
        server.code()
    );
    check(&server, vec![Message::text(nameless)], Malformed, 4003, "the name is empty").await;
    let kazoo = format!(
        r#"{{"type":"hello","version":5,"code":"{}","name":"Wren","instrument":"kazoo"}}"#,
        server.code()
    );
    check(&server, vec![Message::text(kazoo)], Malformed, 4003, "kazoo").await;
    let twice = vec![hello_text(good.clone()), hello_text(good)];
    check(&server, twice, OutOfTurn, 4005, "second hello").await;
}

#[tokio::test]
async fn numbers_out_of_range_never_reach_the_room() {
    let server = TestServer::start().await;
    let bad = [
        r#"{"type":"reading","seq":1,"time_us":1e300,"hearing":"silence","level_db":-60,"trust":0,"trusted":false}"#,
        r#"{"type":"reading","seq":1,"time_us":1,"hearing":"silence","level_db":-60,"trust":2,"trusted":false}"#,
        r#"{"type":"reading","seq":1,"time_us":1e999,"hearing":"silence","level_db":-60,"trust":0,"trusted":false}"#,
        r#"{"type":"reading","seq":-1,"time_us":1,"hearing":"silence","level_db":-60,"trust":0,"trusted":false}"#,
        r#"{"type":"pulses","seq":1,"pulses":[{"time_us":NaN,"depth_db":1,"swing_cents":1}]}"#,
    ];
    for text in bad {
        let greeting = hello_text(hello(server.code(), "Imogen", Instrument::Flute));
        check(
            &server,
            vec![greeting, Message::text(text)],
            RefusedReason::Malformed,
            4003,
            "could not be understood",
        )
        .await;
    }
}

#[tokio::test]
async fn what_is_too_long_is_refused() {
    let server = TestServer::start().await;
    let long = Message::text("x".repeat(64 * 1024 + 1));
    check(&server, vec![long], RefusedReason::Malformed, 4003, "longer than 65536 bytes").await;
    let pulse = r#"{"time_us":1,"depth_db":1,"swing_cents":1}"#;
    let batch = format!(r#"{{"type":"pulses","seq":1,"pulses":[{}]}}"#, vec![pulse; 65].join(","));
    let greeting = hello_text(hello(server.code(), "Imogen", Instrument::Flute));
    let messages = vec![greeting, Message::text(batch)];
    check(&server, messages, RefusedReason::Malformed, 4003, "65 pulses, but at most 64").await;
}

#[tokio::test]
async fn a_message_far_too_long_ends_only_its_own_connection() {
    let server = TestServer::start().await;
    let mut other = Player::join(&server, "Tobias", Instrument::Flute).await;
    let mut flood = Player::join(&server, "Imogen", Instrument::Flute).await;
    // The server may stop reading half-way, so sending may fail; it must never be taken.
    let _ = flood.try_say_raw(Message::text("x".repeat(8 << 20))).await;
    let mut conductor = Conductor::open(&server).await;
    conductor.see_lane("Imogen", |l| l.state == windrow_protocol::judge::State::Away).await;
    other.say(&PlayerSays::Rest { resting: true }).await;
    conductor.see_lane("Tobias", |l| l.state == windrow_protocol::judge::State::Resting).await;
}

#[tokio::test]
async fn who_sends_too_fast_is_refused() {
    let server = TestServer::start().await;
    let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
    let rest = text_of(&PlayerSays::Rest { resting: true });
    for _ in 0..4000 {
        // The refusal may come, and the connection end, before all are sent.
        if player.try_say_raw(rest.clone()).await.is_err() {
            break;
        }
    }
    let (refused, close_code) = player.hear_refusal().await;
    assert_eq!((refused.reason, close_code), (RefusedReason::TooFast, 4004));
}

#[tokio::test]
async fn a_conductor_with_the_wrong_key_is_refused_and_changes_nothing() {
    let server = TestServer::start().await;
    let wrong = "a".repeat(server.key().len());
    for key in ["", "x", wrong.as_str()] {
        let mut stranger = Conductor::open_with(&server, key).await;
        match stranger.hear().await {
            Ok(ConductorHears::Refused(refused)) => {
                assert_eq!(refused.reason, RefusedReason::Key);
                assert!(english(&refused.text).contains("not signed in"), "{:?}", refused.text);
            }
            other => panic!("instead of a refusal came {other:?}"),
        }
        assert_eq!(stranger.hear().await.unwrap_err(), Some(4006));
    }
}

#[tokio::test]
async fn a_conductor_who_sends_nonsense_is_refused() {
    let server = TestServer::start().await;
    for text in [r#"{"type":"set-tempo","bpm":0}"#, r#"{"type":"explode"}"#, "[]"] {
        let mut conductor = Conductor::open(&server).await;
        conductor.say_raw(Message::text(text)).await;
        let refused = loop {
            match conductor.hear().await.unwrap() {
                ConductorHears::Refused(refused) => break refused,
                ConductorHears::Room(_) => {}
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(refused.reason, RefusedReason::Malformed, "{text}");
    }
}

#[tokio::test]
async fn pages_of_other_addresses_open_no_socket() {
    use tungstenite::client::IntoClientRequest;
    let server = TestServer::start().await;
    for path in ["/ws/player", "/ws/conductor"] {
        let mut request = server.socket_url(path).into_client_request().unwrap();
        request.headers_mut().insert("origin", "https://elsewhere.example".parse().unwrap());
        match tokio_tungstenite::connect_async(request).await {
            Err(tungstenite::Error::Http(response)) => assert_eq!(response.status(), 403),
            other => panic!("{other:?}"),
        }
    }
}
