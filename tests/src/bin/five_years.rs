//! Makes the records of years of weekly rehearsals of a large band and measures what they take. What the figures mean stands beside
//! them in `windrow_tests::five_years`. It keeps the records of the last run beside the program.

#![forbid(unsafe_code)]

use clap::Parser;
use serde_json::json;
use std::process::ExitCode;
use windrow_tests::five_years::{Years, make, measure};

/// What years of rehearsals take: room on the disk, and time to open a page.
#[derive(Debug, Parser)]
#[command(name = "five_years")]
struct Asked {
    /// Years of rehearsals, one a week of term.
    #[arg(long, value_name = "N", default_value_t = 5)]
    years: u16,
    /// Players of the band.
    #[arg(long, value_name = "N", default_value_t = 40)]
    players: u16,
    /// Weeks of a term.
    #[arg(long, value_name = "N", default_value_t = 12)]
    term: u16,
    /// Measures the records of the last run once more, without making them.
    #[arg(long)]
    again: bool,
    /// One object, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    let asked = Asked::parse();
    let years = Years { n_years: asked.years, n_players: asked.players, n_weeks_of_term: asked.term };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let Ok(own) = std::env::current_exe() else { return ExitCode::FAILURE };
    let data_dir = own.with_file_name("five-years");
    if !asked.again {
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
    if asked.json {
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
