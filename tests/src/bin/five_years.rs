//! Makes the records of years of weekly rehearsals of a large band and measures what they take: `five_years [--years N] [--players N]
//! [--term N] [--json]`. What the figures mean stands beside them in `windrow_tests::five_years`. It keeps the records of the last run
//! beside the program; `--again` measures them once more without making them.

#![forbid(unsafe_code)]

use serde_json::json;
use std::process::ExitCode;
use windrow_tests::five_years::{Years, make, measure};

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let has = |name: &str| words.iter().any(|word| word == name);
    let number = |name: &str, usual: u16| {
        let place = words.iter().position(|word| word == name);
        place.and_then(|i| words.get(i + 1)?.parse().ok()).unwrap_or(usual)
    };
    let years = Years {
        n_years: number("--years", 5),
        n_players: number("--players", 40),
        n_weeks_of_term: number("--term", 12),
    };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let Ok(own) = std::env::current_exe() else { return ExitCode::FAILURE };
    let data_dir = own.with_file_name("five-years");
    if !has("--again") {
        // An error means that there was none.
        let _ = std::fs::remove_dir_all(&data_dir);
        eprintln!("records: {}", data_dir.display());
        let made = runtime.block_on(make(&data_dir, years, |what| eprintln!("{what}")));
        if let Err(error) = made {
            eprintln!("five_years: {error}");
            return ExitCode::FAILURE;
        }
    }
    let found = runtime.block_on(measure(&data_dir));
    if has("--json") {
        println!("{}", json!(found));
        return ExitCode::SUCCESS;
    }
    println!(
        "{} rehearsals, {} practices, {} people, {} pulses; the file has {:.1} MB",
        found.n_rehearsals,
        found.n_practices,
        found.n_people,
        found.n_pulses,
        found.file_bytes as f64 / 1e6
    );
    for table in &found.tables {
        println!("{:32} {:>10} rows {:>8.1} MB", table.name, table.n_rows, table.bytes as f64 / 1e6);
    }
    println!("bytes a pulse: {:.1} in all tables of pulses", found.bytes_a_pulse);
    println!(
        "start {:.2} s, integrity check {:.2} s, copy by VACUUM INTO {:.2} s",
        found.start_s, found.check_s, found.copy_s
    );
    for page in &found.pages {
        println!(
            "{:52} {:>9} bytes, first {:>8.1} ms, then {:>8.1} ms; bare SQL {:>7} rows {:>8.1} ms; {:.1} times",
            page.name, page.bytes, page.first_ms, page.ms, page.sql_rows, page.sql_ms, page.ratio
        );
    }
    ExitCode::SUCCESS
}
