//! From a microphone to the conductor's page in a real browser: what a person reads there. One tab is a player whose
//! microphone hears a pulsed tone, the other the conductor's.

mod another_code;
mod axe;
mod closed_room;
mod conductor_plan;
mod driver;
mod fallback;
mod first_minute;
mod first_rehearsal;
mod first_start;
mod injected;
mod interrupted;
mod joining;
mod lanes;
mod languages;
mod microphone_check;
mod moving;
mod own_delay;
mod own_tick;
mod plan_editing;
mod player_exercise;
mod player_weeks;
mod practice;
mod refused;
mod report;
mod review;
mod room_page;
mod roster_place;
mod section_weeks;
mod shared_tick;
mod sheet;
mod sign_in;
mod sound_stays;
mod trust;
mod usable;

pub(crate) use driver::say;
use driver::{Browser, check_console, programs_or_say_skipped, wait_until};
use fantoccini::elements::Element;
use fantoccini::{Client, Locator};
use std::f64::consts::TAU;
use std::path::{Path, PathBuf};
use windrow_tests::TestServer;
use windrow_tests::wave_file::{Encoding, write_wave};

/// The fake microphone's own rate; another one would be resampled at every turn of the file.
const SAMPLE_RATE_HZ: u32 = 44_100;

/// Seconds after which the file begins anew: whole periods of the tone and whole pulses, so that the seam is not heard.
const LOOP_S: u32 = 10;

/// F4, 0.2 cents below its place in the tempered scale.
const F0_HZ: f64 = 349.2;

/// Triplets at 66.
const PULSES_HZ: f64 = 3.3;

/// Writes a tone whose level pulses by 8 dB, with five harmonics.
fn write_microphone(path: &Path) {
    let samples: Vec<f32> = (0..SAMPLE_RATE_HZ * LOOP_S)
        .map(|i| {
            let t = f64::from(i) / f64::from(SAMPLE_RATE_HZ);
            let level_db = -12.0 + 4.0 * ((TAU * PULSES_HZ * t).cos() - 1.0);
            let tone: f64 = (1..=5).map(|h| (TAU * F0_HZ * f64::from(h) * t).sin() / f64::from(h)).sum();
            (10f64.powf(level_db / 20.0) * tone / 2.0) as f32
        })
        .collect();
    write_wave(path, SAMPLE_RATE_HZ, 1, Encoding::Int16, &samples);
}

#[test]
fn the_microphones_file_has_no_seam() {
    for cycles in [F0_HZ, PULSES_HZ].map(|hz| hz * f64::from(LOOP_S)) {
        assert!((cycles - cycles.round()).abs() < 1e-9, "{cycles}");
    }
}

/// Joins as a player without a list does: the code if it is asked for, a nickname and the instrument unless the device is
/// known, and the button.
async fn join(client: &Client, code: &str, name: &str) {
    let field = async |id: &str| client.find(Locator::Id(id)).await.unwrap();
    if field("code").await.is_displayed().await.unwrap() {
        field("code").await.send_keys(code).await.unwrap();
        field("go-in").await.click().await.unwrap();
    }
    let is_new = wait_until(20, "the place for a name", async || {
        let [name, not_me] = [field("name").await, field("not-me").await];
        match (name.is_displayed().await.unwrap(), not_me.is_displayed().await.unwrap()) {
            (false, false) => Err(text_of(client, "join-trouble").await),
            (is_new, _) => Ok(is_new),
        }
    })
    .await;
    if is_new {
        // The browser may remember a name.
        field("name").await.clear().await.unwrap();
        field("name").await.send_keys(name).await.unwrap();
        field("instrument").await.select_by_label("flute").await.unwrap();
    }
    client.find(Locator::XPath("//button[text()='Listen and join']")).await.unwrap().click().await.unwrap();
    wait_until(20, "the player's seat", async || {
        let who = text_of(client, "who").await;
        if who.contains(&format!("{name}, flute")) {
            Ok(())
        } else {
            Err(format!("{who:?} {}", text_of(client, "join-trouble").await))
        }
    })
    .await;
}

/// What a person reads in an element; nothing where it is hidden.
async fn text_of(client: &Client, id: &str) -> String {
    client.find(Locator::Id(id)).await.unwrap().text().await.unwrap()
}

/// Sets 66, triplets and F4, and starts, as a conductor does with keys and lists.
async fn start_triplets(client: &Client) {
    client.find(Locator::Id("more-controls")).await.unwrap().click().await.unwrap();
    client.find(Locator::Id("per-beat")).await.unwrap().select_by_label("triplets").await.unwrap();
    client.find(Locator::Id("count-in")).await.unwrap().select_by_label("no count-in").await.unwrap();
    client.find(Locator::Id("note")).await.unwrap().select_by_label("F4").await.unwrap();
    wait_until(10, "the title \"Triplets at 66\"", async || {
        let title = text_of(client, "title").await;
        let Some(bpm) = title.strip_prefix("Triplets at ").and_then(|bpm| bpm.parse::<f64>().ok()) else {
            return Err(title);
        };
        let key = if bpm > 66.0 { "-" } else { "+" };
        if bpm == 66.0 {
            return Ok(());
        }
        client.find(Locator::Css("body")).await.unwrap().send_keys(key).await.unwrap();
        Err(title)
    })
    .await;
    client.find(Locator::Id("start")).await.unwrap().click().await.unwrap();
}

/// A lane's text alternative.
async fn spoken(lane: &Element) -> String {
    let words = lane.find(Locator::Css(".spoken")).await.unwrap();
    words.prop("textContent").await.unwrap().unwrap_or_default()
}

/// The lane's words, such as "Imogen, flute 1, matched, 3.30 pulses a second, ...", taken apart at the commas.
async fn lane_words(client: &Client) -> Vec<String> {
    let lane = client.find(Locator::Css("#lanes [role=option]")).await.unwrap();
    spoken(&lane).await.split(", ").map(str::to_owned).collect()
}

/// Waits until the conductor reads this state; gives the pulses a second that stand beside it.
async fn wait_for_state(client: &Client, state: &str) -> f64 {
    wait_until(40, &format!("Imogen being {state}"), async || {
        let words = lane_words(client).await;
        let rate = words.iter().find_map(|word| word.strip_suffix(" pulses a second")?.parse::<f64>().ok());
        let shown = client.find(Locator::Css("#lanes .word")).await.unwrap().text().await.unwrap();
        match rate {
            Some(rate_hz) if words[..3] == ["Imogen", "flute 1", state] && shown == state => Ok(rate_hz),
            _ => Err(format!("{words:?}, on the page {shown:?}, {}", text_of(client, "say").await)),
        }
    })
    .await
}

/// Two tabs of one browser: a player hears a tone that pulses in triplets at 66, the conductor reads what comes of it.
async fn from_microphone_to_conductor(client: Client, join_url: String, code: String, conductor_url: String) {
    client.goto(&join_url).await.unwrap();
    join(&client, &code, "Imogen").await;
    let player_tab = client.window().await.unwrap();

    let conductor_tab = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(conductor_tab.clone()).await.unwrap();
    client.goto(&conductor_url).await.unwrap();
    wait_until(20, "a lane", async || {
        let lanes = client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        if lanes.len() == 1 { Ok(()) } else { Err(format!("{} lanes", lanes.len())) }
    })
    .await;
    start_triplets(&client).await;

    let rate_hz = wait_for_state(&client, "matched").await;
    assert!((rate_hz / PULSES_HZ - 1.0).abs() < 0.02, "{rate_hz} pulses a second");
    let words = lane_words(&client).await.join(", ");
    let centre = words.split("centre ").nth(1).and_then(|rest| rest.split(" cents").next());
    let centre_cents: f64 =
        centre.unwrap_or_default().replace('\u{2212}', "-").parse().unwrap_or_else(|_| panic!("{words}"));
    assert!(centre_cents.abs() <= 2.0, "{words}");

    // The player reads the same word and the written note.
    client.switch_to_window(player_tab).await.unwrap();
    wait_until(10, "\"matched\" on the player's page", async || {
        let state = text_of(&client, "state").await;
        if state == "matched" { Ok(()) } else { Err(state) }
    })
    .await;
    assert_eq!(text_of(&client, "title").await, "Triplets at 66");

    // The section is to play 76 now; this player goes on as before.
    client.switch_to_window(conductor_tab).await.unwrap();
    let faster = client.find(Locator::Id("faster")).await.unwrap();
    for _ in 0..4 {
        faster.click().await.unwrap();
    }
    let rate_hz = wait_for_state(&client, "slow").await;
    assert!((rate_hz / PULSES_HZ - 1.0).abs() < 0.02, "{rate_hz} pulses a second");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_conductor_reads_what_a_players_microphone_hears() {
    let Some(programs) = programs_or_say_skipped("the browser test") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("triplets-at-66.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let (join_url, code) = (server.url("/"), server.code().to_owned());
    let conductor_url = server.running().conductor_link();
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| from_microphone_to_conductor(client, join_url, code, conductor_url)).await;
}
