//! The room's door as players meet it: closed, opened, another code, and too many wrong ones.

use std::time::{Duration, Instant};
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{DoorState, Hello, PlayerSays, Refused, RefusedReason};
use windrow_tests::request::{get, post};
use windrow_tests::{Conductor, Player, TestServer, hello};

/// What the conductor's page of who may do what does to the door.
async fn door(server: &TestServer, what: &str) {
    let addr = server.running().http_addr;
    let done = post(addr, "/conduct/access/code", &server.conductor_cookie(), &[("what", what)]).await;
    assert_eq!(done.status, 303, "{what}");
}

/// The door as scripts read it.
async fn door_now(server: &TestServer) -> serde_json::Value {
    let cookie = server.conductor_cookie();
    let answer = get(server.running().http_addr, "/conduct/access/door", &[("Cookie", &cookie)]).await;
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"));
    serde_json::from_slice(&answer.body).unwrap()
}

async fn refused(server: &TestServer, hello: Hello) -> (Refused, u16) {
    let text = serde_json::to_string(&PlayerSays::Hello(hello)).unwrap();
    Player::refused(server, vec![tokio_tungstenite::tungstenite::Message::text(text)]).await
}

fn with_token(code: &str, token: &str) -> Hello {
    Hello { token: Some(token.to_owned()), ..hello(code, "Imogen", Instrument::Flute) }
}

#[tokio::test]
async fn a_closed_room_lets_nobody_new_in_and_everybody_who_was_in_back() {
    let server = TestServer::start().await;
    let imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let token = imogen.welcome.token.clone();
    let mut conductor = Conductor::open(&server).await;
    door(&server, "close").await;
    assert_eq!(door_now(&server).await["state"], "closed");
    conductor.see(|s| (s.door == DoorState::Closed).then_some(())).await;
    for code in [server.code(), "CCCCCC"] {
        let (refusal, close_code) = refused(&server, hello(code, "Tobias", Instrument::Flute)).await;
        assert_eq!((refusal.reason, close_code), (RefusedReason::RoomClosed, 4009));
        assert_eq!(english(&refusal.text), "the room is closed for now: ask the conductor");
    }
    drop(imogen);
    let again = Player::join_as(&server, with_token(server.code(), &token)).await;
    assert_eq!(again.welcome.chair, 1);
    // A token that nobody was given opens nothing.
    let (refusal, _) = refused(&server, with_token(server.code(), "aaaa")).await;
    assert_eq!(refusal.reason, RefusedReason::RoomClosed);
    // Who is in has to be able to load the page again.
    let page = get(server.running().http_addr, &format!("/join/{}", server.code()), &[]).await;
    assert_eq!(page.status, 200);
    door(&server, "open").await;
    Player::join(&server, "Tobias", Instrument::Flute).await;
}

#[tokio::test]
async fn another_code_keeps_who_is_in_and_is_told_to_who_types_the_old_one() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let token = imogen.welcome.token.clone();
    door(&server, "change").await;
    let code = conductor.see(|s| (s.code != server.code()).then(|| s.code.clone())).await;
    let now = door_now(&server).await;
    assert_eq!(now["code"], code.as_str());
    assert!(now["join_url"].as_str().unwrap().ends_with(&format!("/join/{code}")));
    let (refusal, close_code) = refused(&server, hello(server.code(), "Tobias", Instrument::Flute)).await;
    assert_eq!((refusal.reason, close_code), (RefusedReason::Code, 4001));
    assert!(english(&refusal.text).starts_with("the code has changed"), "{:?}", refusal.text);
    Player::join_as(&server, hello(&code, "Tobias", Instrument::Flute)).await;
    drop(imogen);
    // The device still has the old code, and its token.
    let again = Player::join_as(&server, with_token(server.code(), &token)).await;
    assert_eq!(again.welcome.chair, 1);
}

#[tokio::test]
async fn the_time_left_is_shown_and_can_be_set() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let cookie = server.conductor_cookie();
    let seconds_left = door_now(&server).await["seconds_left"].as_i64().unwrap();
    assert!((1..=3 * 3600).contains(&seconds_left), "{seconds_left}");
    let form = [("what", "lasts"), ("lasts_min", "15")];
    assert_eq!(post(addr, "/conduct/access/code", &cookie, &form).await.status, 303);
    let seconds_left = door_now(&server).await["seconds_left"].as_i64().unwrap();
    assert!((1..=900).contains(&seconds_left), "{seconds_left}");
    assert_eq!(post(addr, "/conduct/access/code", &cookie, &[("what", "explode")]).await.status, 422);
    // It is kept for the next rehearsal.
    let data_dir = server.stop().await;
    let server = TestServer::start_in(data_dir).await;
    let cookie = server.conductor_cookie();
    let page = get(server.running().http_addr, "/conduct/access", &[("Cookie", &cookie)]).await;
    let page = page.text();
    assert!(page.contains("<option value=\"15\" selected>a quarter of an hour</option>"), "{page}");
}

/// Run with `--nocapture` it shows what comes of each. Twenty wrong codes at once, then one in three seconds.
#[tokio::test]
async fn wrong_codes_fifty_times() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let token = imogen.welcome.token.clone();
    drop(imogen);
    let begun = Instant::now();
    let mut n_not_found = 0;
    for attempt in 1..=50 {
        // Odd ones by the page, even ones by the socket: both count.
        let what = if attempt % 2 == 1 {
            let page = get(addr, "/join/CCCCCC", &[]).await;
            let wait = page.header("retry-after").to_owned();
            println!(
                "{attempt:2}  page    {} {}",
                page.status,
                if wait.is_empty() { wait } else { format!("retry after {wait} s") }
            );
            match page.status {
                404 => RefusedReason::Code,
                429 => RefusedReason::TooManyTries,
                status => panic!("{status}"),
            }
        } else {
            let (refusal, close_code) = refused(&server, hello("CCCCCC", "Tobias", Instrument::Flute)).await;
            println!("{attempt:2}  socket  {close_code} {}", english(&refusal.text));
            refusal.reason
        };
        match what {
            RefusedReason::Code => n_not_found += 1,
            other => assert_eq!(other, RefusedReason::TooManyTries),
        }
        if attempt == 20 {
            assert_eq!(n_not_found, 20, "the first twenty are answered");
        }
    }
    let earned = begun.elapsed().as_secs() / 3 + 1;
    assert!(n_not_found <= 20 + earned, "{n_not_found} in {:?}", begun.elapsed());
    // Who is in comes back all the same, and another conductor's page is none the wiser.
    Player::join_as(&server, with_token(server.code(), &token)).await;
    println!("    a device that was in came back meanwhile");
    // Whoever waits as told gets in with the right code.
    loop {
        let page = get(addr, &format!("/join/{}", server.code()), &[]).await;
        if page.status == 200 {
            break;
        }
        let wait_s: u64 = page.header("retry-after").parse().unwrap();
        assert!((1..=3).contains(&wait_s), "{wait_s}");
        println!("    the right code: {}, retry after {wait_s} s", page.status);
        tokio::time::sleep(Duration::from_secs(wait_s)).await;
    }
    println!("    the right code: 200");
}

#[tokio::test]
async fn right_codes_never_count() {
    let server = TestServer::start().await;
    for _ in 0..60 {
        let page = get(server.running().http_addr, &format!("/join/{}", server.code()), &[]).await;
        assert_eq!(page.status, 200);
    }
}
