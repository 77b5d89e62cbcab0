//! `windrow practice`: what was practised alone on this computer, and handing it in to the teacher's. It must know no rule of a practice.

mod hand_in;
mod shelf;

pub(super) use hand_in::{HandIn, hand_in};
pub(super) use shelf::{Shelf, minutes, write};

use crate::roster::dates::in_full;
use crate::serving::default_data_dir;
use clap::{Args, Subcommand};
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::units::Name;

/// Options of `windrow practice`.
#[derive(Debug, Clone, Args)]
pub struct PracticeOptions {
    /// What to do.
    #[command(subcommand)]
    pub command: PracticeCommand,
}

/// What to do with practices.
#[derive(Debug, Clone, Subcommand)]
pub enum PracticeCommand {
    /// Name what was practised with "windrow play --solo": when, how long, the highest rung held, and whether it is handed in.
    List {
        /// Directory in which it is kept [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
    },
    /// Hand practices in to the room of your teacher, all that are not handed in yet or the files named. The same practice twice counts once.
    HandIn {
        /// Files, and last the room's address: the link that the conductor shows, with the code.
        #[arg(required = true, value_name = "[FILE...] URL")]
        to: Vec<String>,
        /// Your name in the section's list, or a nickname; asked for once, then the room knows this computer.
        #[arg(long, value_name = "NAME", value_parser = crate::config::name)]
        name: Option<Name>,
        /// Instrument, for the same.
        #[arg(long, value_name = "INSTRUMENT", value_parser = super::play::instrument)]
        instrument: Option<Instrument>,
        /// Whom to trust over https: the file certificate/authority.pem in the server's data directory.
        #[arg(long, value_name = "FILE")]
        trust: Option<PathBuf>,
        /// Directory in which practices are kept [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
    },
}

/// Lists or hands in.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub fn run(options: PracticeOptions) -> anyhow::Result<ExitCode> {
    match options.command {
        PracticeCommand::List { data } => list(data),
        PracticeCommand::HandIn { mut to, name, instrument, trust, data } => {
            let url = to.pop().unwrap_or_default();
            let files: Vec<PathBuf> = to.into_iter().map(PathBuf::from).collect();
            let shelf = Shelf::in_data(&data_dir(data)?);
            let files = if files.is_empty() { shelf.waiting()? } else { files };
            let what = HandIn { url, files, name, instrument, trust };
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
            runtime.block_on(hand_in(&shelf, what))
        }
    }
}

/// Where things are kept, if nobody says otherwise.
pub(super) fn data_dir(data: Option<PathBuf>) -> anyhow::Result<PathBuf> {
    Ok(match data {
        Some(dir) => dir,
        None => default_data_dir()?,
    })
}

fn list(data: Option<PathBuf>) -> anyhow::Result<ExitCode> {
    let shelf = Shelf::in_data(&data_dir(data)?);
    let mut out = std::io::stdout().lock();
    let all = shelf.all()?;
    if all.is_empty() {
        writeln!(out, "Nothing has been practised here yet: \"windrow play --solo PLAN\" begins.")?;
    }
    for kept in all {
        let name = kept.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match kept.practice {
            Ok(practice) => {
                let title = if practice.plan_title.is_empty() { "Warm-up" } else { &practice.plan_title };
                let rung =
                    shelf::highest_rung(&practice).map_or_else(String::new, |rung| format!(", held {rung}"));
                let handed = if kept.is_handed_in { "handed in" } else { "not handed in" };
                let date = in_full(practice.began_unix_ms);
                writeln!(out, "{date}  {title}, {}{rung}, {handed}\n    {name}", minutes(&practice))?;
            }
            Err(why) => writeln!(out, "{name}: {why:#}")?,
        }
    }
    Ok(ExitCode::SUCCESS)
}
