//! `windrow plan`: what plans there are, what stands in one, whether a file is a good one. It must know no room.

mod import;
mod sheet;
mod show;

use crate::plan::{BadPlan, Plan, built_in, built_in_named, length, minutes, read, warnings};
use crate::store::Store;
use crate::words::{Language, Words, english, printable};
use anyhow::{Context, ensure};
use clap::{Args, Subcommand};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Options of `windrow plan`.
#[derive(Debug, Clone, Args)]
pub struct PlanOptions {
    /// What to do.
    #[command(subcommand)]
    pub command: PlanCommand,
}

/// What to do with plans.
#[derive(Debug, Clone, Subcommand)]
pub enum PlanCommand {
    /// Name the plans that come with Windrow, with what each takes.
    List {
        /// Name the plans kept in this data directory as well.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
        /// Name them in this language: en or de.
        #[arg(long, value_name = "LANGUAGE", default_value = "en")]
        language: Language,
    },
    /// Print a plan to read: its parts, exercises, tempos, goals and rests.
    Show {
        /// Name of a plan, or a plan's file.
        plan: String,
        /// Look among the plans kept in this data directory as well.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
        /// Tell it in this language: en or de. A plan of your own stays in the one it is written in.
        #[arg(long, value_name = "LANGUAGE", default_value = "en")]
        language: Language,
    },
    /// Say whether a file is a good plan; if not, what is wrong and where.
    Check {
        /// The file; "-" reads standard input.
        file: PathBuf,
    },
    /// Print the JSON Schema (draft 2020-12) of a plan's file.
    Schema,
    /// Make a page to print of a plan: exercises as notes, a practice log, the cautions. One HTML file that needs no other.
    Sheet(sheet::SheetOptions),
    /// Make a plan of a line of music in MusicXML, plain or compressed (.mxl).
    Import {
        /// The file; "-" reads standard input.
        file: PathBuf,
        /// Name of the part, or its number from 1 [default: the first].
        #[arg(long, value_name = "PART")]
        part: Option<String>,
        /// Write the plan to this file [default: standard output].
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
}

/// Lists, shows, checks or imports.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub fn run(options: PlanOptions) -> anyhow::Result<ExitCode> {
    match options.command {
        PlanCommand::List { data, language } => list(data.as_deref(), Words::new(language)),
        PlanCommand::Show { plan, data, language } => {
            let plan = find(&plan, data.as_deref(), language)?;
            say(&show::page(&plan, Words::new(language)))
        }
        PlanCommand::Check { file } => check(&file),
        PlanCommand::Sheet(options) => sheet::run(&options),
        PlanCommand::Schema => say(crate::plan::SCHEMA),
        PlanCommand::Import { file, part, out } => import::run(&file, part.as_deref(), out.as_deref()),
    }
}

fn say(text: &str) -> anyhow::Result<ExitCode> {
    std::io::stdout().write_all(printable(text).as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

/// A file, or standard input for "-".
fn bytes_of(file: &Path) -> anyhow::Result<Vec<u8>> {
    if file == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut std::io::stdin(), &mut bytes)
            .context("cannot read standard input")?;
        Ok(bytes)
    } else {
        std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))
    }
}

fn in_utf8(bytes: Vec<u8>, file: &Path) -> anyhow::Result<String> {
    String::from_utf8(bytes)
        .map_err(|_| anyhow::anyhow!("{} is not text in UTF-8: save it as such", file.display()))
}

fn text_of(file: &Path) -> anyhow::Result<String> {
    in_utf8(bytes_of(file)?, file)
}

fn n_exercises(plan: &Plan, words: Words) -> String {
    words.of("show-exercises").arg("n", plan.exercises.len()).to_string()
}

fn list(data: Option<&Path>, words: Words) -> anyhow::Result<ExitCode> {
    let mut text = String::new();
    for plan in built_in(words.language()) {
        text.push_str(&entry(plan, words));
    }
    if let Some(dir) = data {
        for (name, plan) in kept(dir)? {
            match plan {
                Ok(plan) => text.push_str(&entry(&plan, words)),
                Err(bad) => text.push_str(&format!("{name}\n    cannot be read: {bad}\n")),
            }
        }
    }
    say(&text)
}

fn entry(plan: &Plan, words: Words) -> String {
    let takes = words.of("list-takes").arg("takes", &plan.takes);
    let takes = if plan.takes.is_empty() { String::new() } else { format!("    {takes}\n") };
    let whole = words.of("list-whole").arg("exercises", n_exercises(plan, words));
    let whole = whole.arg("minutes", words.phrase(&minutes(length(plan).whole_s)));
    format!("{}: {}\n{takes}    {whole}\n", plan.name, plan.title)
}

/// The plans of a data directory, by name.
fn kept(dir: &Path) -> anyhow::Result<Vec<(String, Result<Plan, BadPlan>)>> {
    ensure!(Store::is_in(dir), "there are no records in {}", dir.display());
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    let rows = runtime.block_on(async {
        let store = Store::open(dir).await?;
        let rows = store.plans().await;
        store.close().await;
        rows
    });
    let rows = rows.with_context(|| format!("cannot read the records in {}", dir.display()))?;
    Ok(rows.into_iter().map(|row| (row.name, read(&row.text))).collect())
}

/// A plan by its name, or from a file.
pub(super) fn find(plan: &str, data: Option<&Path>, language: Language) -> anyhow::Result<Plan> {
    if let Some(dir) = data
        && let Some((_, found)) = kept(dir)?.into_iter().find(|(name, _)| name == plan)
    {
        return found.with_context(|| format!("\"{plan}\" is not a plan that can be read"));
    }
    if let Some(found) = built_in_named(plan, language) {
        return Ok(found.clone());
    }
    let file = Path::new(plan);
    ensure!(
        file.exists() || plan == "-",
        "there is no plan \"{plan}\" and no such file: \"windrow plan list\" names the plans there are"
    );
    read(&text_of(file)?).with_context(|| format!("{plan} is not a good plan"))
}

/// A bad plan is an answer, not an error of the program: it stands on standard output, and the exit code says so.
fn check(file: &Path) -> anyhow::Result<ExitCode> {
    let text = text_of(file)?;
    let name = file.display();
    match read(&text) {
        Ok(plan) => {
            let n_exercises = n_exercises(&plan, Words::default());
            let once = english(&minutes(length(&plan).whole_s));
            let mut said = format!("{name} is a good plan: {n_exercises}, {once}\n");
            for warning in warnings(&plan) {
                said.push_str(&format!("  to think about: {}\n", english(&warning)));
            }
            say(&said)
        }
        Err(bad) => {
            let lines: String = bad.found().iter().map(|complaint| format!("  {complaint}\n")).collect();
            say(&format!("{name} cannot be played as it is:\n{lines}"))?;
            Ok(ExitCode::FAILURE)
        }
    }
}
