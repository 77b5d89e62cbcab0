//! A run: a server, a bad Wi-Fi, devices, music, and a cut. Gives how far the devices' beats lie from where the server
//! meant them and from each other.

use super::dice::Dice;
use super::metronome::{Metronome, SoundedBeat, Truth};
use super::proxy::Proxy;
use super::tally::{pair_differences_ms, percentile, ranges_ms};
use crate::{Conductor, TestServer, hello};
use serde::Serialize;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};
use tokio::time::sleep;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::ConductorSays;
use windrow_protocol::units::Bpm;

/// What to run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadRun {
    /// Devices.
    pub n_devices: usize,
    /// Longest usual surplus of a delay on one way, ms.
    pub jitter_ms: f64,
    /// How long the music plays, s: half of it, a cut of at most 30 s or a quarter of it, and the rest.
    pub seconds: f64,
    /// Devices' clocks gain or lose up to this much, ppm.
    pub drift_ppm: f64,
    /// Of delays and clocks.
    pub seed: u64,
}

/// What came out. All but the ranges and pairs are absolute deviations of a device's beat from the server's moment; beats
/// before the cut unless the name says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Devices.
    pub devices: usize,
    /// As asked.
    pub jitter_ms: f64,
    /// As asked.
    pub seconds: f64,
    /// As asked.
    pub drift_ppm: f64,
    /// SoundedBeat of devices that were counted before the cut.
    pub n_beats: usize,
    /// SoundedBeat that should have been, but of which a device said nothing; all along.
    pub n_missed: usize,
    /// Median deviation.
    pub p50_ms: f64,
    /// 95 % are within it.
    pub p95_ms: f64,
    /// 99 % are within it.
    pub p99_ms: f64,
    /// The worst.
    pub max_ms: f64,
    /// Two devices at the same beat: 95 % of all pairs are no further apart.
    pub pair_p95_ms: f64,
    /// Latest less earliest of all devices at one beat: 95 % of the beats are within it.
    pub range_p95_ms: f64,
    /// How long the network was away, s.
    pub cut_s: f64,
    /// Deviation while it was.
    pub in_cut_p95_ms: f64,
    /// Deviation from its end on.
    pub after_cut_p95_ms: f64,
    /// The worst from its end on.
    pub after_cut_max_ms: f64,
    /// As `pair_p95_ms`, from the cut's end on.
    pub after_cut_pair_p95_ms: f64,
    /// As `range_p95_ms`, from the cut's end on.
    pub after_cut_range_p95_ms: f64,
    /// As `p95_ms`, had the devices trusted RFC 5905's filter of eight alone.
    pub filter_p95_ms: f64,
}

/// Runs it.
///
/// # Panics
/// When a device or the conductor cannot take part.
pub async fn run(asked: SpreadRun) -> Spread {
    let server = TestServer::start().await;
    let proxy = Proxy::start(server.running().http_addr, asked.jitter_ms, asked.seed).await;
    let truth = truth(&server);
    let mut dice = Dice::new(asked.seed);
    let devices: Vec<_> = (1..=asked.n_devices)
        .map(|i| {
            let hello = hello(server.code(), &format!("Device {i}"), Instrument::Flute);
            let gain = 1e-6 * asked.drift_ppm * (2.0 * dice.throw() - 1.0);
            let ahead_us = 1e9 * dice.throw();
            let url = proxy.socket_url("/ws/player");
            tokio::spawn(Metronome::new(url, hello, truth.clone(), ahead_us, gain).run())
        })
        .collect();
    while (truth.n_ready.load(Ordering::Relaxed) as usize) < asked.n_devices {
        assert!(!devices.iter().any(|d| d.is_finished()), "a device gave up before the music");
        sleep(Duration::from_millis(20)).await;
    }
    let mut conductor = Conductor::open(&server).await;
    let bpm = Bpm::new(120.0).expect("a tempo");
    conductor.command(ConductorSays::SetTempo { bpm }).await;
    conductor.command(ConductorSays::Start).await;
    let cut_s = (asked.seconds / 4.0).min(30.0);
    sleep(Duration::from_secs_f64(asked.seconds / 2.0)).await;
    let cut_from_us = server.running().now_us();
    proxy.cut();
    sleep(Duration::from_secs_f64(cut_s)).await;
    proxy.mend();
    let cut_to_us = server.running().now_us();
    sleep(Duration::from_secs_f64(asked.seconds / 2.0 - cut_s)).await;
    truth.is_over.store(true, Ordering::Relaxed);
    let mut beats = Vec::new();
    for device in devices {
        beats.push(device.await.expect("a device keeps time to the end"));
    }
    drop(conductor);
    server.stop().await;
    figures(asked, &beats, cut_from_us, cut_to_us)
}

/// Reads both clocks together until nothing came between.
fn truth(server: &TestServer) -> Truth {
    let nought = Instant::now();
    let readings = (0..100).map(|_| {
        let before = nought.elapsed();
        let server_us = server.running().now_us();
        (nought.elapsed() - before, server_us - before.as_secs_f64() * 1e6)
    });
    let (_, server_us) = readings.min_by_key(|(took, _)| *took).expect("a hundred readings");
    Truth {
        nought,
        server_us,
        is_over: Arc::new(AtomicBool::new(false)),
        n_ready: Arc::new(AtomicU32::new(0)),
    }
}

fn figures(asked: SpreadRun, beats: &[Vec<SoundedBeat>], cut_from_us: f64, cut_to_us: f64) -> Spread {
    let all = || beats.iter().flatten();
    let between = |from_us: f64, to_us: f64| -> Vec<(i64, f64)> {
        let within = all().filter(|b| (from_us..to_us).contains(&b.due_us));
        within.map(|b| (b.beat, b.late_ms)).collect()
    };
    let size =
        |deviations: &[(i64, f64)]| -> Vec<f64> { deviations.iter().map(|(_, ms)| ms.abs()).collect() };
    let before = between(0.0, cut_from_us);
    let during = between(cut_from_us, cut_to_us);
    let after = between(cut_to_us, f64::INFINITY);
    let by_filter: Vec<f64> =
        all().filter(|b| b.due_us < cut_from_us).map(|b| b.late_by_filter_ms.abs()).collect();
    let sizes = size(&before);
    let numbers = || all().map(|b| b.beat);
    let n_due = numbers().max().zip(numbers().min()).map_or(0, |(last, first)| last - first + 1);
    Spread {
        devices: asked.n_devices,
        jitter_ms: asked.jitter_ms,
        seconds: asked.seconds,
        drift_ppm: asked.drift_ppm,
        n_beats: before.len(),
        n_missed: (n_due as usize * asked.n_devices).saturating_sub(all().count()),
        p50_ms: percentile(&sizes, 0.5),
        p95_ms: percentile(&sizes, 0.95),
        p99_ms: percentile(&sizes, 0.99),
        max_ms: percentile(&sizes, 1.0),
        pair_p95_ms: percentile(&pair_differences_ms(&before), 0.95),
        range_p95_ms: percentile(&ranges_ms(&before), 0.95),
        cut_s: (cut_to_us - cut_from_us) / 1e6,
        in_cut_p95_ms: percentile(&size(&during), 0.95),
        after_cut_p95_ms: percentile(&size(&after), 0.95),
        after_cut_max_ms: percentile(&size(&after), 1.0),
        after_cut_pair_p95_ms: percentile(&pair_differences_ms(&after), 0.95),
        after_cut_range_p95_ms: percentile(&ranges_ms(&after), 0.95),
        filter_p95_ms: percentile(&by_filter, 0.95),
    }
}
