//! The `windrow` program once more, for tests that have to start it and kill it: cargo builds a package's own programs
//! before its tests, but not another package's. `WINDROW_TEST_KEY` gives `serve` a key for programs, which the real one
//! never has.

use std::process::ExitCode;
use windrow::Parser;
use windrow::config::{Cli, Command};

fn main() -> ExitCode {
    let key = std::env::var("WINDROW_TEST_KEY").ok();
    match (key, Cli::try_parse()) {
        (Some(key), Ok(Cli { command: Command::Serve(options) })) => {
            match windrow::commands::serve::run_with_key(options, Some(key)) {
                Ok(code) => code,
                Err(error) => {
                    eprintln!("windrow: {error:#}");
                    ExitCode::FAILURE
                }
            }
        }
        _ => windrow::run_program(),
    }
}
