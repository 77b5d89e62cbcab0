//! What is stored about a player: shown to that player, given out whole, erased from the file's bytes, and never in a log.

use std::path::Path;
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{Hello, RefusedReason};
use windrow_tests::request::{Answer, post, send};
use windrow_tests::{Conductor, Player, TestServer, batch, hello};

async fn mine(server: &TestServer, path: &str, token: &str) -> Answer {
    send(server.running().http_addr, "POST", path, &[("x-windrow-device", token)], "").await
}

async fn parsed(server: &TestServer, path: &str, token: &str) -> serde_json::Value {
    let answer = mine(server, path, token).await;
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"), "{}", answer.text());
    serde_json::from_slice(&answer.body).unwrap()
}

async fn add(server: &TestServer, name: &str) -> String {
    let form = [("do", "add"), ("name", name), ("instrument", "flute")];
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    assert_eq!(post(addr, "/conduct/roster", &cookie, &form).await.status, 303);
    let path = format!("/join/{}/names.json", server.code());
    let names = windrow_tests::request::get(addr, &path, &[]).await;
    let names: Vec<serde_json::Value> = serde_json::from_slice(&names.body).unwrap();
    let found = names.iter().find(|n| n["name"] == name).unwrap();
    found["person_id"].as_str().unwrap().to_owned()
}

fn tapped(server: &TestServer, person: &str) -> Hello {
    Hello { person: Some(person.to_owned()), ..hello(server.code(), "tapped", Instrument::Flute) }
}

/// Files of the records in which these bytes stand.
fn files_with(data_dir: &Path, bytes: &[u8]) -> Vec<String> {
    let files = std::fs::read_dir(data_dir).unwrap().map(|entry| entry.unwrap().path());
    files
        .filter(|path| path.is_file())
        .filter(|path| std::fs::read(path).unwrap().windows(bytes.len()).any(|w| w == bytes))
        .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
        .collect()
}

#[tokio::test]
async fn a_player_sees_all_that_is_stored_and_can_take_it_along() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let mut wren = Player::join_as(&server, tapped(&server, &person)).await;
    wren.say(&batch(1, 3)).await;
    wren.hear_ack(1).await;
    let token = wren.welcome.token.clone();
    let summary = parsed(&server, "/mine/summary.json", &token).await;
    assert_eq!((&summary["name"], &summary["part"]), (&"Wren".into(), &"flute 1".into()));
    assert_eq!((&summary["n_pulses"], &summary["is_all"]), (&3.into(), &true.into()));
    assert_eq!((&summary["keep_days"], &summary["devices"][0]["is_this_one"]), (&730.into(), &true.into()));
    let all = parsed(&server, "/mine/all.json", &token).await;
    assert_eq!(all["in_the_list"]["section"], "Larkmoor Youth Winds");
    let pulses = all["sessions"][0]["pulses"].as_array().unwrap();
    assert_eq!(
        (pulses.len(), &pulses[0]["time_ms"], &pulses[0]["depth_db"]),
        (3, &1000.0.into(), &6.0.into())
    );
    for field in pulses[0].as_object().unwrap().keys() {
        assert!(all["meaning"][field].is_string(), "{field} is explained");
    }
    for strange in ["", "not-a-token"] {
        assert_eq!(mine(&server, "/mine/summary.json", strange).await.status, 404);
    }
    let elsewhere = [("x-windrow-device", token.as_str()), ("Origin", "https://elsewhere.example")];
    let refused = send(server.running().http_addr, "POST", "/mine/all.json", &elsewhere, "").await;
    assert_eq!(refused.status, 404, "another page's request");
}

#[tokio::test]
async fn a_device_that_only_tapped_a_name_sees_and_erases_only_its_own() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let mut wren = Player::join_as(&server, tapped(&server, &person)).await;
    wren.say(&batch(1, 3)).await;
    wren.hear_ack(1).await;
    let own = wren.welcome.token.clone();
    drop(wren);
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| (s.section.n_players == 0).then_some(())).await;
    let prankster = Player::join_as(&server, tapped(&server, &person)).await;
    let token = prankster.welcome.token.clone();
    assert_ne!(token, own);
    let summary = parsed(&server, "/mine/summary.json", &token).await;
    assert_eq!((&summary["n_pulses"], &summary["is_all"]), (&0.into(), &false.into()));
    assert_eq!(parsed(&server, "/mine/erase.json", &token).await["erased"], true);
    let summary = parsed(&server, "/mine/summary.json", &own).await;
    assert_eq!((&summary["n_pulses"], &summary["name"]), (&3.into(), &"Wren".into()));
}

#[tokio::test]
async fn what_is_erased_is_gone_from_room_records_and_the_files_bytes() {
    const NAME: &str = "Quillfeather";
    let server = TestServer::start().await;
    let person = add(&server, NAME).await;
    let mut player = Player::join_as(&server, tapped(&server, &person)).await;
    for seq in 1..=20 {
        player.say(&batch(seq, 3)).await;
    }
    player.hear_ack(20).await;
    let token = player.welcome.token.clone();
    assert!(!files_with(server.data_dir(), NAME.as_bytes()).is_empty(), "it is there before");
    // More is on its way while it is erased.
    player.say(&batch(21, 3)).await;
    assert_eq!(parsed(&server, "/mine/erase.json", &token).await["erased"], true);
    assert_eq!(player.hear_refusal().await.0.reason, RefusedReason::Erased);
    let mut conductor = Conductor::open(&server).await;
    let told = conductor.see(|s| s.notices.first().cloned()).await;
    assert_eq!(english(&told.text), format!("{NAME} has erased what was stored about them."));
    assert_eq!(mine(&server, "/mine/summary.json", &token).await.status, 404);
    assert_eq!(files_with(server.data_dir(), NAME.as_bytes()), [] as [&str; 0]);
    // The server still runs, and what others play is kept.
    let mut other = Player::join(&server, "Hadley", Instrument::Oboe).await;
    other.say(&batch(1, 3)).await;
    other.hear_ack(1).await;
    let data_dir = server.stop().await;
    assert_eq!(files_with(&data_dir, NAME.as_bytes()), [] as [&str; 0]);
    let store = windrow::store::Store::open(&data_dir).await.unwrap();
    let rows = store.players().await.unwrap();
    store.close().await;
    assert_eq!((rows.len(), rows[0].n_pulses), (1, 3), "{rows:?}");
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn the_conductor_is_asked_twice_before_everything_about_somebody_is_erased() {
    let server = TestServer::start().await;
    let person = add(&server, "Quillfeather").await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let once = post(addr, "/conduct/roster/erase", &cookie, &[("person_id", &person)]).await;
    assert!(once.status == 200 && once.text().contains("Erase everything about Quillfeather?"));
    assert!(!files_with(server.data_dir(), b"Quillfeather").is_empty());
    let form = [("person_id", person.as_str()), ("sure", "yes")];
    assert_eq!(post(addr, "/conduct/roster/erase", &cookie, &form).await.status, 303);
    assert_eq!(files_with(server.data_dir(), b"Quillfeather"), [] as [&str; 0]);
}

#[tokio::test]
async fn what_was_played_while_off_the_list_is_shown_and_erased_with_the_rest() {
    let server = TestServer::start().await;
    let person = add(&server, "Quillfeather").await;
    let mut player = Player::join_as(&server, tapped(&server, &person)).await;
    player.say(&batch(1, 3)).await;
    player.hear_ack(1).await;
    let token = player.welcome.token.clone();
    drop(player);
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let form = [("do", "remove"), ("person_id", person.as_str())];
    assert_eq!(post(addr, "/conduct/roster", &cookie, &form).await.status, 303);
    let data_dir = server.stop().await;
    let server = TestServer::start_in(data_dir).await;
    // The device is nobody's in the list now, and comes with a nickname.
    let back =
        Hello { token: Some(token.clone()), ..hello(server.code(), "Quillfeather", Instrument::Flute) };
    let mut player = Player::join_as(&server, back).await;
    player.say(&batch(2, 3)).await;
    player.hear_ack(2).await;
    let summary = parsed(&server, "/mine/summary.json", &token).await;
    assert_eq!((&summary["n_pulses"], summary["sessions"].as_array().unwrap().len()), (&6.into(), 2));
    assert_eq!(parsed(&server, "/mine/erase.json", &token).await["erased"], true);
    assert_eq!(player.hear_refusal().await.0.reason, RefusedReason::Erased);
    assert_eq!(files_with(server.data_dir(), b"Quillfeather"), [] as [&str; 0]);
}
