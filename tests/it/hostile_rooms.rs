//! What is meant for one room and said in another, or with what opens another: tokens, codes, names of lines, addresses. `rooms` has
//! several rooms as they should be used.

use serde_json::{Value, json};
use tokio_tungstenite::tungstenite::Message;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{Hello, PlayerSays, RefusedReason};
use windrow_protocol::units::Name;
use windrow_tests::line::post as post_line;
use windrow_tests::request::{get, post};
use windrow_tests::{Conductor, Player, TestServer, batch, hello};

/// A server with two rooms: id and code of each.
async fn two_rooms() -> (TestServer, [(String, String); 2]) {
    let sections = ["Reeds", "Brass"].map(|section| Name::new(section).unwrap()).to_vec();
    let server = TestServer::start_with(|config| config.sections = sections).await;
    let cookie = server.conductor_cookie();
    let listed = get(server.running().http_addr, "/conduct/rooms.json", &[("Cookie", &cookie)]).await;
    let listed: Value = serde_json::from_slice(&listed.body).unwrap();
    let of = |i: usize| {
        let text = |name: &str| listed["rooms"][i][name].as_str().unwrap().to_owned();
        (text("room"), text("code"))
    };
    let rooms = [of(0), of(1)];
    (server, rooms)
}

async fn conductor(server: &TestServer, room: &str) -> Conductor {
    let path = format!("/ws/conductor?key={}&room={room}", server.key());
    Conductor::open_at(&server.socket_url(&path)).await
}

fn as_text(hello: Hello) -> Message {
    Message::text(serde_json::to_string(&PlayerSays::Hello(hello)).unwrap())
}

async fn names(conductor: &mut Conductor, n: usize) -> Vec<String> {
    conductor
        .see(|s| (s.lanes.len() == n).then(|| s.lanes.iter().map(|l| l.name.to_string()).collect::<Vec<_>>()))
        .await
}

/// A device that is in one room opens no other by that: it needs the other's code, and is somebody new there.
#[tokio::test]
async fn a_token_of_one_room_opens_no_other() {
    let (server, [(reeds, reeds_code), (brass, brass_code)]) = two_rooms().await;
    let mut wren = Player::join_as(&server, hello(&reeds_code, "Wren", Instrument::Oboe)).await;
    wren.say(&batch(1, 3)).await;
    wren.hear_ack(1).await;
    let with = |code: &str| Hello {
        token: Some(wren.welcome.token.clone()),
        ..hello(code, "Wren", Instrument::Oboe)
    };
    // Without a code that is good it gets back to where it is in.
    let again = Player::join_as(&server, with("CCCCCC")).await;
    assert_eq!((again.welcome.section.as_str(), again.welcome.acknowledged), ("Reeds", 1));
    let mut of_brass = conductor(&server, &brass).await;
    assert_eq!(names(&mut of_brass, 0).await, Vec::<String>::new());
    // Brass's door is closed: neither Reeds' code nor the token opens it, and its own code does not either.
    let addr = server.running().http_addr;
    let close = format!("/conduct/access/code?room={brass}");
    assert_eq!(post(addr, &close, &server.conductor_cookie(), &[("what", "close")]).await.status, 303);
    let (refused, _) = Player::refused(&server, vec![as_text(with(&brass_code))]).await;
    assert_eq!(refused.reason, RefusedReason::RoomClosed);
    // Reeds is over: its token and its code open nothing any more.
    let closed =
        post(addr, "/conduct/rooms", &server.conductor_cookie(), &[("act", "close"), ("room", &reeds)]).await;
    assert_eq!(closed.status, 303);
    for code in [reeds_code.as_str(), "CCCCCC"] {
        let (refused, _) = Player::refused(&server, vec![as_text(with(code))]).await;
        assert!([RefusedReason::Code, RefusedReason::RoomClosed].contains(&refused.reason), "{refused:?}");
    }
    assert_eq!(names(&mut of_brass, 0).await, Vec::<String>::new());
}

/// The whole of what a device said in one room, said in another with what opens that: it is that room's, and the first one's
/// records and picture stay what they were.
#[tokio::test]
async fn what_was_said_in_one_room_and_is_said_again_in_another_stays_there() {
    let (server, [(reeds, reeds_code), (brass, brass_code)]) = two_rooms().await;
    let mut wren = Player::join_as(&server, hello(&reeds_code, "Wren", Instrument::Oboe)).await;
    for seq in 1..=3 {
        wren.say(&batch(seq, 3)).await;
    }
    wren.hear_ack(3).await;
    let moved =
        Hello { token: Some(wren.welcome.token.clone()), ..hello(&brass_code, "Wren", Instrument::Oboe) };
    let mut again = Player::join_as(&server, moved).await;
    assert_eq!(again.welcome.section, "Brass");
    assert_ne!(again.welcome.player_id, wren.welcome.player_id);
    for seq in again.welcome.acknowledged + 1..=again.welcome.acknowledged + 3 {
        again.say(&batch(seq, 2)).await;
    }
    again.hear_ack(again.welcome.acknowledged + 3).await;
    // The first conversation still is about its own room.
    wren.say(&PlayerSays::Rest { resting: true }).await;
    let (mut of_reeds, mut of_brass) = (conductor(&server, &reeds).await, conductor(&server, &brass).await);
    let is_resting =
        |l: &windrow_protocol::messages::Lane| l.state == windrow_protocol::judge::State::Resting;
    of_reeds.see_lane("Wren", is_resting).await;
    let of_brass = of_brass.see_lane("Wren", |_| true).await;
    assert!(!is_resting(&of_brass));
}

/// A line's name is bound to the room that it was opened for, whatever room an address names later.
#[tokio::test]
async fn a_line_leads_the_room_it_was_opened_for() {
    let (server, [(reeds, _), (brass, _)]) = two_rooms().await;
    let own = format!("Cookie: {}\r\nOrigin: {}\r\n", server.conductor_cookie(), server.url(""));
    let opened = post_line(&server, &format!("/line/conductor?room={reeds}"), &own, "").await;
    let opened: Value = serde_json::from_str(&opened.body).unwrap();
    let said = format!("/line/conductor/{}/said?room={brass}", opened["line"].as_str().unwrap());
    let start = json!({"number": 1, "messages": [{"type": "start"}]}).to_string();
    assert_eq!(post_line(&server, &said, &own, &start).await.status, 204);
    conductor(&server, &reeds).await.see(|s| s.score.is_some().then_some(())).await;
    conductor(&server, &brass).await.see(|s| s.score.is_none().then_some(())).await;
}
