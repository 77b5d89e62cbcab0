//! Kills a server in the middle of a rehearsal many times and looks into its records: `kills [--kills N] [--players N] [--seed N]
//! [--json]`. Fails when anything acknowledged is lost or doubled. Needs the program beside it: `cargo build -p windrow-tests`.

#![forbid(unsafe_code)]

use serde_json::json;
use std::process::ExitCode;
use windrow_tests::killing::{Killing, run};
use windrow_tests::new_data_dir;
use windrow_tests::process::beside_this_one;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |name: &str, usual: u64| {
        let place = words.iter().position(|word| word == name);
        place.and_then(|i| words.get(i + 1)?.parse().ok()).unwrap_or(usual)
    };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let killing = Killing {
        n_kills: u32::try_from(number("--kills", 20)).unwrap_or(u32::MAX),
        n_players: u16::try_from(number("--players", 8)).unwrap_or(u16::MAX),
        seed: number("--seed", 1),
    };
    let data_dir = new_data_dir();
    let program = beside_this_one();
    let found = runtime.block_on(run(&program, &data_dir, killing, |kill| eprintln!("kill {kill}")));
    // What is wrong can be looked at.
    if found.is_well() {
        let _ = std::fs::remove_dir_all(&data_dir);
    } else {
        eprintln!("kills: the records are in {}", data_dir.display());
    }
    if words.iter().any(|word| word == "--json") {
        println!("{}", json!(found));
    } else {
        println!(
            "{} kills, {} players: {} pulses and {} results of spans acknowledged, {} sent again, {} of them safe already; {} runs",
            found.n_kills,
            killing.n_players,
            found.n_pulses_acknowledged,
            found.n_spans_acknowledged,
            found.n_sent_again,
            found.n_safe_without_word,
            found.n_runs,
        );
        for (what, list) in [
            ("lost", &found.lost),
            ("doubled", &found.doubled),
            ("damaged", &found.damaged),
            ("wrong", &found.wrong),
        ] {
            println!("{what}: {}", if list.is_empty() { "nothing".to_owned() } else { list.join("; ") });
        }
    }
    if found.is_well() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
