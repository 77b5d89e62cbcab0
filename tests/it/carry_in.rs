//! Practice from home on its way to the teacher's records: whose it is, once and never twice, apart from the rehearsal, and refused in
//! words where something is wrong with it.

use serde_json::Value;
use std::sync::OnceLock;
use std::time::UNIX_EPOCH;
use windrow::store::{SessionKind, Store};
use windrow_protocol::instrument::Instrument;
use windrow_room::Kept;
use windrow_tests::practice::{body, kept};
use windrow_tests::request::{Answer, get, send};
use windrow_tests::{Player, TestServer, batch};

const PATH: &str = "/practice/carry-in.json";

fn practised() -> &'static [Kept] {
    static KEPT: OnceLock<Vec<Kept>> = OnceLock::new();
    KEPT.get_or_init(kept)
}

fn hours_ago(hours: i64) -> i64 {
    let now_ms = i64::try_from(UNIX_EPOCH.elapsed().unwrap().as_millis()).unwrap();
    now_ms - hours * 3_600_000
}

async fn hand_in(server: &TestServer, token: &str, body: &str) -> Answer {
    send(server.running().http_addr, "POST", PATH, &[("x-windrow-device", token)], body).await
}

/// A player whom the records know.
async fn known(server: &TestServer, name: &str) -> String {
    let mut player = Player::join(server, name, Instrument::Oboe).await;
    player.say(&batch(1, 3)).await;
    player.hear_ack(1).await;
    player.welcome.token.clone()
}

fn taken(answer: &Answer) -> bool {
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"), "{}", answer.text());
    let answer: Value = serde_json::from_slice(&answer.body).unwrap();
    answer["taken"].as_bool().unwrap()
}

#[tokio::test]
async fn practice_is_its_device_s_and_counts_once_apart_from_the_rehearsal() {
    let server = TestServer::start().await;
    let token = known(&server, "Hadley").await;
    let text = body("first-practice-at-home", hours_ago(20), practised()).to_string();
    assert!(taken(&hand_in(&server, &token, &text).await));
    assert!(!taken(&hand_in(&server, &token, &text).await), "sent again, as after an answer that was lost");
    let addr = server.running().http_addr;
    let results = get(addr, "/conduct/results.json", &[("Cookie", &server.conductor_cookie())]).await;
    let results: Value = serde_json::from_slice(&results.body).unwrap();
    assert_eq!(results["runs"].as_array().unwrap().len(), 0, "the rehearsal has no part of it: {results}");
    let data_dir = server.stop().await;
    let store = Store::open(&data_dir).await.unwrap();
    let sessions = store.rehearsals(None).await.unwrap();
    let practices: Vec<_> = sessions.iter().filter(|s| s.kind == SessionKind::Practice).collect();
    assert_eq!(practices.len(), 1, "{sessions:?}");
    assert_eq!((practices[0].n_players, practices[0].n_runs, practices[0].invented), (1, 1, false));
    assert_eq!(practices[0].section_name, "Larkmoor Youth Winds");
    let runs = store.kept_runs(&practices[0].rehearsal_id).await.unwrap();
    assert_eq!(
        runs[0].1.told.players[0].name.as_str(),
        "Hadley",
        "and not what the device says it is called"
    );
    // Eighths at 60 by somebody who is matched, for seven bars.
    assert!(runs[0].1.stretches[0].held, "{:?}", runs[0].1.stretches);
    store.close().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn what_cannot_be_taken_is_refused_in_words_and_nothing_of_it_is_written() {
    let server = TestServer::start().await;
    let token = known(&server, "Hadley").await;
    let good = body("a-practice-of-the-test", hours_ago(3), practised());
    let with = |field: &str, value: Value| {
        let mut body = good.clone();
        body[field] = value;
        body.to_string()
    };
    for (text, status, says) in [
        (with("began_unix_ms", hours_ago(-2).into()), 422, "in the future"),
        (with("began_unix_ms", 0.into()), 422, "before 2020"),
        (with("origin_id", "x".into()), 422, "no proper mark"),
        (with("protocol_version", 99.into()), 422, "newer Windrow"),
        (with("kept", "all of it".into()), 422, "could not be understood"),
        (with("kept", Value::Array(Vec::new())), 422, "nobody played"),
        ("{".to_owned(), 422, "could not be understood"),
        ("[".repeat(200_000), 422, "could not be understood"),
        (" ".repeat(8 * 1024 * 1024 + 1), 413, "larger than 8 MB"),
    ] {
        let answer = hand_in(&server, &token, &text).await;
        let start: String = text.chars().take(80).collect();
        assert_eq!(answer.status, status, "{start}: {}", answer.text());
        assert!(answer.text().contains(says), "{start}: {}", answer.text());
    }
    let strange = hand_in(&server, "abcdefgh", &good.to_string()).await;
    assert_eq!(strange.status, 403);
    assert!(strange.text().contains("join a rehearsal with it first"), "{}", strange.text());
    let elsewhere = [("x-windrow-device", token.as_str()), ("Origin", "https://elsewhere.example")];
    let addr = server.running().http_addr;
    let refused = send(addr, "POST", PATH, &elsewhere, &good.to_string()).await;
    assert_eq!(refused.status, 404, "another page's request");
    let data_dir = server.stop().await;
    let store = Store::open(&data_dir).await.unwrap();
    let sessions = store.rehearsals(None).await.unwrap();
    assert!(sessions.iter().all(|s| s.kind == SessionKind::Rehearsal), "{sessions:?}");
    store.close().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn who_guesses_at_devices_has_to_wait() {
    let server = TestServer::start().await;
    let text = body("a-practice-of-a-stranger", hours_ago(3), &[]).to_string();
    let mut statuses = Vec::new();
    for guess in 0..30 {
        statuses.push(hand_in(&server, &format!("guess-{guess}"), &text).await.status);
    }
    assert!(statuses.starts_with(&[403]) && statuses.ends_with(&[429]), "{statuses:?}");
}

#[tokio::test]
async fn what_was_handed_in_is_erased_with_everything_else_of_its_player() {
    let server = TestServer::start().await;
    let token = known(&server, "Quillfeather").await;
    let text = body("erased-with-the-rest", hours_ago(5), practised()).to_string();
    assert!(taken(&hand_in(&server, &token, &text).await));
    let addr = server.running().http_addr;
    let erased = send(addr, "POST", "/mine/erase.json", &[("x-windrow-device", token.as_str())], "").await;
    assert_eq!(erased.status, 200, "{}", erased.text());
    assert_eq!(hand_in(&server, &token, &text).await.status, 403, "the device is strange again");
    let data_dir = server.stop().await;
    for entry in std::fs::read_dir(&data_dir).unwrap() {
        let path = entry.unwrap().path();
        let bytes = if path.is_file() { std::fs::read(&path).unwrap() } else { Vec::new() };
        assert!(!bytes.windows(12).any(|w| w == b"Quillfeather"), "{}", path.display());
    }
    std::fs::remove_dir_all(data_dir).unwrap();
}
