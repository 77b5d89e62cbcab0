//! A page that sounds the tick, loudly, and hears it through its own microphone beside a straight tone: the conductor reads
//! a straight tone. A tick taken for a pulse would be the worst of false praise, since it is always on time.

use super::driver::{Browser, check_console, programs_or_say_skipped, say};
use super::own_delay::{fallen_behind_ms, open_looped};
use super::write_microphone;
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_tests::{Conductor, TestServer};

/// Amplitude of the tone's fundamental. With its harmonics its root mean square is 0.17; the clicks peak at 0.32 (-10 dB),
/// 5 dB above that: the most a device on the stand hears of its own tick (6 dB, design of the finder).
const TONE: f64 = 0.2;

/// A browser whose contexts have fallen behind by more has lost buffers of 10 ms, and with them parts of the tone, ms.
const STEADY_MS: f64 = 5.0;

/// Pictures of the room looked at, five a second: eight seconds of eighths.
const PICTURES: usize = 40;

/// Chooses the tick "always on this device", rather loud.
const LOUD: &str = r"
    document.querySelector('#tick-wish [value=always]').click();
    const volume = document.getElementById('tick-volume');
    volume.value = -10;
    volume.dispatchEvent(new Event('change'));";

async fn straight_beside_ticks(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    open_looped(&client, &server, TONE).await;
    client.execute(LOUD, vec![]).await.unwrap();
    let tick = client.find(Locator::Id("tick")).await.unwrap().prop("textContent").await.unwrap();
    assert_eq!(tick.as_deref(), Some("Tick: always"));
    conductor.command(ConductorSays::SetSubdivision { per_beat: 2, at: Moment::Now }).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see_lane("Imogen", |lane| lane.state == State::Straight).await;
    let (mut states, mut n_pulses) = (Vec::new(), 0);
    conductor
        .see(|room| {
            let lane = &room.lanes[0];
            states.push(lane.state);
            n_pulses = n_pulses.max(lane.pulses.len());
            (states.len() == PICTURES).then_some(())
        })
        .await;
    let n_straight = states.iter().filter(|state| **state == State::Straight).count();
    let behind_ms = fallen_behind_ms(&client).await;
    say(&format!(
        "own tick: straight in {n_straight} of {PICTURES} pictures of the room, {n_pulses} marks on the lane, {behind_ms:.0} ms behind"
    ));
    if behind_ms > STEADY_MS {
        say("skipped: what is judged of a page's own tick, since its sound fell behind");
        return;
    }
    assert!(n_straight == PICTURES, "{states:?}");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_pages_own_loud_tick_is_no_pulse() {
    let Some(programs) = programs_or_say_skipped("the page's own tick") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("own-tick.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| straight_beside_ticks(client, server)).await;
}
