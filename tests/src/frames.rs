//! How smoothly the conductor's page moves with many lanes, from Chromium's own trace, beside a bare page that moves one element in the
//! same run. Without a graphics card pictures are put together by the processor, so frames of both are those of the computer at
//! hand; the main thread's part is the page's own.

use crate::chromium::profile::UNTHROTTLED;
use crate::chromium::{Chromium, Page};
use crate::page_times::median_of;
use crate::{Conductor, Player, TestServer, reading};
use serde::Serialize;
use serde_json::{Value, json};
use std::path::Path;
use std::time::{Duration, Instant};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ClockAsk, ConductorSays, Hearing, Moment, PlayerHears, PlayerSays, Pulse, PulseBatch, Reading,
};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros, Ratio, Share};

/// Sixteenths at this tempo: eight pulses a second from each player.
const BPM: f64 = 120.0;
const PULSES_HZ: f64 = 8.0;
/// How long a trace takes.
const TRACED: Duration = Duration::from_secs(8);
/// What a trace needs to tell tasks of the main thread, and frames.
const CATEGORIES: [&str; 4] = [
    "disabled-by-default-devtools.timeline",
    "disabled-by-default-devtools.timeline.frame",
    "devtools.timeline",
    "devtools.timeline.frame",
];
/// A page that does nothing but move one element.
const BARE: &str = "data:text/html,<div id=m style='width:3px;height:500px;background:%23000'></div><script>\
    const f=(t)=>{m.style.transform='translateX('+(t/4%25800)+'px)';requestAnimationFrame(f)};requestAnimationFrame(f)</script>";

/// How a page moved.
#[derive(Debug, Clone, Serialize)]
pub struct Frames {
    /// Frames drawn a second.
    pub fps: f64,
    /// Frames that were wanted and not drawn, a second.
    pub dropped_per_s: f64,
    /// The main thread's work from one frame's beginning to the next, ms: median, and 95 % are under the other.
    pub main_ms: f64,
    /// See above.
    pub main_95_ms: f64,
    /// Tasks over 50 ms, a second.
    pub long_tasks_per_s: f64,
}

/// A page with one throttle, and the bare page with the same.
#[derive(Debug, Clone, Serialize)]
pub struct Run {
    /// How many times slower the processor was made.
    pub slower: f64,
    /// Lanes on the page.
    pub lanes: usize,
    /// The conductor's page.
    pub page: Frames,
    /// The bare page.
    pub bare: Frames,
    /// Frames a second of the former over the latter's.
    pub ratio: f64,
}

/// Measures with so many lanes, at each throttle.
///
/// # Panics
/// When the browser or the server cannot be had.
pub async fn run(program: &Path, n_lanes: usize, throttles: &[f64]) -> Vec<Run> {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    for chair in 0..n_lanes {
        let player = Player::join(&server, &format!("Player {}", chair + 1), Instrument::Flute).await;
        tokio::spawn(play(player, chair));
    }
    let bpm = Bpm::new(BPM).expect("a tempo");
    conductor.command(ConductorSays::SetTempo { bpm, at: Moment::Now }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 4, at: Moment::Now }).await;
    conductor.command(ConductorSays::Start).await;
    // Its pictures are not wanted, but a socket that nobody reads would fill.
    tokio::spawn(async move { while conductor.hear().await.is_ok() {} });
    let mut runs = Vec::new();
    for &slower in throttles {
        let chromium = Chromium::start(program, &[]).await;
        let profile = crate::chromium::profile::Profile { slower, ..UNTHROTTLED.on_a_laptop() };
        let mut page = chromium.page().await;
        page.be(&profile).await;
        page.go(&server.running().conductor_link()).await;
        page.wait_for(60, &format!("document.querySelectorAll('#lanes [role=option]').length >= {n_lanes}"))
            .await;
        tokio::time::sleep(Duration::from_secs(3)).await;
        let frames = trace(&mut page).await;
        page.close().await;
        let mut page = chromium.page().await;
        page.be(&profile).await;
        page.go(BARE).await;
        tokio::time::sleep(Duration::from_secs(1)).await;
        let bare = trace(&mut page).await;
        let ratio = frames.fps / bare.fps;
        runs.push(Run { slower, lanes: n_lanes, page: frames, bare, ratio });
    }
    runs
}

/// A player who pulses steadily, a little beside the others, until the server ends.
async fn play(mut player: Player, chair: usize) {
    let asked = Instant::now();
    player.say(&PlayerSays::Clock(ClockAsk { id: 1, t1_us: 0.0 })).await;
    let server_us = player
        .hear(|message| match message {
            PlayerHears::Clock(answer) => Some(answer.t3_us.get()),
            _ => None,
        })
        .await;
    let began = Instant::now() - asked.elapsed() / 2;
    let mut next_us = (server_us / 125_000.0).ceil() * 125_000.0;
    let mut ticks = tokio::time::interval(Duration::from_millis(100));
    let mut seq = 0;
    loop {
        ticks.tick().await;
        seq += 1;
        let now_us = server_us + began.elapsed().as_secs_f64() * 1e6;
        let mut pulses = Vec::new();
        while next_us < now_us - 350_000.0 {
            pulses.push(pulse(next_us + 4_000.0 * ((chair * 7 + seq as usize * 3) % 11) as f64 - 20_000.0));
            next_us += 1e6 / PULSES_HZ;
        }
        let reading = PlayerSays::Reading(hears(seq, now_us, chair));
        let text = |message: &PlayerSays| serde_json::to_string(message).expect("messages become JSON");
        for message in
            [(!pulses.is_empty()).then_some(PlayerSays::Pulses(PulseBatch { seq, pulses })), Some(reading)]
        {
            let Some(message) = message else { continue };
            if player
                .try_say_raw(tokio_tungstenite::tungstenite::Message::text(text(&message)))
                .await
                .is_err()
            {
                return;
            }
        }
    }
}

fn pulse(time_us: f64) -> Pulse {
    Pulse {
        time_us: Micros::new(time_us).expect("a time"),
        depth_db: Decibels::new(8.0).expect("a depth"),
        swing_cents: Cents::new(12.0).expect("a swing"),
        mean_cents: None,
        choked: false,
    }
}

fn hears(seq: u32, now_us: f64, chair: usize) -> Reading {
    let cents = (chair % 9) as f64 * 5.0 - 20.0;
    Reading {
        hearing: Hearing::Pulsed,
        level_db: Decibels::new(-20.0).expect("a level"),
        cents: Cents::new(cents).ok(),
        centre_cents: Cents::new(cents).ok(),
        pulse_rate_hz: Hertz::new(PULSES_HZ).ok(),
        n_pulses: 8,
        depth_db_pp: Decibels::new(8.0).ok(),
        swing_cents_pp: Cents::new(12.0).ok(),
        evenness_cv: Ratio::new(0.03).ok(),
        trust: Share::new(0.9).expect("a share"),
        trusted: true,
        ..reading(seq, now_us)
    }
}

async fn trace(page: &mut Page) -> Frames {
    drop(page.events());
    let config = json!({"recordMode": "recordContinuously", "includedCategories": CATEGORIES});
    page.command("Tracing.start", json!({"transferMode": "ReportEvents", "traceConfig": config})).await;
    tokio::time::sleep(TRACED).await;
    page.command("Tracing.end", json!({})).await;
    let (_, before) = page.next("Tracing.tracingComplete", 60).await;
    let events: Vec<Value> = before
        .iter()
        .filter(|event| event["method"] == "Tracing.dataCollected")
        .flat_map(|event| event["params"]["value"].as_array().cloned().unwrap_or_default())
        .collect();
    figures(&events)
}

/// A number of an event, µs.
fn us(event: &Value, name: &str) -> f64 {
    event[name].as_f64().unwrap_or_default()
}

fn figures(events: &[Value]) -> Frames {
    let named = |name: &'static str| events.iter().filter(move |event| event["name"] == name);
    // Of several renderers the page's is the one that begins frames.
    let mut begins: Vec<&Value> = named("BeginMainThreadFrame").collect();
    begins.sort_by(|a, b| us(a, "ts").total_cmp(&us(b, "ts")));
    let Some(first) = begins.first() else { panic!("the trace has no frames") };
    let (process, thread) = (&first["pid"], &first["tid"]);
    let is_main = |event: &&Value| &event["pid"] == process && &event["tid"] == thread;
    let tasks: Vec<(f64, f64)> =
        named("RunTask").filter(is_main).map(|task| (us(task, "ts"), us(task, "dur"))).collect();
    let of_frame = |pair: &[&Value]| {
        let (from, to) = (us(pair[0], "ts"), us(pair[1], "ts"));
        let within = |&(ts, dur): &(f64, f64)| ((ts + dur).min(to) - ts.max(from)).max(0.0);
        tasks.iter().map(within).sum::<f64>() / 1000.0
    };
    let mut work: Vec<f64> = begins.windows(2).map(of_frame).collect();
    work.sort_by(f64::total_cmp);
    let seconds = TRACED.as_secs_f64();
    let of_page = |name: &'static str| named(name).filter(|event| &event["pid"] == process).count() as f64;
    Frames {
        fps: of_page("DrawFrame") / seconds,
        dropped_per_s: of_page("DroppedFrame") / seconds,
        main_ms: median_of(work.clone()),
        main_95_ms: work[(work.len() * 95 / 100).min(work.len() - 1)],
        long_tasks_per_s: tasks.iter().filter(|(_, dur)| *dur > 50_000.0).count() as f64 / seconds,
    }
}
