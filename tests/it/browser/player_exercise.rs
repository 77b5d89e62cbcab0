//! A plan's exercise on the player's page: what it is about before it begins, the tuned note and what comes next while it plays, and
//! the rest after it.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use super::{join, text_of};
use fantoccini::{Client, Locator};
use serde_json::json;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::ConductorSays;
use windrow_tests::request::{post, put};
use windrow_tests::{Conductor, Player, TestServer};

const SAY: &str = "Let the pulses grow out of the straight tone.";
const CAUTION: &str = "Sit down when you feel light-headed.";

async fn use_a_plan(server: &TestServer) {
    let ease = json!({"bpm": 120, "value": "triplets", "straight": 8, "growing": 8, "full": 0, "fading": 0, "straight_after": 0});
    let plan = json!({
        "format": "windrow-plan", "version": 1, "name": "evening", "title": "Evening",
        "exercises": [{
            "title": "Growing", "part": "Days 4 to 6", "say": SAY, "goal": "eight beats to grow", "cautions": [CAUTION],
            "note": "F4", "voicing": "triad", "tuning": "just", "play": {"ease": ease}
        }]
    });
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let kept = put(addr, "/conduct/plans/evening.json", &cookie, &[], &plan.to_string()).await;
    assert_eq!(kept.status, 200, "{}", kept.text());
    let used = post(addr, "/conduct/plans", &cookie, &[("do", "use"), ("name", "evening")]).await;
    assert_eq!(used.status, 303);
}

async fn reads(client: &Client, id: &str, is_it: impl Fn(&str) -> bool) -> String {
    wait_until(20, id, async || match text_of(client, id).await {
        text if is_it(&text) => Ok(text),
        text => Err(text),
    })
    .await
}

async fn play(client: Client, url: String, code: String, mut conductor: Conductor) {
    client.goto(&url).await.unwrap();
    join(&client, &code, "Imogen").await;
    let before = reads(&client, "exercise", |text| text.contains("Growing")).await;
    assert_eq!(
        before.lines().collect::<Vec<_>>(),
        ["Days 4 to 6", "Growing", SAY, "Goal: eight beats to grow.", CAUTION]
    );

    conductor.command(ConductorSays::Start).await;
    reads(&client, "coming", |text| text.ends_with("beats: triplets, vibrato grows")).await;
    assert_eq!(text_of(&client, "asked").await, "straight tone");
    assert_eq!(text_of(&client, "exercise").await, "", "the music has the page");
    // Chair 2 has the third of F: 5/4, which is 13.69 cents under the equal one.
    assert_eq!(text_of(&client, "note-written").await, "A4");
    assert_eq!(text_of(&client, "note-tuned").await, "14 cents low for a pure third");
    client.find(Locator::Id("more")).await.unwrap().click().await.unwrap();
    assert!(text_of(&client, "exercise-more").await.contains(SAY));
    client.find(Locator::Css("#more-dialog form button")).await.unwrap().click().await.unwrap();
    reads(&client, "asked", |text| text == "3 to the beat, vibrato grows").await;

    reads(&client, "title", |text| text == "Rest").await;
    reads(&client, "sentence", |text| text == "Rest: breathe as usual until the count comes back.").await;
    assert!(text_of(&client, "exercise").await.contains("Growing"));
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_player_reads_what_is_practised_and_what_comes() {
    let Some(programs) = programs_or_say_skipped("an exercise on the player's page") else { return };
    let server = TestServer::start().await;
    use_a_plan(&server).await;
    let _tobias = Player::join(&server, "Tobias", Instrument::Flute).await;
    let conductor = Conductor::open(&server).await;
    let (url, code) = (server.url("/"), server.code().to_owned());
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| play(client, url, code, conductor)).await;
    server.stop().await;
}
