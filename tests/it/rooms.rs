//! Several rooms in one server: each has its players, its code, its music and its conductor, and none hears of another.

use serde_json::Value;
use windrow::Server;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorHears, ConductorSays, Hello, Moment, RefusedReason};
use windrow_protocol::units::{Bpm, Name};
use windrow_tests::request::{get, post, send};
use windrow_tests::{Conductor, Player, TestServer, batch, hello, serve_config};

fn names(sections: &[&str]) -> Vec<Name> {
    sections.iter().map(|section| Name::new(section).unwrap()).collect()
}

async fn two_rooms() -> TestServer {
    TestServer::start_with(|config| config.sections = names(&["Reeds", "Brass"])).await
}

/// Id and code of each room, as a conductor's script gets them.
async fn rooms(server: &TestServer) -> Vec<(String, String, String)> {
    let cookie = server.conductor_cookie();
    let answer = get(server.running().http_addr, "/conduct/rooms.json", &[("Cookie", &cookie)]).await;
    assert_eq!(answer.status, 200, "{}", answer.text());
    let listed: Value = serde_json::from_slice(&answer.body).unwrap();
    let text = |room: &Value, name: &str| room[name].as_str().unwrap().to_owned();
    let listed = listed["rooms"].as_array().unwrap();
    listed.iter().map(|room| (text(room, "section"), text(room, "room"), text(room, "code"))).collect()
}

async fn player(server: &TestServer, code: &str, name: &str) -> Player {
    Player::join_as(server, hello(code, name, Instrument::Flute)).await
}

async fn conductor(server: &TestServer, room: &str) -> Conductor {
    let path = format!("/ws/conductor?key={}&room={room}", server.key());
    Conductor::open_at(&server.socket_url(&path)).await
}

async fn refused(mut conductor: Conductor) -> (RefusedReason, String) {
    match conductor.hear().await {
        Ok(ConductorHears::Refused(refused)) => {
            (refused.reason, refused.text.id().unwrap_or_default().to_owned())
        }
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn each_room_has_its_players_and_its_music() {
    let server = two_rooms().await;
    let rooms = rooms(&server).await;
    let [(_, reeds, reeds_code), (_, brass, brass_code)] = &rooms[..] else { panic!("{rooms:?}") };
    assert_ne!(reeds_code, brass_code);
    let mut wren = player(&server, reeds_code, "Wren").await;
    let mut tobias = player(&server, brass_code, "Tobias").await;
    assert_eq!((wren.welcome.section.as_str(), tobias.welcome.section.as_str()), ("Reeds", "Brass"));
    assert_eq!((wren.welcome.chair, tobias.welcome.chair), (1, 1));
    let (mut of_reeds, mut of_brass) = (conductor(&server, reeds).await, conductor(&server, brass).await);
    for (conductor, name, bpm) in [(&mut of_reeds, "Wren", 72.0), (&mut of_brass, "Tobias", 96.0)] {
        let names = conductor.see(|s| (!s.lanes.is_empty()).then(|| s.lanes.clone())).await;
        assert_eq!(names.iter().map(|lane| lane.name.as_str()).collect::<Vec<_>>(), [name]);
        let bpm = Bpm::new(bpm).unwrap();
        conductor.command(ConductorSays::SetTempo { bpm, at: Moment::Bar }).await;
        conductor.command(ConductorSays::Start).await;
    }
    let tempo = |score: Option<windrow_protocol::score::Score>| score.unwrap().spans[0].bpm.get();
    assert_eq!(tempo(wren.hear_score().await), 72.0);
    assert_eq!(tempo(tobias.hear_score().await), 96.0, "the first that this room's player hears");
}

#[tokio::test]
async fn whoever_leads_says_which_room() {
    let server = two_rooms().await;
    let rooms = rooms(&server).await;
    let addr = server.running().http_addr;
    let cookie = server.conductor_cookie();
    let html = [("Cookie", cookie.as_str()), ("Accept", "text/html")];
    // A program's key is taken before anything else is asked.
    let opened = get(addr, &format!("/conduct?key={}", server.key()), &[]).await;
    assert_eq!((opened.status, opened.header("location")), (303, "/conduct"));
    assert!(!opened.cookie().is_empty());
    // With nothing said a page leads to the choice, and what would change something is not done.
    let page = get(addr, "/conduct", &html).await;
    assert_eq!((page.status, page.header("location")), (303, "/conduct/rooms"));
    let taken = post(addr, "/conduct/plans", &cookie, &[("do", "use"), ("name", "first-lesson")]).await;
    assert_eq!(taken.status, 409, "{}", taken.text());
    let unsaid = Conductor::open(&server).await;
    assert_eq!(refused(unsaid).await, (RefusedReason::RoomClosed, "rooms-which".to_owned()));
    let gone = conductor(&server, "no-such-room").await;
    assert_eq!(refused(gone).await, (RefusedReason::RoomClosed, "rooms-closed".to_owned()));
    // The browser is led to one of them.
    let led = post(addr, "/conduct/rooms", &cookie, &[("act", "lead"), ("room", &rooms[1].1)]).await;
    assert_eq!((led.status, led.header("location")), (303, "/conduct"));
    let both = format!("{cookie}; {}", led.cookie());
    let page = get(addr, "/conduct", &[("Cookie", &both), ("Accept", "text/html")]).await;
    assert!(page.status == 200 && page.text().contains("Brass"), "{}", page.text());
    assert!(page.text().contains(&rooms[1].2) && !page.text().contains(&rooms[0].2));
    // What an address says comes first.
    let asked = format!("/conduct?room={}", rooms[0].1);
    let page = get(addr, &asked, &[("Cookie", &both), ("Accept", "text/html")]).await;
    assert!(page.text().contains("Reeds"), "{}", page.text());
    let closed = get(addr, "/conduct/results?room=gone", &[("Cookie", &both)]).await;
    assert_eq!(closed.status, 410);
    // Strangers learn nothing of rooms.
    for path in ["/conduct/rooms", "/conduct/rooms.json"] {
        assert_eq!(get(addr, path, &[]).await.status, 403, "{path}");
    }
}

#[tokio::test]
async fn a_room_is_opened_and_closed_beside_another_and_its_players_are_told() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let cookie = server.conductor_cookie();
    let act = async |form: &[(&str, &str)]| post(addr, "/conduct/rooms", &cookie, form).await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    for (section, status) in [("Saxophones", 303), ("Saxophones", 409), (" ", 422)] {
        assert_eq!(act(&[("act", "open"), ("section", section)]).await.status, status, "{section}");
    }
    let listed = rooms(&server).await;
    assert_eq!(listed.len(), 2);
    let mut wren = player(&server, &listed[1].2, "Wren").await;
    wren.say(&batch(1, 3)).await;
    wren.hear_ack(1).await;
    let saxophones = conductor(&server, &listed[1].1).await;
    assert_eq!(act(&[("act", "close"), ("room", &listed[1].1)]).await.status, 303);
    assert_eq!(wren.hear_refusal().await.0.reason, RefusedReason::Closing);
    let mut saxophones = saxophones;
    while let Ok(heard) = saxophones.hear().await {
        if let ConductorHears::Refused(refused) = heard {
            assert_eq!(refused.reason, RefusedReason::Closing);
        }
    }
    assert_eq!(rooms(&server).await.len(), 1);
    // Its code leads nowhere, the other room goes on, and the last one stays.
    let (refusal, _) =
        Player::refused(&server, vec![as_text(&hello(&listed[1].2, "Wren", Instrument::Flute))]).await;
    assert_eq!(refusal.reason, RefusedReason::Code);
    imogen.say(&batch(1, 2)).await;
    imogen.hear_ack(1).await;
    assert_eq!(act(&[("act", "close"), ("room", &listed[0].1)]).await.status, 409);
    assert_eq!(act(&[("act", "close"), ("room", "gone")]).await.status, 410);
    // What was played is kept.
    let file = server.data_dir().join(windrow_tests::records::FILE);
    let pulses = "select count(*) from pulses join players using (player_id) where name = 'Wren'";
    assert_eq!(windrow_tests::records::number(&file, pulses).await, 3);
    let ended = "select count(*) from sessions where ended_us is not null and section_name = 'Saxophones'";
    assert_eq!(windrow_tests::records::number(&file, ended).await, 1);
}

fn as_text(hello: &Hello) -> tokio_tungstenite::tungstenite::Message {
    let says = windrow_protocol::messages::PlayerSays::Hello(hello.clone());
    tokio_tungstenite::tungstenite::Message::text(serde_json::to_string(&says).unwrap())
}

#[tokio::test]
async fn a_section_that_has_a_room_is_not_chosen_in_another() {
    let server = two_rooms().await;
    let listed = rooms(&server).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let choose = async |section: &str| {
        let path = format!("/conduct/roster?room={}", listed[0].1);
        post(addr, &path, &cookie, &[("do", "choose"), ("section", section)]).await
    };
    let refused = choose("Brass").await;
    assert_eq!(refused.status, 422, "{}", refused.text());
    assert!(refused.text().contains("has a room already: lead that one"), "{}", refused.text());
    // Its own, and one that nobody is in.
    for section in ["Reeds", "Low Reeds"] {
        assert_eq!(choose(section).await.status, 303, "{section}");
    }
    let sections: Vec<String> = rooms(&server).await.into_iter().map(|(section, ..)| section).collect();
    assert_eq!(sections, ["Low Reeds", "Brass"]);
}

#[tokio::test]
async fn all_rooms_are_there_again_after_a_start() {
    let server = two_rooms().await;
    let cookie = server.conductor_cookie();
    let opened = post(
        server.running().http_addr,
        "/conduct/rooms",
        &cookie,
        &[("act", "open"), ("section", "Flutes")],
    )
    .await;
    assert_eq!(opened.status, 303);
    let before = rooms(&server).await;
    let wren = player(&server, &before[2].2, "Wren").await;
    let (token, code) = (wren.welcome.token.clone(), before[2].2.clone());
    let dir = server.stop().await;
    // As `windrow serve` without a section is started.
    let config = windrow::config::ServerConfig {
        program_key: Some("akeyfortests".to_owned()),
        sections: Vec::new(),
        ..serve_config(&dir)
    };
    let running = Server::start(config).await.unwrap();
    let codes: Vec<_> = before.iter().map(|(section, _, code)| (section.clone(), code.clone())).collect();
    assert_eq!(running.codes(), codes);
    let url = format!("ws://{}/ws/player", running.http_addr);
    let back = Hello { token: Some(token.clone()), ..hello(&code, "Wren", Instrument::Flute) };
    let wren = Player::join_at(&url, back).await;
    assert_eq!((wren.welcome.token.as_str(), wren.welcome.section.as_str()), (token.as_str(), "Flutes"));
    drop(wren);
    running.stop().await;
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn whoever_is_erased_is_forgotten_in_every_room() {
    const NAME: &str = "Quillfeather";
    let server = two_rooms().await;
    let rooms = rooms(&server).await;
    // The same device in one room, then in the other.
    let mut first = player(&server, &rooms[0].2, NAME).await;
    let token = first.welcome.token.clone();
    // The device is in the records by then.
    first.say(&batch(1, 3)).await;
    first.hear_ack(1).await;
    let mut of_reeds = conductor(&server, &rooms[0].1).await;
    of_reeds.see(|s| s.lanes.iter().any(|lane| lane.name.as_str() == NAME).then_some(())).await;
    let moved = Hello { token: Some(token.clone()), ..hello(&rooms[1].2, NAME, Instrument::Flute) };
    let second = Player::join_as(&server, moved).await;
    assert_eq!((second.welcome.section.as_str(), &second.welcome.token), ("Brass", &token));
    let mut of_brass = conductor(&server, &rooms[1].1).await;
    of_brass.see(|s| s.lanes.iter().any(|lane| lane.name.as_str() == NAME).then_some(())).await;
    let asks = [("x-windrow-device", token.as_str())];
    let erased = send(server.running().http_addr, "POST", "/mine/erase.json", &asks, "").await;
    assert_eq!(erased.status, 200, "{}", erased.text());
    for conductor in [&mut of_reeds, &mut of_brass] {
        conductor.see(|s| s.lanes.iter().all(|lane| lane.name.as_str() != NAME).then_some(())).await;
    }
}
