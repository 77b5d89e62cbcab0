//! `windrow roster`: brings a section's list in from a file, or writes it to one, without a browser. It must know no room:
//! a server that is running looks into the same records and notices.

use crate::config::DEFAULT_SECTION;
use crate::roster::{exported, import, preview, usual_section};
use crate::serving::default_data_dir;
use crate::store::Store;
use crate::words::{Language, Words};
use anyhow::{Context, ensure};
use clap::{Args, Subcommand};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use windrow_protocol::units::Name;

/// Options of `windrow roster`.
#[derive(Debug, Clone, Args)]
pub struct RosterOptions {
    /// What to do.
    #[command(subcommand)]
    pub command: RosterCommand,
}

/// What to do with the lists.
#[derive(Debug, Clone, Subcommand)]
pub enum RosterCommand {
    /// Bring players in from a CSV file whose header names "name" and "instrument", and section, chair and part if you like.
    /// A name that is in its section already is brought up to date.
    Import {
        /// The file; "-" reads standard input.
        file: PathBuf,
        /// Directory with the records [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
        /// Section of lines that name none [default: the one that was in the room last].
        #[arg(long, value_name = "NAME", value_parser = crate::config::name)]
        section: Option<Name>,
        /// Say what would change, and change nothing.
        #[arg(long)]
        dry_run: bool,
    },
    /// Write the lists to standard output as CSV.
    Export {
        /// Directory with the records [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
        /// This section alone.
        #[arg(long, value_name = "NAME")]
        section: Option<String>,
    },
}

/// Imports or exports.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub fn run(options: RosterOptions) -> anyhow::Result<ExitCode> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        match options.command {
            RosterCommand::Import { file, data, section, dry_run } => {
                bring_in(&file, data, section, dry_run).await
            }
            RosterCommand::Export { data, section } => write_out(data, section.as_deref()).await,
        }
    })
}

async fn open(data: Option<PathBuf>) -> anyhow::Result<Store> {
    let dir = match data {
        Some(dir) => dir,
        None => default_data_dir()?,
    };
    ensure!(
        Store::is_in(&dir),
        "there are no records in {}: start \"windrow serve\" first, or say with --data where they are",
        dir.display()
    );
    Store::open(&dir).await.with_context(|| format!("cannot open the records in {}", dir.display()))
}

/// Some lines that cannot be read keep the others from nothing, but the program says so by how it ends.
async fn bring_in(
    file: &Path,
    data: Option<PathBuf>,
    section: Option<Name>,
    is_dry_run: bool,
) -> anyhow::Result<ExitCode> {
    let bytes = if file == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::stdin().read_to_end(&mut bytes).context("cannot read standard input")?;
        bytes
    } else {
        std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?
    };
    let store = open(data).await?;
    let section = match section {
        Some(section) => section,
        None => usual_section(&store, DEFAULT_SECTION).await?,
    };
    let preview = preview(&store, &bytes, &section).await;
    let preview = preview.with_context(|| file.display().to_string())?;
    let n_known = preview.is_known.iter().filter(|&&known| known).count();
    let english = Words::new(Language::English);
    let mut said = String::new();
    for error in &preview.sheet.errors {
        said.push_str(&format!("{}\n", english.phrase(error)));
    }
    if !preview.sheet.ignored.is_empty() {
        said.push_str(&format!("Not used: {}.\n", preview.sheet.ignored.join(", ")));
    }
    let n_new = preview.sheet.rows.len() - n_known;
    if is_dry_run {
        said.push_str(&format!("{n_new} would be new, {n_known} brought up to date; nothing was changed.\n"));
    } else {
        import(&store, &preview.sheet.rows).await.context("nothing was changed")?;
        said.push_str(&format!(
            "{n_new} new, {n_known} brought up to date. A server that is running shows it in some seconds.\n"
        ));
    }
    store.close().await;
    std::io::stdout().write_all(said.as_bytes())?;
    Ok(if preview.sheet.errors.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

async fn write_out(data: Option<PathBuf>, section: Option<&str>) -> anyhow::Result<ExitCode> {
    let store = open(data).await?;
    let text = exported(&store, section).await;
    store.close().await;
    std::io::stdout().write_all(text?.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}
