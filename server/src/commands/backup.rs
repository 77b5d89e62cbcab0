//! `windrow backup`: the records as one file, whether the server is running or not. It must not know what is in them.

use crate::serving::default_data_dir;
use crate::store::{BackedUp, Overwrite, Store, back_up};
use anyhow::{Context, ensure};
use clap::Args;
use std::fmt::Write;
use std::path::PathBuf;
use std::process::ExitCode;

/// Options of `windrow backup`.
#[derive(Debug, Clone, Args)]
pub struct BackupOptions {
    /// The file to make.
    pub file: PathBuf,
    /// Directory with the records [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
    pub data: Option<PathBuf>,
    /// Replace the file if there is one.
    #[arg(long)]
    pub overwrite: bool,
}

/// Makes a backup and says what is in it.
///
/// # Errors
/// Whatever kept it from being made, ready to be shown.
pub fn run(options: BackupOptions) -> anyhow::Result<ExitCode> {
    let data_dir = match options.data {
        Some(dir) => dir,
        None => default_data_dir()?,
    };
    ensure!(
        Store::is_in(&data_dir),
        "there are no records in {}: say with --data where they are",
        data_dir.display()
    );
    let overwrite = if options.overwrite { Overwrite::Yes } else { Overwrite::No };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    let done = runtime.block_on(back_up(&Store::file_in(&data_dir), &options.file, overwrite));
    let done = match done {
        Err(error @ crate::store::BackupError::IsThere(_)) => {
            return Err(
                anyhow::Error::from(error).context("no backup was made (--overwrite replaces the file)")
            );
        }
        done => done.context("no backup was made")?,
    };
    print!("{}", said(&done));
    println!("{} is whole, {}.", options.file.display(), size(done.bytes));
    println!(
        "It holds names: keep it where only you can read it. Who is erased later stays in it: make a new one then."
    );
    Ok(ExitCode::SUCCESS)
}

/// Rows by table; those without any are left out.
pub(super) fn said(done: &BackedUp) -> String {
    rows_said(&done.rows)
}

/// The same of rows alone.
pub(super) fn rows_said(rows: &[(String, i64)]) -> String {
    let longest = rows.iter().map(|(table, _)| table.len()).max().unwrap_or(0);
    let filled = rows.iter().filter(|(_, n)| *n > 0);
    filled.fold(String::new(), |mut said, (table, n)| {
        writeln!(said, "  {table:<longest$} {n:>9}").expect("writing to a string cannot fail");
        said
    })
}

/// As people read sizes; decimal, as systems show those of files.
fn size(bytes: u64) -> String {
    match bytes {
        0..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        _ => format!("{:.1} MB", bytes as f64 / 1e6),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_as_elsewhere() {
        for (bytes, text) in [(0, "0 kB"), (1, "1 kB"), (999_999, "1000 kB"), (12_340_000, "12.3 MB")] {
            assert_eq!(size(bytes), text);
        }
    }
}
