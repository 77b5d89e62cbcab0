//! Every setting of the program, as one documented field each. It reads the command line and the environment and
//! knows nothing of what is done with them.

mod reach;

pub use reach::{Https, LOCAL_NAME, ReachConfig, ReachOptions};

use crate::commands::backup::BackupOptions;
use crate::commands::passphrase::PassphraseOptions;
use crate::commands::plan::PlanOptions;
use crate::commands::practice::PracticeOptions;
use crate::commands::records::RecordsOptions;
use crate::commands::restore::RestoreOptions;
use crate::commands::roster::RosterOptions;
use crate::commands::{demo::DemoOptions, measure::MeasureOptions, play::PlayOptions};
use crate::log::LogFormat;
use crate::words::Language;
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;
use windrow_protocol::units::{Hertz, Name};

/// A classroom server for a wind section that is learning to vibrate together.
#[derive(Debug, Parser)]
#[command(name = "windrow", version = crate::version::in_full())]
pub struct Cli {
    /// How the log is written to standard error; what it says is chosen by WINDROW_LOG, such as info or windrow=debug.
    #[arg(
        long,
        global = true,
        value_enum,
        value_name = "FORMAT",
        default_value = "text",
        env = "WINDROW_LOG_FORMAT"
    )]
    pub log_format: LogFormat,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Run a room for your section.
    Serve(ServeOptions),
    /// Set another passphrase for the conductor; whoever is signed in is signed out.
    Passphrase(PassphraseOptions),
    /// Bring a section's list in from a file, or write it to one.
    Roster(RosterOptions),
    /// Copy the records into one file, also while the server is running.
    Backup(BackupOptions),
    /// Bring a backup back, also while the server is running.
    Restore(RestoreOptions),
    /// Look at plans, check a file of one, make one of written music.
    Plan(PlanOptions),
    /// Write rehearsals as files for spreadsheets, scripts and another Windrow, or take such files in.
    Records(RecordsOptions),
    /// Run a room with an invented section that plays by itself.
    Demo(DemoOptions),
    /// Play along in a room without a browser, or practise alone: with a recording or this computer's microphone.
    Play(PlayOptions),
    /// List what was practised alone, and hand it in.
    Practice(PracticeOptions),
    /// Measure vibrato in sound files.
    Measure(MeasureOptions),
}

/// Options of `windrow serve`.
#[derive(Debug, Clone, Args)]
pub struct ServeOptions {
    /// Directory for the records and the certificate [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
    pub data: Option<PathBuf>,
    /// How devices get here.
    #[command(flatten)]
    pub reach: ReachOptions,
    /// Do not print the pattern for cameras.
    #[arg(long)]
    pub no_qr: bool,
    /// Name of the section or ensemble; given several times, each has a room of its own [default: the one that was in the room
    /// last, else "Our section"].
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub section: Vec<Name>,
    /// Tuning of A4, from 415 to 446 Hz.
    #[arg(long, value_name = "HZ", default_value = "440", value_parser = a4_hz)]
    pub a4: Hertz,
    /// Language for devices that ask for none there are texts in: en or de. Each device can choose another one on its page.
    #[arg(long, value_name = "LANGUAGE", default_value = "en", env = "WINDROW_LANGUAGE")]
    pub language: Language,
    /// Days after which a session and all that was recorded in it is erased [default: as the roster page says, else 730].
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(i64).range(1..=3650))]
    pub keep_days: Option<i64>,
    /// File with a token of 24 signs or more, by which other computers may read /metrics; this computer may without.
    #[arg(long, value_name = "FILE", env = "WINDROW_METRICS_TOKEN_FILE")]
    pub metrics_token_file: Option<PathBuf>,
}

/// Name of the section if nobody gives one and none was in a room before.
pub const DEFAULT_SECTION: &str = "Our section";

/// What a server needs to start; the binary, the demo and every test fill it in.
#[derive(Debug, Clone)]
pub struct ServerConfig {
    /// Directory for records, certificate and keys; made if missing.
    pub data_dir: PathBuf,
    /// How devices reach it.
    pub reach: ReachConfig,
    /// Names of the sections or ensembles, each with a room of its own; empty: the one that was in the room last.
    pub sections: Vec<Name>,
    /// Tuning of A4.
    pub a4_hz: Hertz,
    /// Whether pages say that the players are invented.
    pub demo: bool,
    /// For devices that ask for no language there are texts in.
    pub language: Language,
    /// Days after which a session is erased; absent: as the records say.
    pub keep_days: Option<i64>,
    /// A key that opens everything of the conductor's without a passphrase, for programs that run the server in their
    /// own process: the demonstration and tests. Letters and digits alone.
    pub program_key: Option<String>,
    /// By which other computers may read what is counted, over https.
    pub metrics_token: Option<String>,
}

pub(crate) fn name(text: &str) -> Result<Name, String> {
    Name::new(text).map_err(|e| e.to_string())
}

/// Reads a tuning of A4 within the range the analysis takes.
///
/// # Errors
/// A sentence that names the value and the range.
pub fn a4_hz(text: &str) -> Result<Hertz, String> {
    let value: f64 = text.parse().map_err(|_| format!("\"{text}\" is not a number of hertz"))?;
    if (415.0..=446.0).contains(&value) {
        Hertz::new(value).map_err(|e| e.to_string())
    } else {
        Err(format!("A4 must be from 415 to 446 Hz, but is {text}"))
    }
}
