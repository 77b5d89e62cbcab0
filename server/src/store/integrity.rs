//! Whether a file is records of ours, and whole. It only reads; what is wrong is named, with what to do about it.

use super::records::{Store, StoreError, migrations};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{ConnectOptions, Connection, Row};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// First bytes of every SQLite 3 file (sqlite.org/fileformat2.html, section 1.3).
const MAGIC: &[u8] = b"SQLite format 3\0";
/// Bytes of the head of such a file.
const HEAD: usize = 100;
/// Faults that are told; more would not help anybody.
const MOST_FAULTS: usize = 5;
/// How long a look at a file waits for another program.
const BUSY: Duration = Duration::from_secs(5);

/// Why a file is not taken for records. A cause stands in the text, so it is not given as the error's source as well.
#[derive(Debug, thiserror::Error)]
pub enum Unfit {
    /// It cannot be read at all.
    #[error("it cannot be read: {0}")]
    Unreadable(io::Error),
    /// A directory, or something else that is no file.
    #[error("it is no file")]
    NoFile,
    /// Nothing in it.
    #[error("it is empty")]
    Empty,
    /// Nothing in it, but a log beside it: opening it would throw the log away.
    #[error("it is empty, but the log beside it is not: the file itself was lost")]
    LogAlone,
    /// Some other kind of file.
    #[error("it is no SQLite database")]
    NotSqlite,
    /// Its end is missing.
    #[error("its end is missing: it has {has} bytes of {wants}")]
    CutOff {
        /// Bytes there are.
        has: u64,
        /// Bytes there should be.
        wants: u64,
    },
    /// A database, but not of this program.
    #[error("it is a database of another program")]
    OtherProgram,
    /// Of a later version.
    #[error("a newer Windrow made it (its records have version {theirs}, this program knows {ours})")]
    Newer {
        /// Version of the file.
        theirs: i64,
        /// Version this program writes.
        ours: i64,
    },
    /// SQLite's own check found faults.
    #[error("it is damaged: {}", .0.join("; "))]
    Damaged(Vec<String>),
    /// SQLite cannot even look at it.
    #[error("it cannot be opened: {0}")]
    Unopened(sqlx::Error),
}

impl From<io::Error> for Unfit {
    fn from(error: io::Error) -> Self {
        Unfit::Unreadable(error)
    }
}

impl From<sqlx::Error> for Unfit {
    fn from(error: sqlx::Error) -> Self {
        // SQLITE_CORRUPT and SQLITE_NOTADB, whatever stands in the higher bits of an extended code.
        let code = error.as_database_error().and_then(|e| e.code()).and_then(|code| code.parse::<u32>().ok());
        match code.map(|code| code & 0xff) {
            Some(11) => Unfit::Damaged(vec![error.to_string()]),
            Some(26) => Unfit::NotSqlite,
            _ => Unfit::Unopened(error),
        }
    }
}

impl Unfit {
    /// What to do where the records themselves are unfit; sentences.
    pub fn what_to_do(&self) -> &'static str {
        match self {
            Unfit::Newer { .. } => {
                "Nothing was changed. Use the newer Windrow, or choose another directory with --data."
            }
            Unfit::OtherProgram | Unfit::NotSqlite | Unfit::NoFile => {
                "Nothing was changed. Move it away, or choose another directory with --data."
            }
            Unfit::Unreadable(_) | Unfit::Unopened(_) => {
                "Nothing was changed. May you read and write it? Is the disk full?"
            }
            Unfit::Empty | Unfit::LogAlone | Unfit::CutOff { .. } | Unfit::Damaged(_) => {
                "Nothing was changed. Bring a backup back with \"windrow restore FILE\", which keeps the damaged file beside. \
                 Without a backup, sqlite3's \".recover\" may get much of it out."
            }
        }
    }
}

/// What SQLite found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Health {
    /// Nothing wrong.
    Whole,
    /// Faults, the first ones.
    Faults(Vec<String>),
}

/// Bytes of the log beside a file; nought where there is none.
pub(super) fn log_bytes(file: &Path) -> u64 {
    std::fs::metadata(beside(file, "-wal")).map_or(0, |log| log.len())
}

/// The path with an ending of its own.
pub(super) fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Opens a file that is there, and changes nothing about how it is kept.
pub(super) async fn open_as_it_is(file: &Path) -> Result<SqliteConnection, sqlx::Error> {
    let options = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(false)
        .busy_timeout(BUSY)
        .foreign_keys(false)
        // A check from end to end takes its time; that is no news.
        .disable_statement_logging();
    options.connect().await
}

/// Whether a file is records that this program can open: which program's, and of which version. Says nothing of whether it is
/// whole. Gives the version.
pub(super) async fn look(file: &Path) -> Result<i64, Unfit> {
    look_at_head(file)?;
    let mut connection = open_as_it_is(file).await?;
    let version = version(&mut connection).await;
    connection.close().await?;
    version
}

fn look_at_head(file: &Path) -> Result<(), Unfit> {
    let metadata = std::fs::metadata(file)?;
    if !metadata.is_file() {
        return Err(Unfit::NoFile);
    }
    if metadata.len() == 0 {
        return Err(if log_bytes(file) > 0 { Unfit::LogAlone } else { Unfit::Empty });
    }
    let mut head = Vec::with_capacity(HEAD);
    std::fs::File::open(file)?.take(HEAD as u64).read_to_end(&mut head)?;
    if !head.starts_with(&MAGIC[..head.len().min(MAGIC.len())]) {
        return Err(Unfit::NotSqlite);
    }
    if head.len() < HEAD {
        return Err(Unfit::CutOff { has: metadata.len(), wants: HEAD as u64 });
    }
    // Same document, 1.3.2, 1.3.7 and 1.3.8: big-endian; a page size of 1 is 65,536; the number of pages counts only where both
    // change counters are the same. With a log beside it the file's own end may still lie there.
    let number = |at: usize| u32::from_be_bytes(std::array::from_fn(|n| head[at + n]));
    let page_bytes = match u16::from_be_bytes([head[16], head[17]]) {
        1 => 65_536,
        bytes => u64::from(bytes),
    };
    let wants = page_bytes * u64::from(number(28));
    if number(24) == number(92) && log_bytes(file) == 0 && metadata.len() < wants {
        return Err(Unfit::CutOff { has: metadata.len(), wants });
    }
    Ok(())
}

async fn version(connection: &mut SqliteConnection) -> Result<i64, Unfit> {
    let tables =
        sqlx::query("select count(*) as n, sum(name = '_sqlx_migrations') as ours from sqlite_master")
            .fetch_one(&mut *connection)
            .await?;
    if tables.try_get::<i64, _>("n")? == 0 {
        return Err(Unfit::Empty);
    }
    if tables.try_get::<Option<i64>, _>("ours")?.unwrap_or(0) == 0 {
        return Err(Unfit::OtherProgram);
    }
    let applied = sqlx::query("select version, checksum from _sqlx_migrations order by version")
        .fetch_all(&mut *connection)
        .await?;
    let known = migrations();
    let ours = known.iter().map(|m| m.version).max().unwrap_or(0);
    let mut newest = 0;
    for row in &applied {
        newest = row.try_get("version")?;
        match known.iter().find(|m| m.version == newest) {
            Some(m) if m.checksum[..] != *row.try_get::<&[u8], _>("checksum")? => {
                return Err(Unfit::OtherProgram);
            }
            Some(_) => {}
            None if newest > ours => {}
            None => return Err(Unfit::OtherProgram),
        }
    }
    match newest {
        0 => Err(Unfit::Empty),
        theirs if theirs > ours => Err(Unfit::Newer { theirs, ours }),
        version => Ok(version),
    }
}

/// SQLite's own check of every page, index and row, and that every row which points to another finds it. The quick one leaves
/// out whether indexes fit their tables, and the pointing.
pub(super) async fn check(connection: &mut SqliteConnection, is_quick: bool) -> Result<Health, sqlx::Error> {
    let statement = if is_quick { "pragma quick_check(5)" } else { "pragma integrity_check(5)" };
    let rows = sqlx::query(statement).fetch_all(&mut *connection).await?;
    let mut faults: Vec<String> = rows.iter().map(|row| row.try_get(0)).collect::<Result<_, _>>()?;
    faults.retain(|fault| fault != "ok");
    if faults.is_empty() && !is_quick {
        let dangling = sqlx::query("pragma foreign_key_check").fetch_all(&mut *connection).await?;
        for row in dangling.iter().take(MOST_FAULTS) {
            let (table, parent): (String, String) = (row.try_get(0)?, row.try_get(2)?);
            faults.push(format!("a row of {table} points to one of {parent} that is not there"));
        }
    }
    Ok(if faults.is_empty() { Health::Whole } else { Health::Faults(faults) })
}

impl Store {
    /// SQLite's own check, in a connection of its own, so that nobody waits for it. See [`Health`].
    ///
    /// # Errors
    /// When the file cannot be read to its end; a damaged one is no error.
    pub async fn check(&self, is_quick: bool) -> Result<Health, StoreError> {
        let checked = async {
            let mut connection = open_as_it_is(&self.file()).await?;
            let health = check(&mut connection, is_quick).await;
            connection.close().await?;
            health
        };
        match checked.await.map_err(Unfit::from) {
            Ok(health) => Ok(health),
            Err(Unfit::Damaged(faults)) => Ok(Health::Faults(faults)),
            Err(unfit) => Err(unfit.into()),
        }
    }
}

#[cfg(test)]
#[path = "integrity_tests.rs"]
mod tests;
