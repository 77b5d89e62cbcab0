//! `windrow plan sheet`: a plan as a page to print, in a file that stands alone.

use super::{find, say};
use crate::plan::{Paper, sheet};
use crate::words::{Language, Words};
use anyhow::Context;
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;
use windrow_protocol::instrument::Instrument;

/// Options of `windrow plan sheet`.
#[derive(Debug, Clone, Args)]
pub struct SheetOptions {
    /// Name of a plan, or a plan's file.
    plan: String,
    /// Write the notes for this instrument, such as alto-sax [default: in concert pitch].
    #[arg(long, value_name = "INSTRUMENT", value_parser = instrument)]
    instrument: Option<Instrument>,
    /// Paper: a4 or letter.
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = paper)]
    paper: Paper,
    /// Write the page to this file [default: standard output].
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Look among the plans kept in this data directory as well.
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Print it in this language: en or de. A plan of your own stays in the one it is written in.
    #[arg(long, value_name = "LANGUAGE", default_value = "en")]
    language: Language,
}

fn instrument(slug: &str) -> Result<Instrument, String> {
    Instrument::from_slug(slug).ok_or_else(|| {
        let slugs: Vec<&str> = Instrument::ALL.iter().map(|instrument| instrument.slug()).collect();
        format!("write one of {}", slugs.join(", "))
    })
}

fn paper(slug: &str) -> Result<Paper, String> {
    Paper::from_slug(slug).ok_or_else(|| "write a4 or letter".to_owned())
}

/// Makes the page.
pub(super) fn run(options: &SheetOptions) -> anyhow::Result<ExitCode> {
    let plan = find(&options.plan, options.data.as_deref(), options.language)?;
    let sheet = sheet(&plan, options.instrument, options.paper, Words::new(options.language));
    let page = sheet.file().context("the page cannot be made")?;
    match &options.out {
        Some(file) => {
            std::fs::write(file, page).with_context(|| format!("cannot write {}", file.display()))?;
            Ok(ExitCode::SUCCESS)
        }
        None => say(&page),
    }
}
