//! A copy of the records as one file, of one moment, while they are in use. It must not know who asks for it.
//!
//! `VACUUM INTO` rather than SQLite's backup interface: it reads within one transaction, so that a writer neither waits for it
//! nor gets into it; it copies what is there and not the file's pages, so that nothing erased can be left in a gap; and it needs
//! no code outside SQL.

use super::integrity::{Health, Unfit, beside, check, open_as_it_is};
use super::records::Store;
use sqlx::sqlite::SqliteConnection;
use sqlx::{AssertSqlSafe, Connection, Row};
use std::fs::{File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

/// Why there is no backup; there is no file then either, or the one that was there before. A cause stands in the text, so it is not
/// given as the error's source as well.
#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    /// A file is in the way.
    #[error("{} is there already", .0.display())]
    IsThere(PathBuf),
    /// The records would be written over themselves.
    #[error("{} is the file of the records itself", .0.display())]
    Itself(PathBuf),
    /// Names of files go to SQLite as text.
    #[error("{} has a name that is no text: choose another one", .0.display())]
    NoText(PathBuf),
    /// The copy cannot be written.
    #[error("{} cannot be written: {}", .0.display(), .1)]
    Unwritable(PathBuf, io::Error),
    /// The records cannot be copied.
    #[error("the records cannot be copied: {0}")]
    Unfit(Unfit),
    /// The copy is not what it should be.
    #[error("the copy is damaged ({}): is something wrong with the disk?", .0.join("; "))]
    DamagedCopy(Vec<String>),
}

impl From<Unfit> for BackupError {
    fn from(unfit: Unfit) -> Self {
        Self::Unfit(unfit)
    }
}

impl From<sqlx::Error> for BackupError {
    fn from(error: sqlx::Error) -> Self {
        Self::Unfit(error.into())
    }
}

/// Whether a file that is there may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overwrite {
    /// It may.
    Yes,
    /// It stays.
    No,
}

/// What is in a backup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackedUp {
    /// Rows of each table, by its name.
    pub rows: Vec<(String, i64)>,
    /// Size of the file.
    pub bytes: u64,
}

/// A file of ours that goes when this is dropped, with all that SQLite may have put beside it.
#[derive(Debug)]
pub(super) struct Passing {
    pub(super) path: PathBuf,
    is_kept: bool,
}

impl Passing {
    /// Makes an empty file that only its owner can read, where there is none.
    pub(super) fn make(path: PathBuf) -> io::Result<Self> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        options.open(&path)?;
        Ok(Self { path, is_kept: false })
    }

    /// Brings it to the disk, and then under its name.
    pub(super) fn keep_as(mut self, path: &Path) -> io::Result<()> {
        // Windows lets go of a file's buffers only for who may write to it.
        OpenOptions::new().write(true).open(&self.path)?.sync_all()?;
        std::fs::rename(&self.path, path)?;
        self.is_kept = true;
        // The name as well, where a directory can be opened; elsewhere the system sees to it.
        if let Some(directory) = path.parent().and_then(|directory| File::open(directory).ok()) {
            let _ = directory.sync_all();
        }
        Ok(())
    }
}

impl Drop for Passing {
    fn drop(&mut self) {
        if self.is_kept {
            return;
        }
        for ending in ["", "-wal", "-shm", "-journal"] {
            // Most are not there.
            let _ = std::fs::remove_file(beside(&self.path, ending));
        }
    }
}

/// A backup on its way to somebody; it goes when this is dropped.
#[derive(Debug)]
pub struct PassingBackup {
    passing: Passing,
    /// Size of the file.
    pub bytes: u64,
}

impl PassingBackup {
    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.passing.path
    }
}

impl Store {
    /// Makes a backup beside the records that goes with what is given back.
    ///
    /// # Errors
    /// [`BackupError`].
    pub async fn back_up_in_passing(&self) -> Result<PassingBackup, BackupError> {
        let path = self.file().with_file_name(format!("{PASSING}{}.sqlite3", uuid::Uuid::now_v7()));
        let done = back_up(&self.file(), &path, Overwrite::No).await?;
        Ok(PassingBackup { passing: Passing { path, is_kept: false }, bytes: done.bytes })
    }
}

/// How names begin of files that are on their way to somebody.
const PASSING: &str = "windrow-passing-";

/// Erases what a program that was killed has left of backups and restores: they hold names. Only for whoever has the records
/// alone.
pub(super) fn forget_remains(records: &Path) {
    let Some(entries) = records.parent().and_then(|directory| std::fs::read_dir(directory).ok()) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let is_ours = name.to_str().is_some_and(|name| {
            name.starts_with(PASSING) || name.starts_with(RESTORING) || name.contains(".sqlite3.part-")
        });
        if is_ours && let Err(error) = std::fs::remove_file(entry.path()) {
            tracing::warn!(%error, "what is left of a copy of the records could not be erased");
        }
    }
}

/// How names begin of the copies that a restore works on.
pub(super) const RESTORING: &str = "windrow-restoring-";

/// Copies records to a file of their own. Everything that was acknowledged before is in it.
///
/// # Errors
/// [`BackupError`]; nothing is changed then.
pub async fn back_up(records: &Path, to: &Path, overwrite: Overwrite) -> Result<BackedUp, BackupError> {
    let is_itself =
        |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
    if is_itself(records, to) {
        return Err(BackupError::Itself(to.to_owned()));
    }
    let in_the_way = || overwrite == Overwrite::No && to.symlink_metadata().is_ok();
    if in_the_way() {
        return Err(BackupError::IsThere(to.to_owned()));
    }
    super::integrity::look(records).await?;
    let unwritable = |error| BackupError::Unwritable(to.to_owned(), error);
    let part = Passing::make(beside(to, &format!(".part-{}", std::process::id()))).map_err(unwritable)?;
    let text = part.path.to_str().ok_or_else(|| BackupError::NoText(to.to_owned()))?;
    let mut connection = open_as_it_is(records).await?;
    let copied = sqlx::query("vacuum into ?").bind(text).execute(&mut connection).await;
    connection.close().await?;
    copied?;
    let mut copy = open_as_it_is(&part.path).await?;
    let health = check(&mut copy, false).await;
    let rows = rows_of_tables(&mut copy).await;
    copy.close().await?;
    if let Health::Faults(faults) = health? {
        return Err(BackupError::DamagedCopy(faults));
    }
    let bytes = part.path.metadata().map_err(unwritable)?.len();
    // Looked at again: the copy may have taken a while.
    if in_the_way() {
        return Err(BackupError::IsThere(to.to_owned()));
    }
    part.keep_as(to).map_err(unwritable)?;
    Ok(BackedUp { rows: rows?, bytes })
}

/// How many rows each table has.
pub(super) async fn rows_of_tables(
    connection: &mut SqliteConnection,
) -> Result<Vec<(String, i64)>, sqlx::Error> {
    let mut rows = Vec::new();
    for table in tables(connection).await? {
        let sql = AssertSqlSafe(format!("select count(*) from main.\"{table}\""));
        rows.push((table, sqlx::query(sql).fetch_one(&mut *connection).await?.try_get(0)?));
    }
    Ok(rows)
}

/// Tables of the records by name, without what SQLite and sqlx keep for themselves.
pub(super) async fn tables(connection: &mut SqliteConnection) -> Result<Vec<String>, sqlx::Error> {
    let rows = sqlx::query(
        "select name from main.sqlite_master where type = 'table' and name not like 'sqlite\\_%' escape '\\'
         and name not like '\\_sqlx\\_%' escape '\\' order by name",
    )
    .fetch_all(connection)
    .await?;
    rows.iter().map(|row| row.try_get(0)).collect()
}
