//! `windrow demo`: a room with an invented section that plays by itself.

use clap::Args;
use std::process::ExitCode;

/// Options of `windrow demo`.
#[derive(Debug, Clone, Args)]
pub struct DemoOptions {}

/// Runs the demonstration.
///
/// # Errors
/// Whatever kept it from running, ready to be shown.
pub fn run(_options: DemoOptions) -> anyhow::Result<ExitCode> {
    Ok(ExitCode::SUCCESS)
}
