//! The player's page when something gets in its way: a context that is suspended, a device that is turned, a browser that is too
//! old, a script that does not come; and what it says after a stretch of playing.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::{Client, Locator};
use serde_json::{Value, json};
use std::path::PathBuf;
use windrow_protocol::messages::{ConductorSays, MicrophoneStatus, Moment};
use windrow_tests::{Conductor, TestServer};

/// Keeps the page's audio contexts, so that the test can do to them what a call does.
const KEEP_CONTEXTS: &str = r"
    const Context = window.AudioContext;
    window.contexts = [];
    window.AudioContext = class extends Context {
        constructor(...given) { super(...given); window.contexts.push(this); }
    };";

/// Suspends all contexts; while `isHeld` they do not go on when they are asked to.
const SUSPEND: &str = r"
    window.isHeld = arguments[0];
    window.nStops = 0;
    for (const context of window.contexts) {
        context.addEventListener('statechange', () => (window.nStops += context.state === 'suspended'));
        const go = Object.getPrototypeOf(Object.getPrototypeOf(context)).resume;
        context.resume = () => (window.isHeld ? new Promise(() => {}) : go.call(context));
        context.suspend();
    }";

async fn reads(client: &Client, id: &str, is_it: impl Fn(&str) -> bool) -> String {
    wait_until(30, id, async || match text_of(client, id).await {
        text if is_it(&text) => Ok(text),
        text => Err(text),
    })
    .await
}

async fn suspended_and_back(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    client.execute(KEEP_CONTEXTS, vec![]).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    conductor.see_lane("Imogen", |lane| lane.pulse_rate_hz.is_some()).await;

    // A short one: the page asks for its sound, and has it again, without a press.
    client.execute(SUSPEND, vec![json!(false)]).await.unwrap();
    wait_until(10, "the sound to be stopped and back", async || {
        let states =
            "return [window.nStops > 0, ...window.contexts.map((context) => context.state)].join(' ');";
        let states = client.execute(states, vec![]).await.unwrap();
        let text = states.as_str().unwrap_or_default().to_owned();
        if text == "true running" { Ok(()) } else { Err(text) }
    })
    .await;
    reads(&client, "notice-text", str::is_empty).await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Listening)).await;

    // One that holds: what happened and one button, in place of the sentence; what was not heard is not called silence.
    client.execute(SUSPEND, vec![json!(true)]).await.unwrap();
    reads(&client, "notice-text", |text| {
        text.contains("not measured just now") || text.contains("taken away")
    })
    .await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Lost)).await;
    reads(&client, "state", |text| text == "not measured").await;
    assert_eq!(text_of(&client, "sentence").await, "");
    let lane = client.find(Locator::Id("lane")).await.unwrap();
    wait_until(10, "the lane in words", async || {
        let words = lane.attr("aria-label").await.unwrap().unwrap_or_default();
        if words == "Your lane: not measured just now." { Ok(()) } else { Err(words) }
    })
    .await;
    client.execute("window.isHeld = false;", vec![]).await.unwrap();
    client.find(Locator::Id("listen")).await.unwrap().click().await.unwrap();
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Listening)).await;
    conductor.see_lane("Imogen", |lane| lane.pulse_rate_hz.is_some()).await;
    reads(&client, "notice-text", str::is_empty).await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_sound_that_a_call_stopped_comes_back() {
    let Some(programs) = programs_or_say_skipped("the interrupted sound") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("interrupted.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| suspended_and_back(client, server)).await;
}

/// Size of the canvas, of its place on the page, and of the page beyond the window, px.
const SIZES: &str = r"
    const canvas = document.getElementById('lane-canvas');
    const { scrollWidth, scrollHeight } = document.documentElement;
    return [canvas.width, canvas.clientWidth, canvas.height, canvas.clientHeight, scrollWidth - innerWidth, scrollHeight - innerHeight];";

async fn turned_while_playing(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    // Offered once, before the music.
    client.find(Locator::Id("check-later")).await.unwrap().click().await.unwrap();
    conductor.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Now }).await;
    conductor.command(ConductorSays::Start).await;
    reads(&client, "bar", |text| text.starts_with("bar")).await;
    for (width, height) in [(390, 844), (844, 390), (390, 664)] {
        let metrics = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true});
        command(&client, "Emulation.setDeviceMetricsOverride", metrics).await;
        wait_until(5, "the lane in its new size, without anything to scroll to", async || {
            let sizes: Vec<i64> =
                serde_json::from_value(client.execute(SIZES, vec![]).await.unwrap()).unwrap();
            let is_right = sizes[0] == sizes[1] && sizes[2] == sizes[3] && sizes[4] <= 0 && sizes[5] <= 0;
            if is_right && sizes[0] > 200 { Ok(()) } else { Err(format!("{width} by {height}: {sizes:?}")) }
        })
        .await;
    }
    // Three pulses a second of 3.3 are heard at the warm-up's tempo; stopped by hand, it says what that came to.
    reads(&client, "bar", |text| text == "bar 3").await;
    conductor.command(ConductorSays::Stop { at: Moment::Now }).await;
    let number = reads(&client, "came-number", |text| !text.is_empty()).await;
    assert!(number.starts_with(|c: char| c.is_ascii_digit()), "{number}");
    assert!(text_of(&client, "came-of").await.starts_with("Triplets at "));
    assert!(!text_of(&client, "came-sentence").await.is_empty());
    assert_eq!(text_of(&client, "state").await, "", "one of the two is shown");
    // The next is counted in, and it is gone.
    conductor.command(ConductorSays::Again { at: Moment::Now }).await;
    reads(&client, "came-number", str::is_empty).await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_that_is_turned_fits_and_says_what_the_playing_came_to() {
    let Some(programs) = programs_or_say_skipped("the page that is turned") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("turned.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| turned_while_playing(client, server)).await;
}

async fn too_old(client: Client, server: TestServer) {
    let page = server.url("/");
    let given = command(
        &client,
        "Page.addScriptToEvaluateOnNewDocument",
        json!({"source": "delete window.WebAssembly;"}),
    )
    .await;
    client.goto(&page).await.unwrap();
    let said = reads(&client, "too-old", |text| !text.is_empty()).await;
    assert!(said.contains("This browser is too old") && said.contains("Firefox 114"), "{said}");
    assert_eq!(text_of(&client, "join-view").await, "");

    let Value::String(identifier) = given["identifier"].clone() else { panic!("{given}") };
    command(&client, "Page.removeScriptToEvaluateOnNewDocument", json!({"identifier": identifier})).await;
    command(&client, "Network.enable", json!({})).await;
    command(&client, "Network.setBlockedURLs", json!({"urls": ["*player-view.js"]})).await;
    client.goto(&page).await.unwrap();
    reads(&client, "not-started", |text| text.contains("The page did not start")).await;

    command(&client, "Network.setBlockedURLs", json!({"urls": []})).await;
    client.goto(&page).await.unwrap();
    reads(&client, "join-view", |text| text.contains("Join the room")).await;
    assert_eq!(text_of(&client, "not-started").await, "");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_browser_that_is_too_old_is_told_so() {
    let Some(programs) = programs_or_say_skipped("the old browser") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| too_old(client, server)).await;
}
