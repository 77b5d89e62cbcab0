//! A microphone that is refused or missing: the player follows the beat unmeasured, the conductor reads why, and the
//! player can allow it later without loading the page again.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::{Client, Locator};
use serde_json::json;
use std::path::PathBuf;
use windrow_protocol::messages::{ConductorSays, MicrophoneStatus};
use windrow_tests::{Conductor, TestServer};

async fn lane_on_the_page(client: &Client, wanted: &str) {
    wait_until(20, &format!("\"{wanted}\" on the conductor's page"), async || {
        let lanes = client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        let Some(lane) = lanes.first() else { return Err("no lane".to_owned()) };
        let text = lane.text().await.unwrap();
        if text.contains(wanted) { Ok(()) } else { Err(text) }
    })
    .await;
}

async fn notice(client: &Client, words: &[&str]) {
    wait_until(10, &format!("{words:?} on the player's page"), async || {
        let text = text_of(client, "notice-text").await;
        if words.iter().all(|word| text.contains(word)) { Ok(()) } else { Err(text) }
    })
    .await;
}

async fn refused_then_allowed(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    let lane = conductor.see_lane("Imogen", |lane| lane.microphone.is_some()).await;
    assert_eq!(lane.microphone, Some(MicrophoneStatus::Refused));
    notice(&client, &["The microphone is not allowed", "follow the beat without being measured"]).await;

    wait_until(5, "\"not measured\" on the player's page", async || {
        let state = text_of(&client, "state").await;
        if state == "not measured" { Ok(()) } else { Err(state) }
    })
    .await;

    // The beat runs all the same.
    conductor.command(ConductorSays::Start).await;
    wait_until(10, "the count on the player's page", async || {
        let bar = text_of(&client, "bar").await;
        if bar.contains("counting in") || bar.contains("bar 1") { Ok(()) } else { Err(bar) }
    })
    .await;
    let player_tab = client.window().await.unwrap();
    let conductor_tab = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(conductor_tab.clone()).await.unwrap();
    client.goto(&server.running().conductor_link()).await.unwrap();
    lane_on_the_page(&client, "microphone refused").await;
    lane_on_the_page(&client, "follows the beat unmeasured").await;

    // The person changes the browser's settings, and presses the button: no reload.
    client.switch_to_window(player_tab).await.unwrap();
    let allowed = json!({"permission": {"name": "microphone"}, "setting": "granted"});
    command(&client, "Browser.setPermission", allowed).await;
    client.find(Locator::Id("listen")).await.unwrap().click().await.unwrap();
    let lane = conductor.see_lane("Imogen", |lane| lane.microphone != Some(MicrophoneStatus::Refused)).await;
    assert_eq!(lane.microphone, Some(MicrophoneStatus::Listening));
    conductor.see_lane("Imogen", |lane| lane.pulse_rate_hz.is_some()).await;
    assert_eq!(text_of(&client, "notice-text").await, "");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn who_refuses_the_microphone_follows_the_beat_and_may_allow_it_later() {
    let Some(programs) = programs_or_say_skipped("the refused microphone") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("refused.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Refused(&microphone)).await;
    browser.during(|client| refused_then_allowed(client, server)).await;
}

/// Keeps what the page opens, so that the test can do to it what a call does.
const KEEP_STREAM: &str = r"
    const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
    navigator.mediaDevices.getUserMedia = async (wanted) => {
        if (window.isHeld) throw new DOMException('held', 'NotReadableError');
        window.stream = await open(wanted);
        return window.stream;
    };";

async fn taken_away_and_back(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    client.execute(KEEP_STREAM, vec![]).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Listening)).await;
    let event = async |name: &str| {
        let script = "window.stream.getAudioTracks()[0].dispatchEvent(new Event(arguments[0]));";
        client.execute(script, vec![name.into()]).await.unwrap();
    };
    // A call mutes it for a while.
    event("mute").await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Lost)).await;
    notice(&client, &["taken away", "Close calls"]).await;
    event("unmute").await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Listening)).await;
    notice(&client, &[""]).await;
    // Another program keeps it for good, then lets go.
    client.execute("window.isHeld = true;", vec![]).await.unwrap();
    event("ended").await;
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Lost)).await;
    let listen = client.find(Locator::Id("listen")).await.unwrap();
    listen.click().await.unwrap();
    notice(&client, &["Another program holds the microphone"]).await;
    client.execute("window.isHeld = false;", vec![]).await.unwrap();
    listen.click().await.unwrap();
    conductor.see_lane("Imogen", |lane| lane.microphone == Some(MicrophoneStatus::Listening)).await;
    conductor.see_lane("Imogen", |lane| lane.pulse_rate_hz.is_some()).await;
    assert_eq!(text_of(&client, "notice-text").await, "");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_microphone_that_a_call_took_comes_back() {
    let Some(programs) = programs_or_say_skipped("the microphone that is taken away") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("taken-away.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| taken_away_and_back(client, server)).await;
}

async fn without_microphone(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    join(&client, server.code(), "Wren").await;
    let lane = conductor.see_lane("Wren", |lane| lane.microphone.is_some()).await;
    assert_eq!(lane.microphone, Some(MicrophoneStatus::Missing));
    notice(&client, &["No microphone was found"]).await;
    let words = text_of(&client, "sentence").await;
    assert!(words.contains("Follow the beat: you are not measured"), "{words}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn who_has_no_microphone_follows_the_beat() {
    let Some(programs) = programs_or_say_skipped("the missing microphone") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| without_microphone(client, server)).await;
}
