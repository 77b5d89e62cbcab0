//! `windrow measure`: the vibrato in sound files, as a table or as JSON.

use clap::Args;
use std::process::ExitCode;

/// Options of `windrow measure`.
#[derive(Debug, Clone, Args)]
pub struct MeasureOptions {}

/// Measures the files.
///
/// # Errors
/// Whatever kept it from running, ready to be shown.
pub fn run(_options: MeasureOptions) -> anyhow::Result<ExitCode> {
    Ok(ExitCode::SUCCESS)
}
