//! The plan on the conductor's page: what is read of it, and that its controls reach the room. The room's answers are seen by a
//! second conductor, over a socket of the test's own.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use super::text_of;
use fantoccini::{Client, Locator};
use serde_json::json;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Flow;
use windrow_protocol::voicing::Tuning;
use windrow_tests::request::{post, put};
use windrow_tests::{Conductor, Player, TestServer};

const CAUTION: &str = "Sit down when you feel light-headed.";

async fn use_a_plan(server: &TestServer) {
    let plan = json!({
        "format": "windrow-plan", "version": 1, "name": "evening", "title": "Evening",
        "exercises": [
            {"title": "Air first", "cautions": [CAUTION], "goal": "An even tone.", "play": {"straight": {"bpm": 60}}},
            {"title": "Five marks", "play": {"ladder":
                {"from_bpm": 60, "to_bpm": 72, "value": "triplets", "bars_per_rung": 2, "go_on": "by-hand"}}}
        ]
    });
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let kept = put(addr, "/conduct/plans/evening.json", &cookie, &[], &plan.to_string()).await;
    assert_eq!(kept.status, 200, "{}", kept.text());
    let used = post(addr, "/conduct/plans", &cookie, &[("do", "use"), ("name", "evening")]).await;
    assert_eq!(used.status, 303);
}

async fn press(client: &Client, selector: &str) {
    client.find(Locator::Css(selector)).await.unwrap().click().await.unwrap();
}

async fn choose(client: &Client, id: &str, label: &str) {
    client.find(Locator::Id(id)).await.unwrap().select_by_label(label).await.unwrap();
}

async fn reads(client: &Client, id: &str, expected: &str) {
    wait_until(10, expected, async || match text_of(client, id).await {
        text if text == expected => Ok(()),
        text => Err(text),
    })
    .await;
}

async fn lead(client: Client, url: String, mut room: Conductor) {
    client.goto(&url).await.unwrap();
    reads(&client, "brief-caution", CAUTION).await;
    assert_eq!(text_of(&client, "brief-text").await, "An even tone.");
    assert_eq!(text_of(&client, "brief-next").await, "Next: Five marks");

    press(&client, "#plan-open").await;
    choose(&client, "flow", "go on by itself, after its rest").await;
    room.see(|s| (s.settings.flow == Flow::GoOn).then_some(())).await;
    press(&client, "#exercises li:nth-child(2) button").await;
    room.see(|s| (s.exercise.number == 2).then_some(())).await;
    // 60, 63, 66, 69 and 72: the marks of a metronome.
    reads(&client, "brief-text", "Rung 1 of 5, goes on when you press Go on.").await;
    assert_eq!(text_of(&client, "brief-next").await, "The last exercise");

    press(&client, "#more-controls").await;
    choose(&client, "tuning", "just tuning").await;
    room.see(|s| (s.settings.tuning == Tuning::Just).then_some(())).await;
    choose(&client, "note-for", "note for Wren").await;
    // An alto saxophone reads a major sixth higher than it sounds.
    choose(&client, "note", "F4 (reads D5)").await;
    let notes = room.see(|s| (!s.settings.notes.is_empty()).then(|| s.settings.notes.clone())).await;
    assert_eq!((notes[0].chair, notes[0].note.to_string().as_str()), (2, "F4"));
    assert_eq!(notes.len(), 1);
    choose(&client, "note", "as everyone").await;
    room.see(|s| s.settings.notes.is_empty().then_some(())).await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_plan_s_controls_reach_the_room() {
    let Some(programs) = programs_or_say_skipped("the plan on the conductor's page") else { return };
    let server = TestServer::start().await;
    use_a_plan(&server).await;
    let _imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let _wren = Player::join(&server, "Wren", Instrument::AltoSax).await;
    let (url, room) = (server.running().conductor_link(), Conductor::open(&server).await);
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| lead(client, url, room)).await;
    server.stop().await;
}
