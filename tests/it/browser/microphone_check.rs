//! The check of a microphone in a real browser, over one sound file after the other: what the player reads, and what the
//! room is told. The sounds are made by formula; what should be found follows from how they were made.

use super::driver::{Browser, check_console, programs_or_say_skipped, wait_until};
use super::{SAMPLE_RATE_HZ, join, text_of};
use fantoccini::{Client, Locator};
use std::f64::consts::{PI, TAU};
use std::path::{Path, PathBuf};
use windrow_protocol::messages::CheckFinding;
use windrow_tests::wave_file::{Encoding, write_wave};
use windrow_tests::{Conductor, TestServer};

/// A4.
const F0_HZ: f64 = 440.0;
/// Each part is a room alone, then a tone in it; the check begins this long after the part does, s.
const ROOM_S: f64 = 7.5;
const BEGIN_S: f64 = 1.8;

/// One sound, and what is to be read of it.
struct Part {
    name: &'static str,
    length_s: f64,
    sound: fn(f64, f64) -> f64,
    findings: &'static [CheckFinding],
    words: &'static str,
}

/// Noise of this level, dB re full scale; `dice` is uniform within 1.
fn room(db: f64, dice: f64) -> f64 {
    // A uniform value's power is a third.
    10f64.powf(db / 20.0) * 3f64.sqrt() * dice
}

/// A tone of six harmonics whose fundamental has this amplitude, with a soft beginning.
fn tone(amplitude: f64, t: f64) -> f64 {
    let since_s = t - ROOM_S;
    let sum: f64 = (1..=6).map(f64::from).map(|h| (TAU * F0_HZ * h * t).sin() / h).sum();
    amplitude * (since_s / 0.05).clamp(0.0, 1.0) * sum
}

const PARTS: [Part; 6] = [
    Part {
        name: "a good tone",
        length_s: 15.0,
        sound: |t, dice| tone(0.2, t) + room(-65.0, dice),
        findings: &[],
        words: "All is well: the microphone hears you clearly.",
    },
    Part {
        name: "a clipped tone",
        length_s: 15.0,
        sound: |t, dice| (tone(1.2, t) + room(-65.0, dice)).clamp(-0.8, 0.8),
        findings: &[CheckFinding::Clipped],
        words: "The top of your sound is cut off. Move the device further away",
    },
    Part {
        name: "a gated tone",
        length_s: 15.0,
        sound: |t, dice| {
            let gate = (1.0 - (t - ROOM_S - 1.8) / 0.3).clamp(0.001, 1.0);
            gate * (tone(0.2, t) + room(-65.0, dice))
        },
        findings: &[CheckFinding::Gated],
        words: "seconds. If you held it, the device takes a long tone for noise",
    },
    Part {
        name: "a noisy room",
        length_s: 15.0,
        sound: |t, dice| tone(0.06, t) + room(-38.0, dice),
        findings: &[CheckFinding::Noisy],
        words: "dB louder than the room without it. Bring the device nearer",
    },
    Part {
        name: "nobody playing",
        length_s: 20.0,
        sound: |_, dice| room(-65.0, dice),
        findings: &[CheckFinding::NoTone],
        words: "No tone was heard. Play one long, straight note",
    },
    Part {
        name: "a headset's band",
        length_s: 15.0,
        sound: |t, dice| tone(0.2, t) + room(-55.0, dice),
        findings: &[CheckFinding::Headset],
        words: "This sounds like a headset made for speech. Switch Bluetooth off",
    },
];

/// Leaves out what lies above 7.6 kHz, as a codec at 16 kHz does: a sinc of 301 samples under Blackman's window.
fn without_highs(samples: &[f32]) -> Vec<f32> {
    const HALF: usize = 150;
    let cut = 7600.0 / f64::from(SAMPLE_RATE_HZ);
    let taps: Vec<f32> = (0..=2 * HALF)
        .map(|i| {
            let x = i as f64 - HALF as f64;
            let sinc = if x == 0.0 { 2.0 * cut } else { (TAU * cut * x).sin() / (PI * x) };
            let phase = TAU * i as f64 / (2 * HALF) as f64;
            (sinc * (0.42 - 0.5 * phase.cos() + 0.08 * (2.0 * phase).cos())) as f32
        })
        .collect();
    let mut padded = vec![0.0; HALF];
    padded.extend_from_slice(samples);
    padded.extend(std::iter::repeat_n(0.0, HALF));
    padded.windows(taps.len()).map(|window| window.iter().zip(&taps).map(|(x, tap)| x * tap).sum()).collect()
}

fn write_parts(path: &Path) {
    // A linear congruential generator (Numerical Recipes) is even enough for a room's noise.
    let mut seed = 7u32;
    let mut dice = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed) / f64::from(u32::MAX) * 2.0 - 1.0
    };
    let mut samples = Vec::new();
    for part in &PARTS {
        let n_samples = (part.length_s * f64::from(SAMPLE_RATE_HZ)) as u32;
        let made: Vec<f32> = (0..n_samples)
            .map(|i| (part.sound)(f64::from(i) / f64::from(SAMPLE_RATE_HZ), dice()) as f32)
            .collect();
        let is_headset = part.findings == [CheckFinding::Headset];
        samples.extend(if is_headset { without_highs(&made) } else { made });
    }
    write_wave(path, SAMPLE_RATE_HZ, 1, Encoding::Int16, &samples);
}

/// Notes when the microphone opened: from then on the file plays.
const NOTE_OPENING: &str = r"
    const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
    navigator.mediaDevices.getUserMedia = async (wanted) => {
        const stream = await open(wanted);
        window.openedMs = performance.now();
        return stream;
    };";

async fn checks(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    client.goto(&server.url("/")).await.unwrap();
    client.execute(NOTE_OPENING, vec![]).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    // The first join offers the check.
    let offer = Locator::Css("#check-offer [data-opens=check]");
    wait_until(10, "the offer to check", async || {
        let button = client.find(offer).await.unwrap();
        if button.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
    })
    .await;
    client.find(offer).await.unwrap().click().await.unwrap();
    assert!(!client.find(offer).await.unwrap().is_displayed().await.unwrap(), "offered once");

    let mut part_begins_s = 0.0;
    for part in &PARTS {
        let begin_s = part_begins_s + BEGIN_S;
        part_begins_s += part.length_s;
        wait_until(30, &format!("the moment of {}", part.name), async || {
            let now = client.execute("return (performance.now() - window.openedMs) / 1000;", vec![]).await;
            let now_s = now.unwrap().as_f64().unwrap();
            if now_s >= begin_s { Ok(()) } else { Err(format!("{now_s} s")) }
        })
        .await;
        client.find(Locator::Id("check-start")).await.unwrap().click().await.unwrap();
        assert_eq!(text_of(&client, "check-said").await, "Be silent.", "{}", part.name);
        wait_until(25, &format!("what is found of {}", part.name), async || {
            let said = text_of(&client, "check-said").await;
            let found = text_of(&client, "check-findings").await.replace('\n', " ");
            let facts = text_of(&client, "check-facts").await;
            let read = format!("{said}{found}");
            if read.contains(part.words) { Ok(()) } else { Err(format!("{read} {facts}")) }
        })
        .await;
        let lane = conductor
            .see_lane("Imogen", |lane| {
                lane.check.as_ref().is_some_and(|check| check.findings == part.findings)
            })
            .await;
        let check = lane.check.unwrap();
        assert_eq!(check.tone_db.is_some(), part.findings != [CheckFinding::NoTone], "{check:?}");
    }
    assert!(text_of(&client, "check-facts").await.contains("you played A4"));
    client.find(Locator::Css("#check-dialog form button")).await.unwrap().click().await.unwrap();
    assert!(!client.find(Locator::Id("check-title")).await.unwrap().is_displayed().await.unwrap(), "one tap");
    // The button that opened it is gone, so the keyboard goes on at the top.
    wait_until(5, "the keyboard's place", async || {
        let id = client.active_element().await.unwrap().attr("id").await.unwrap();
        if id.as_deref() == Some("title") { Ok(()) } else { Err(format!("{id:?}")) }
    })
    .await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_player_reads_what_is_wrong_with_the_microphone() {
    let Some(programs) = programs_or_say_skipped("the check of the microphone") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("microphone-check.wav");
    write_parts(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| checks(client, server)).await;
}
