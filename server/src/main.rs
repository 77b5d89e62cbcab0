//! The `windrow` program: reads the command line and hands over to one subcommand. It must hold no rule of its own.

use clap::Parser;
use std::process::ExitCode;
use windrow::config::{Cli, Command};

fn main() -> ExitCode {
    windrow::log_to_stderr();
    let done = match Cli::parse().command {
        Command::Serve(options) => windrow::commands::serve::run(options),
        Command::Demo(options) => windrow::commands::demo::run(options),
        Command::Measure(options) => windrow::commands::measure::run(options),
    };
    match done {
        Ok(code) => code,
        Err(error) => {
            eprintln!("windrow: {error:#}");
            ExitCode::FAILURE
        }
    }
}
