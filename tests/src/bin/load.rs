//! Plays a school's worth of players on a server and on a bare relay of the same bytes, all on this computer, and says how late
//! everything came. Without options: 1,000 players in 40 rooms for 20 s.
//!
//! ```text
//! load [--players N] [--rooms N] [--seconds S] [--idle N] [--tls] [--seed K] [--json]
//! load --find-knee [the same]       more and more players, from N on, until the tempo or the page comes too late
//! ```
//!
//! Use a release build: `cargo run --release -q -p windrow-tests --bin load -- --players 1000`. What the figures mean stands beside
//! them in `windrow_tests::load`.

#![forbid(unsafe_code)]

use serde::Serialize;
use serde_json::Value;
use std::process::ExitCode;
use windrow_tests::load::{Load, find_knee, run, serve_as_relay, shown};
use windrow_tests::process::be_the_program;

/// What the command line asks for.
#[derive(Debug)]
struct Asked {
    load: Load,
    finds_knee: bool,
    is_json: bool,
}

fn main() -> ExitCode {
    // The servers that are measured are this program as well, each in a process of its own.
    match std::env::args().nth(1).as_deref() {
        Some("serve") => return be_the_program(),
        Some("--as-relay") => return serve_as_relay(),
        _ => {}
    }
    let asked = match read(std::env::args().skip(1)) {
        Ok(asked) => asked,
        Err(refusal) => {
            eprintln!("load: {refusal}");
            return ExitCode::from(2);
        }
    };
    let (Ok(runtime), Ok(program)) = (tokio::runtime::Runtime::new(), std::env::current_exe()) else {
        eprintln!("load: no threads can be started, or this program cannot tell where it is");
        return ExitCode::FAILURE;
    };
    let show = |how_far: &str| eprintln!("load: {how_far}");
    if asked.finds_knee {
        let knee = runtime.block_on(find_knee(&program, asked.load, show));
        if asked.is_json {
            println!("{}", rounded(&knee));
        } else {
            println!(
                "{:>8}{:>16}{:>16}{:>12}{:>8}",
                "players", "tempo 99 % (ms)", "page 99 % (ms)", "server", "lost"
            );
            for t in &knee.tries {
                let (tempo, page) = (t.tempo_p99_ms, t.reading_to_page_p99_ms);
                println!(
                    "{:>8}{tempo:>16.1}{page:>16.1}{:>12.2}{:>8}",
                    t.players, t.server_cpu_share, t.lost
                );
            }
            let not = knee.not_borne.map_or("none was too many".to_owned(), |n| format!("{n} were too many"));
            println!("{} players were borne; {not}", knee.borne);
        }
        return ExitCode::SUCCESS;
    }
    let figures = runtime.block_on(run(&program, asked.load, show));
    if asked.is_json {
        println!("{}", rounded(&figures));
    } else {
        print!("{}", shown(&figures));
    }
    if figures.lost == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn read(mut words: impl Iterator<Item = String>) -> Result<Asked, String> {
    let load = Load { n_players: 1000, n_rooms: 40, seconds: 20.0, n_idle: 0, tls: false, seed: 1 };
    let mut asked = Asked { load, finds_knee: false, is_json: false };
    while let Some(word) = words.next() {
        let load = &mut asked.load;
        match word.as_str() {
            "--players" => load.n_players = number(&word, words.next(), 0.0, 15_000.0)? as u32,
            "--rooms" => load.n_rooms = number(&word, words.next(), 1.0, 64.0)? as u32,
            "--seconds" => load.seconds = number(&word, words.next(), 1.0, 3600.0)?,
            "--idle" => load.n_idle = number(&word, words.next(), 0.0, 15_000.0)? as u32,
            "--seed" => load.seed = number(&word, words.next(), 0.0, 1e15)? as u64,
            "--tls" => load.tls = true,
            "--find-knee" => asked.finds_knee = true,
            "--json" => asked.is_json = true,
            _ => return Err(format!("{word} is no option; the head of load.rs lists them")),
        }
    }
    Ok(asked)
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

/// As JSON, to the thousandth.
fn rounded(figures: &impl Serialize) -> Value {
    fn round(value: &mut Value) {
        match value {
            Value::Number(n) if n.is_f64() => {
                *value = serde_json::json!(n.as_f64().map(|x| (1000.0 * x).round() / 1000.0));
            }
            Value::Array(values) => values.iter_mut().for_each(round),
            Value::Object(fields) => fields.values_mut().for_each(round),
            _ => {}
        }
    }
    let mut value = serde_json::to_value(figures).expect("figures are plain");
    round(&mut value);
    value
}
