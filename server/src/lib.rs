//! The classroom server. `http` speaks to pages and devices, `room` holds the rules of a rehearsal, `store` keeps what
//! must not be lost; `player` and `commands` alone know what sound is.

mod access;
pub mod charts;
mod clock;
pub mod commands;
pub mod config;
pub mod error;
mod hex;
mod http;
mod imaginary;
pub mod invented;
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
mod warning;
mod weeks;

pub use http::route_names;
pub use reach::{Network, NetworkSource};
pub use serving::{Running, Server, default_data_dir, new_key};
pub use tls::TlsError;
pub use windrow_words as words;

pub use clap::Parser;
use config::{Cli, Command};
use std::process::ExitCode;

/// The whole program: reads the command line, hands over to one subcommand, and says what went wrong if it did.
pub fn run_program() -> ExitCode {
    log_to_stderr();
    let done = match Cli::parse().command {
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

/// Sends the log to standard error. `WINDROW_LOG` chooses what is said, such as `windrow=debug`; warnings alone
/// otherwise, since standard error is also where people read what went wrong; those of the sound decoder are left out,
/// since `measure` says the same in plain words, and statements that take their time, which help nobody there.
fn log_to_stderr() {
    let filter = tracing_subscriber::EnvFilter::try_from_env("WINDROW_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("warn,symphonia=off,sqlx::query=off"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
}
