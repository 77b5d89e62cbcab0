//! Measures the shared beat, and how long a change of tempo takes to many devices. What the figures mean stands beside them in
//! `windrow_tests::shared_beat`.

#![forbid(unsafe_code)]

use clap::Parser;
use serde::Serialize;
use std::net::SocketAddr;
use std::process::ExitCode;
use windrow_tests::figures::{number_in, rounded};
use windrow_tests::shared_beat::spread::{Place, SpreadRun};
use windrow_tests::shared_beat::{drift, fanout, spread};

/// How far apart twenty devices behind an uneven Wi-Fi hear the same beat.
#[derive(Debug, Parser)]
#[command(name = "beat_spread")]
struct Asked {
    /// Devices that listen.
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    devices: u32,
    /// Uneven delay of the network.
    #[arg(long, value_name = "X", default_value = "20", value_parser = |word: &str| number_in(word, 0.0..=1000.0))]
    jitter_ms: f64,
    /// How long is measured.
    #[arg(long, value_name = "S", default_value = "30", value_parser = |word: &str| number_in(word, 4.0..=3600.0))]
    seconds: f64,
    /// How fast the devices' clocks run away; 50, and 100 with --drift.
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = |word: &str| number_in(word, -400.0..=400.0))]
    drift_ppm: Option<f64>,
    /// Of the network's chance.
    #[arg(long, value_name = "K", default_value_t = 1)]
    seed: u64,
    /// A server elsewhere: the link that it prints for its conductor.
    #[arg(long, value_name = "LINK", requires = "code", value_parser = address)]
    server: Option<(SocketAddr, String)>,
    /// The join code of that server.
    #[arg(long, value_name = "CODE", requires = "server")]
    code: Option<String>,
    /// Ten minutes, simulated.
    #[arg(long)]
    drift: bool,
    /// Instead: how long a change of tempo takes to this many devices.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000))]
    command_fanout: Option<u32>,
    /// One object, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    let asked = Asked::parse();
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => {
            eprintln!("beat_spread: no threads can be started: {error}");
            return ExitCode::FAILURE;
        }
    };
    let (n_devices, jitter_ms, drift_ppm) = (asked.devices as usize, asked.jitter_ms, asked.drift_ppm);
    if let Some(n_devices) = asked.command_fanout {
        show(&runtime.block_on(fanout::run(n_devices as usize)), asked.json);
    } else if asked.drift {
        show(&drift::simulate(n_devices, jitter_ms, drift_ppm.unwrap_or(100.0)), asked.json);
    } else {
        let drift_ppm = drift_ppm.unwrap_or(50.0);
        let run = SpreadRun { n_devices, jitter_ms, seconds: asked.seconds, drift_ppm, seed: asked.seed };
        let place = asked.server.zip(asked.code).map(|((addr, key), code)| Place { addr, code, key });
        let spread = match place {
            Some(place) => runtime.block_on(spread::run_at(run, &place)),
            None => runtime.block_on(spread::run(run)),
        };
        show(&spread, asked.json);
    }
    ExitCode::SUCCESS
}

/// Reads a link such as `http://192.168.1.5:8470/conduct?key=...`.
fn address(link: &str) -> Result<(SocketAddr, String), String> {
    let parts = link.strip_prefix("http://").and_then(|rest| rest.split_once("/conduct?key="));
    let read = parts.and_then(|(addr, key)| Some((addr.parse().ok()?, key.to_owned())));
    read.ok_or_else(|| "it is no link as `windrow serve` prints it for the conductor".to_owned())
}

/// One JSON object, or a line a figure; milliseconds to the microsecond.
fn show(figures: &impl Serialize, is_json: bool) {
    let figures = rounded(figures);
    if is_json {
        println!("{figures}");
        return;
    }
    for (name, value) in figures.as_object().into_iter().flatten() {
        println!("{name:24} {value:>10}");
    }
}
