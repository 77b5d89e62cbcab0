//! `windrow records`: rehearsals as files and back, without a browser. A server may be running on the same records meanwhile. It must
//! know no room.

use crate::records::{
    CannotGather, Document, PULSES, RESULTS, SCHEMA, columns_text, document_of, head, pulse_lines, read,
    rehearsal_ids, result_lines, take_in, without_names,
};
use crate::serving::default_data_dir;
use crate::store::Store;
use crate::words::{Language, Words};
use anyhow::{Context, ensure};
use clap::{Args, Subcommand};
use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Options of `windrow records`.
#[derive(Debug, Clone, Args)]
pub struct RecordsOptions {
    /// What to do.
    #[command(subcommand)]
    pub command: RecordsCommand,
}

/// What to do with rehearsals.
#[derive(Debug, Clone, Subcommand)]
pub enum RecordsCommand {
    /// Write rehearsals as files: into a directory (results.csv, pulses.csv, columns.txt and a JSON file for each), or into one file
    /// that ends in .jsonl (everything, a rehearsal on each line).
    Export {
        /// The directory, which is made if it is missing, or the file.
        to: PathBuf,
        /// Directory with the records [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
        /// This section alone.
        #[arg(long, value_name = "NAME")]
        section: Option<String>,
        /// This rehearsal alone, by its id as in its address.
        #[arg(long, value_name = "ID", conflicts_with = "section")]
        rehearsal: Option<String>,
        /// Call players by their chairs.
        #[arg(long)]
        without_names: bool,
        /// Name exercises in this language: en or de.
        #[arg(long, value_name = "LANGUAGE", default_value = "en")]
        language: Language,
    },
    /// Take in rehearsals of another Windrow from such JSON files. What is here already is not taken twice.
    Import {
        /// The files (.json or .jsonl).
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// Directory with the records [default: the place your system keeps such data].
        #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
        data: Option<PathBuf>,
    },
    /// Print the JSON Schema (draft 2020-12) of a rehearsal's file.
    Schema,
}

/// Exports or imports.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub fn run(options: RecordsOptions) -> anyhow::Result<ExitCode> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        match options.command {
            RecordsCommand::Export { to, data, section, rehearsal, without_names, language } => {
                let store = open(data, false).await?;
                let ids = match rehearsal {
                    Some(id) => vec![id],
                    None => {
                        rehearsal_ids(&store, section.as_deref()).await.context("cannot read the records")?
                    }
                };
                let export = Export { store, ids, is_nameless: without_names, words: Words::new(language) };
                let is_file = to.extension().is_some_and(|ending| ending == "jsonl");
                let said = if is_file { export.into_file(&to).await } else { export.into_dir(&to).await }?;
                say(&said)
            }
            RecordsCommand::Import { files, data } => {
                let store = open(data, true).await?;
                for file in &files {
                    let said = bring_in(&store, file).await?;
                    say(&format!("{}: {said}\n", file.display()))?;
                }
                store.close().await;
                Ok(ExitCode::SUCCESS)
            }
            RecordsCommand::Schema => say(SCHEMA),
        }
    })
}

fn say(text: &str) -> anyhow::Result<ExitCode> {
    std::io::stdout().write_all(text.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

async fn open(data: Option<PathBuf>, may_make: bool) -> anyhow::Result<Store> {
    let dir = match data {
        Some(dir) => dir,
        None => default_data_dir()?,
    };
    ensure!(
        may_make || Store::is_in(&dir),
        "there are no records in {}: say with --data where they are",
        dir.display()
    );
    fs::create_dir_all(&dir).with_context(|| format!("cannot make {}", dir.display()))?;
    Store::open(&dir).await.with_context(|| format!("cannot open the records in {}", dir.display()))
}

struct Export {
    store: Store,
    ids: Vec<String>,
    is_nameless: bool,
    words: Words,
}

impl Export {
    /// One rehearsal after the other: five years need no more memory than one evening.
    async fn document(&self, id: &str) -> anyhow::Result<Option<Document>> {
        let found: Result<Option<Document>, CannotGather> = document_of(&self.store, id).await;
        let mut found = found.with_context(|| format!("cannot read the rehearsal {id}"))?;
        if let Some(document) = found.as_mut().filter(|_| self.is_nameless) {
            without_names(document, self.words);
        }
        ensure!(found.is_some() || self.ids.len() > 1, "there is no rehearsal {id}");
        Ok(found)
    }

    async fn into_file(self, to: &Path) -> anyhow::Result<String> {
        let mut file = create(to)?;
        let mut n = 0;
        for id in &self.ids {
            let Some(document) = self.document(id).await? else { continue };
            write_line(&mut file, &document).with_context(not_whole(to))?;
            n += 1;
        }
        file.flush().with_context(not_whole(to))?;
        Ok(format!("{} written to {}.\n", rehearsals(n), to.display()))
    }

    async fn into_dir(self, to: &Path) -> anyhow::Result<String> {
        fs::create_dir_all(to).with_context(|| format!("cannot make {}", to.display()))?;
        let (mut results, mut pulses) = (create(&to.join("results.csv"))?, create(&to.join("pulses.csv"))?);
        results.write_all(head(&RESULTS).as_bytes()).with_context(not_whole(to))?;
        pulses.write_all(head(&PULSES).as_bytes()).with_context(not_whole(to))?;
        let mut n = 0;
        for id in &self.ids {
            let Some(document) = self.document(id).await? else { continue };
            results.write_all(result_lines(&document, self.words).as_bytes()).with_context(not_whole(to))?;
            pulses.write_all(pulse_lines(&document).as_bytes()).with_context(not_whole(to))?;
            let day = document.sessions.first().and_then(|s| s.time_nought_utc.get(..10)).unwrap_or_default();
            let mut file = create(&to.join(format!("{day}-{}.json", document.rehearsal_id)))?;
            write_line(&mut file, &document).and_then(|()| file.flush()).with_context(not_whole(to))?;
            n += 1;
        }
        results.flush().with_context(not_whole(to))?;
        pulses.flush().with_context(not_whole(to))?;
        let columns = to.join("columns.txt");
        fs::write(&columns, columns_text(self.words))
            .with_context(|| format!("cannot write {}", columns.display()))?;
        Ok(format!(
            "{} written to {}; columns.txt says what stands in which column.\n",
            rehearsals(n),
            to.display()
        ))
    }
}

fn create(file: &Path) -> anyhow::Result<BufWriter<File>> {
    let made = File::create(file).with_context(|| format!("cannot write {}", file.display()))?;
    Ok(BufWriter::new(made))
}

fn write_line(file: &mut impl Write, document: &Document) -> std::io::Result<()> {
    serde_json::to_writer(&mut *file, document)?;
    file.write_all(b"\n")
}

/// What is said where the disk is full.
fn not_whole(to: &Path) -> impl FnOnce() -> String + '_ {
    move || format!("what is in {} is not whole: it could not be written to its end", to.display())
}

fn rehearsals(n: usize) -> String {
    if n == 1 { "1 rehearsal".to_owned() } else { format!("{n} rehearsals") }
}

/// A file with one document, or with one on each line.
async fn bring_in(store: &Store, file: &Path) -> anyhow::Result<String> {
    let opened = File::open(file).with_context(|| format!("cannot read {}", file.display()))?;
    let mut reader = BufReader::new(opened);
    let (mut n_new, mut n_here, mut n_players, mut n_known) = (0, 0, 0, 0);
    let mut n_documents = 0;
    while let Some(text) =
        next_document(&mut reader).with_context(|| format!("cannot read {}", file.display()))?
    {
        let place = || {
            let before = if n_documents == 0 { "nothing was changed" } else { "those before it are here" };
            format!("{}, rehearsal {}, was not taken in; {before}", file.display(), n_documents + 1)
        };
        let document = read(&text).with_context(place)?;
        let taken = take_in(store, document).await.with_context(place)?;
        n_documents += 1;
        n_new += taken.n_new;
        n_here += taken.n_here;
        n_players += taken.n_players;
        n_known += taken.n_known;
    }
    ensure!(n_documents > 0, "{} is empty", file.display());
    Ok(format!(
        "{n_new} new with {n_players} players, {n_known} of them on a list here; {n_here} already here"
    ))
}

/// A line that is a document by itself, else all that is left.
fn next_document(reader: &mut impl BufRead) -> anyhow::Result<Option<String>> {
    loop {
        let mut text = String::new();
        if reader.read_line(&mut text)? == 0 {
            return Ok(None);
        }
        let line = text.trim();
        if line.is_empty() {
            continue;
        }
        if !(line.trim_start_matches('\u{feff}').starts_with('{') && line.ends_with('}')) {
            reader.read_to_string(&mut text)?;
        }
        return Ok(Some(text));
    }
}
