//! `windrow plan import`: a plan of a line of music in MusicXML. Files and words alone.

use super::{bytes_of, in_utf8};
use crate::plan::{check, from_musicxml_part, is_zipped, unzipped, write};
use crate::words::{Words, english};
use anyhow::{Context, ensure};
use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

/// Reads the file, says on standard error what was not used, and writes the plan.
pub(super) fn run(file: &Path, part: Option<&str>, out: Option<&Path>) -> anyhow::Result<ExitCode> {
    let bytes = bytes_of(file)?;
    let none = || format!("no line can be made of {}", file.display());
    let text = if is_zipped(&bytes) { unzipped(&bytes).with_context(none)? } else { in_utf8(bytes, file)? };
    let imported = from_musicxml_part(&text, part).with_context(none)?;
    let ignored = imported.ignored.clone();
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let plan = imported.into_plan(&stem, Words::default());
    let wrong: Vec<String> = check(&plan).iter().map(ToString::to_string).collect();
    ensure!(wrong.is_empty(), "what {} holds cannot be played: {}", file.display(), wrong.join("; "));
    let text = write(&plan);
    match out {
        Some(out) => {
            std::fs::write(out, &text).with_context(|| format!("cannot write {}", out.display()))?;
        }
        None => std::io::stdout().write_all(text.as_bytes())?,
    }
    for sentence in ignored {
        eprintln!("not as in the file: {}", english(&sentence));
    }
    if let Some(out) = out {
        eprintln!("wrote the plan \"{}\" to {}", plan.name, out.display());
    }
    Ok(ExitCode::SUCCESS)
}
