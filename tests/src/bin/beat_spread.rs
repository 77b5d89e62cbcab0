//! Measures the shared beat. Without options: twenty devices behind a Wi-Fi with 20 ms of uneven jitter for 30 s.
//!
//! ```text
//! beat_spread [--devices N] [--jitter-ms X] [--seconds S] [--drift-ppm P] [--seed K] [--json]
//! beat_spread --server LINK --code CODE [the same]      a server elsewhere: its conductor's link and its join code
//! beat_spread --drift [--devices N] [--jitter-ms X] [--drift-ppm P] [--json]     simulated, ten minutes
//! beat_spread --command-fanout N [--json]                                         a tempo change to N devices
//! ```
//!
//! What the figures mean stands beside them in `windrow_tests::shared_beat`.

#![forbid(unsafe_code)]

use serde::Serialize;
use std::process::ExitCode;
use windrow_tests::shared_beat::spread::{Place, SpreadRun};
use windrow_tests::shared_beat::{drift, fanout, spread};

/// What the command line asks for.
#[derive(Debug, Default)]
struct Asked {
    n_devices: Option<usize>,
    jitter_ms: Option<f64>,
    seconds: Option<f64>,
    drift_ppm: Option<f64>,
    seed: Option<u64>,
    server: Option<String>,
    code: Option<String>,
    fanout: Option<usize>,
    is_drift: bool,
    is_json: bool,
}

fn main() -> ExitCode {
    let asked = match read(std::env::args().skip(1)) {
        Ok(asked) => asked,
        Err(refusal) => {
            eprintln!("beat_spread: {refusal}");
            return ExitCode::from(2);
        }
    };
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => {
            eprintln!("beat_spread: no threads can be started: {error}");
            return ExitCode::FAILURE;
        }
    };
    let (n_devices, jitter_ms) = (asked.n_devices.unwrap_or(20), asked.jitter_ms.unwrap_or(20.0));
    if let Some(n_devices) = asked.fanout {
        show(&runtime.block_on(fanout::run(n_devices)), asked.is_json);
    } else if asked.is_drift {
        show(&drift::simulate(n_devices, jitter_ms, asked.drift_ppm.unwrap_or(100.0)), asked.is_json);
    } else {
        let (seconds, seed) = (asked.seconds.unwrap_or(30.0), asked.seed.unwrap_or(1));
        let drift_ppm = asked.drift_ppm.unwrap_or(50.0);
        let run = SpreadRun { n_devices, jitter_ms, seconds, drift_ppm, seed };
        let spread = match (&asked.server, &asked.code) {
            (Some(link), Some(code)) => match place(link, code) {
                Some(place) => runtime.block_on(spread::run_at(run, &place)),
                None => {
                    eprintln!(
                        "beat_spread: {link} is no link as `windrow serve` prints it for the conductor"
                    );
                    return ExitCode::from(2);
                }
            },
            (None, None) => runtime.block_on(spread::run(run)),
            _ => {
                eprintln!("beat_spread: --server and --code go together");
                return ExitCode::from(2);
            }
        };
        show(&spread, asked.is_json);
    }
    ExitCode::SUCCESS
}

fn read(mut words: impl Iterator<Item = String>) -> Result<Asked, String> {
    let mut asked = Asked::default();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--drift" => asked.is_drift = true,
            "--json" => asked.is_json = true,
            "--server" => asked.server = words.next(),
            "--code" => asked.code = words.next(),
            "--devices" => asked.n_devices = Some(number(&word, words.next(), 1.0, 10_000.0)? as usize),
            "--command-fanout" => asked.fanout = Some(number(&word, words.next(), 1.0, 10_000.0)? as usize),
            "--jitter-ms" => asked.jitter_ms = Some(number(&word, words.next(), 0.0, 1000.0)?),
            "--seconds" => asked.seconds = Some(number(&word, words.next(), 4.0, 3600.0)?),
            "--drift-ppm" => asked.drift_ppm = Some(number(&word, words.next(), -400.0, 400.0)?),
            "--seed" => asked.seed = Some(number(&word, words.next(), 0.0, 1e15)? as u64),
            _ => return Err(format!("{word} is no option; the head of beat_spread.rs lists them")),
        }
    }
    Ok(asked)
}

/// Reads a link such as `http://192.168.1.5:8470/conduct?key=...`.
fn place(link: &str, code: &str) -> Option<Place> {
    let (addr, key) = link.strip_prefix("http://")?.split_once("/conduct?key=")?;
    Some(Place { addr: addr.parse().ok()?, code: code.to_owned(), key: key.to_owned() })
}

fn number(option: &str, word: Option<String>, low: f64, high: f64) -> Result<f64, String> {
    let word = word.ok_or_else(|| format!("{option} needs a number"))?;
    let value: f64 = word.parse().map_err(|_| format!("{option} needs a number, but has {word}"))?;
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(format!("{option} must be from {low} to {high}, but is {value}"))
    }
}

/// One JSON object, or a line a figure; milliseconds to the microsecond.
fn show(figures: &impl Serialize, is_json: bool) {
    let serde_json::Value::Object(mut figures) =
        serde_json::to_value(figures).expect("figures are plain numbers")
    else {
        unreachable!("figures have names")
    };
    for value in figures.values_mut().filter(|value| value.is_f64()) {
        let rounded = value.as_f64().map(|x| (1000.0 * x).round() / 1000.0);
        *value = serde_json::json!(rounded);
    }
    if is_json {
        println!("{}", serde_json::Value::Object(figures));
        return;
    }
    for (name, value) in figures {
        println!("{name:24} {value:>10}");
    }
}
