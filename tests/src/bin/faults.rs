//! Breaks what can break under a rehearsal and says what came of it. Fails when anything acknowledged is lost or doubled, or a fault
//! was not survived. Needs the program beside it: `cargo build -p windrow-tests`.

#![forbid(unsafe_code)]

use clap::Parser;
use serde_json::json;
use std::process::ExitCode;
use windrow_tests::faults::{Row, Trying, p95, run};
use windrow_tests::killing::{self, Found, Killing};
use windrow_tests::new_data_dir;
use windrow_tests::process::beside_this_one;

/// Kills a server under a section, fills its disk, cuts its network and more, and looks for all that it had acknowledged.
#[derive(Debug, Parser)]
#[command(name = "faults")]
struct Asked {
    /// Times that a server is killed at some moment; 0 leaves that out.
    #[arg(long, value_name = "N", default_value_t = 20)]
    kills: u32,
    /// Servers that are killed beside each other.
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u32).range(1..))]
    servers: u32,
    /// Players on each server.
    #[arg(long, value_name = "N", default_value_t = 4, value_parser = clap::value_parser!(u16).range(1..))]
    players: u16,
    /// Devices whose network is cut and comes back all at once.
    #[arg(long, value_name = "N", default_value_t = 1000)]
    storm: u16,
    /// Of the moments' chance.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u32,
    /// Only faults with this word in their name; "kills" for the kills alone.
    #[arg(long, value_name = "WORD")]
    only: Option<String>,
    /// Also what takes minutes.
    #[arg(long)]
    long: bool,
    /// One object, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    let asked = Asked::parse();
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let (dir, program) = (new_data_dir(), beside_this_one());
    let killing = Killing {
        n_kills: asked.kills,
        n_players: asked.players,
        n_servers: asked.servers,
        seed: u64::from(asked.seed),
    };
    let trying = Trying {
        program: program.clone(),
        dir: dir.clone(),
        n_players: killing.n_players,
        n_storm: asked.storm,
        long: asked.long,
        only: asked.only,
    };
    let wants_kills =
        killing.n_kills > 0 && trying.only.as_ref().is_none_or(|only| "kills".contains(only.as_str()));
    let (found, rows) = runtime.block_on(async {
        let found = match wants_kills {
            true => {
                let show = |left: u32, what: &str| eprintln!("killed while {what}, {left} to come");
                killing::run(&program, &dir.join("kills"), killing, show).await
            }
            false => Found::default(),
        };
        (found, run(&trying, |row| eprintln!("{}: {}", row.fault, outcome(row))).await)
    });
    let is_well = found.is_well() && rows.iter().all(|row| row.survived && row.lost + row.doubled == 0);
    // What is wrong can be looked at.
    if is_well {
        let _ = std::fs::remove_dir_all(&dir);
    } else {
        eprintln!("faults: the records are in {}", dir.display());
    }
    if asked.json {
        println!("{}", as_json(&found, &rows));
    } else {
        print(&found, &rows);
    }
    if is_well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn as_json(found: &Found, rows: &[Row]) -> serde_json::Value {
    json!({
        "kills": found.n_kills,
        "kills_while": found.kills_while,
        "acknowledged": found.n_pulses_acknowledged + found.n_spans_acknowledged,
        "lost": found.lost.len(),
        "doubled": found.doubled.len(),
        "damaged": found.damaged.len(),
        "wrong": found.wrong,
        "sent_again": found.n_sent_again,
        "safe_without_word": found.n_safe_without_word,
        "recovered_p95_ms": p95(&found.recovered_ms).map(f64::round),
        "recovered_max_ms": found.recovered_ms.iter().copied().reduce(f64::max).map(f64::round),
        "faults": rows,
    })
}

fn outcome(row: &Row) -> &'static str {
    match (row.skipped, row.survived) {
        (true, _) => "not tried",
        (false, true) => "survived",
        (false, false) => "NOT survived",
    }
}

fn print(found: &Found, rows: &[Row]) {
    if found.n_kills > 0 {
        let p95 = p95(&found.recovered_ms).map_or_else(|| "-".to_owned(), |ms| format!("{ms:.0} ms"));
        println!(
            "{} kills ({}): {} pulses and {} results of spans acknowledged, {} lost, {} doubled, {} files damaged; {} sent again, \
             {} of them safe already; all back within {p95} (95 %)",
            found.n_kills,
            found.kills_while.iter().map(|(what, n)| format!("{n} {what}")).collect::<Vec<_>>().join(", "),
            found.n_pulses_acknowledged,
            found.n_spans_acknowledged,
            found.lost.len(),
            found.doubled.len(),
            found.damaged.len(),
            found.n_sent_again,
            found.n_safe_without_word,
        );
        for text in found.lost.iter().chain(&found.doubled).chain(&found.damaged).chain(&found.wrong) {
            println!("  {text}");
        }
    }
    println!("fault | tried | outcome | lost | all as before after");
    for row in rows {
        let took = row.recovered_ms.map_or_else(|| "-".to_owned(), |ms| format!("{:.1} s", ms / 1e3));
        println!("{} | {} | {} | {} | {took}", row.fault, row.tried, outcome(row), row.lost + row.doubled);
        for text in &row.told {
            println!("    read: {text}");
        }
        for text in &row.remarks {
            println!("    {text}");
        }
    }
}
