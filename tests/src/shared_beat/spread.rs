//! A run: a server, a bad Wi-Fi, devices, music, and a cut. Gives how far the devices' beats lie from where the server
//! meant them and from each other.

use super::dice::Dice;
use super::metronome::{Metronome, SoundedBeat, Truth};
use super::proxy::{Link, Proxy};
use super::tally::{pair_differences_ms, percentile, ranges_ms};
use crate::{Conductor, TestServer, hello};
use serde::Serialize;
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};
use tokio::time::sleep;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Moment};
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

/// A server that runs somewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Where it listens.
    pub addr: SocketAddr,
    /// Join code of its room.
    pub code: String,
    /// Key of its conductor.
    pub key: String,
}

/// Runs it against a server in this process, whose clock is the truth.
///
/// # Panics
/// When a device or the conductor cannot take part.
pub async fn run(asked: SpreadRun) -> Spread {
    let server = TestServer::start().await;
    let place = Place {
        addr: server.running().http_addr,
        code: server.code().to_owned(),
        key: server.key().to_owned(),
    };
    let truth = truth(&server);
    let (beats, cut_us) = play(asked, &place, &truth).await;
    server.stop().await;
    figures(asked, &beats, cut_us)
}

/// Runs it against a server in another process or network. Where its clock stands is not known, so deviations are from
/// the middle one of all devices at each beat.
///
/// # Panics
/// As [`run`].
pub async fn run_at(asked: SpreadRun, place: &Place) -> Spread {
    let truth = Truth::new(Instant::now(), 0.0);
    let (mut beats, (from_us, to_us)) = play(asked, place, &truth).await;
    // The cut is in the run's time, the beats in the server's; what lies between is about what all devices say.
    let lates_ms: Vec<f64> = beats.iter().flatten().map(|beat| beat.late_ms).collect();
    let server_ahead_us = -1000.0 * percentile(&lates_ms, 0.5);
    take_out_the_middle(&mut beats);
    figures(asked, &beats, (from_us + server_ahead_us, to_us + server_ahead_us))
}

/// What every device sounded, and the cut's beginning and end, server µs as `truth` has it.
async fn play(asked: SpreadRun, place: &Place, truth: &Truth) -> (Vec<Vec<SoundedBeat>>, (f64, f64)) {
    let proxy = Proxy::start(place.addr, Link::wifi(asked.jitter_ms), asked.seed).await;
    let mut dice = Dice::new(asked.seed);
    let devices: Vec<_> = (1..=asked.n_devices)
        .map(|i| {
            let hello = hello(&place.code, &format!("Device {i}"), Instrument::Flute);
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
    let mut conductor =
        Conductor::open_at(&format!("ws://{}/ws/conductor?key={}", place.addr, place.key)).await;
    let bpm = Bpm::new(120.0).expect("a tempo");
    conductor.command(ConductorSays::SetTempo { bpm, at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    let cut_s = (asked.seconds / 4.0).min(30.0);
    sleep(Duration::from_secs_f64(asked.seconds / 2.0)).await;
    let cut_from_us = truth.server_us + truth.now_us();
    proxy.cut();
    sleep(Duration::from_secs_f64(cut_s)).await;
    proxy.mend();
    let cut_to_us = truth.server_us + truth.now_us();
    sleep(Duration::from_secs_f64(asked.seconds / 2.0 - cut_s)).await;
    truth.is_over.store(true, Ordering::Relaxed);
    let mut beats = Vec::new();
    for device in devices {
        beats.push(device.await.expect("a device keeps time to the end"));
    }
    (beats, (cut_from_us, cut_to_us))
}

/// Moves all beats so that the middle device of each is on time.
fn take_out_the_middle(beats: &mut [Vec<SoundedBeat>]) {
    let mut of_beats: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for beat in beats.iter().flatten() {
        of_beats.entry(beat.beat).or_default().push(beat.late_ms);
    }
    let middles: BTreeMap<i64, f64> =
        of_beats.into_iter().map(|(beat, lates_ms)| (beat, percentile(&lates_ms, 0.5))).collect();
    for beat in beats.iter_mut().flatten() {
        beat.late_ms -= middles[&beat.beat];
        beat.late_by_filter_ms -= middles[&beat.beat];
    }
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
    Truth::new(nought, server_us)
}

fn figures(asked: SpreadRun, beats: &[Vec<SoundedBeat>], (cut_from_us, cut_to_us): (f64, f64)) -> Spread {
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
    // Devices begin and end a beat apart: what all of them should have is what lies between.
    let first = beats.iter().filter_map(|device| device.first()).map(|b| b.beat).max().unwrap_or(0);
    let last = beats.iter().filter_map(|device| device.last()).map(|b| b.beat).min().unwrap_or(0);
    let n_due = (last - first + 1).max(0) as usize * asked.n_devices;
    let n_said = all().filter(|b| (first..=last).contains(&b.beat)).count();
    Spread {
        devices: asked.n_devices,
        jitter_ms: asked.jitter_ms,
        seconds: asked.seconds,
        drift_ppm: asked.drift_ppm,
        n_beats: before.len(),
        n_missed: n_due.saturating_sub(n_said),
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
