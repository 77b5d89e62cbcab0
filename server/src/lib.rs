//! The classroom server. `http` speaks to pages and devices, `room` holds the rules of a rehearsal, `store` keeps what
//! must not be lost; `player` and `commands` alone know what sound is.

#![forbid(unsafe_code)]

mod access;
pub mod charts;
mod clock;
pub mod commands;
pub mod config;
pub mod error;
#[cfg(any(test, feature = "fuzzing"))]
#[doc(hidden)]
pub mod fuzzing;
mod handles;
mod hex;
mod http;
mod imaginary;
pub mod invented;
pub mod log;
mod metrics;
mod plan;
pub mod player;
mod practice;
mod reach;
mod records;
mod room;
mod rooms;
mod roster;
mod serving;
mod shelf;
pub mod store;
mod tls;
mod upkeep;
mod version;
mod warning;
mod weeks;

pub use http::route_names;
pub use reach::{Network, NetworkSource};
pub use serving::{Running, Server, default_data_dir, new_key};
pub use tls::TlsError;
pub use windrow_words as words;

pub use clap::{CommandFactory, Parser};
use config::{Cli, Command};
use std::process::ExitCode;

/// The whole program: reads the command line, hands over to one subcommand, and says what went wrong if it did.
pub fn run_program() -> ExitCode {
    let cli = Cli::parse();
    log::to_stderr(cli.log_format);
    let done = match cli.command {
        Command::Serve(options) => commands::serve::run(options),
        Command::Passphrase(options) => commands::passphrase::run(options),
        Command::Roster(options) => commands::roster::run(options),
        Command::Backup(options) => commands::backup::run(options),
        Command::Restore(options) => commands::restore::run(options),
        Command::Plan(options) => commands::plan::run(options),
        Command::Records(options) => commands::records::run(options),
        Command::Demo(options) => commands::demo::run(options),
        Command::Play(options) => commands::play::run(options),
        Command::Practice(options) => commands::practice::run(options),
        Command::Measure(options) => commands::measure::run(options),
    };
    match done {
        Ok(code) => code,
        Err(error) => {
            eprintln!("windrow: {}", words::printable(&format!("{error:#}")));
            ExitCode::FAILURE
        }
    }
}
