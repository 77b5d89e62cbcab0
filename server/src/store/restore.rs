//! Brings a backup back, in one transaction on the records themselves, whether a server has them open or not: it goes on with
//! what it finds then, and nobody has to swap files under it, which not every system allows. It must not know who asks.
//!
//! What stays as it is: this computer's door, passphrase and sign-ins; the plan in the room; everything of the rehearsal that goes
//! on. What was erased here after the backup was made is erased again.

use super::backup::{
    BackupError, Overwrite, Passing, RESTORING, back_up, forget_remains, rows_of_tables, tables,
};
use super::erasing::erase_again;
use super::integrity::{Health, Unfit, beside, check, log_bytes, look, open_as_it_is};
use super::records::{FILE, Store, StoreError, migrations};
use sqlx::sqlite::SqliteConnection;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, Row};
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What belongs to this computer and not to the section. Where it has none yet, the backup's is taken.
const OF_THE_COMPUTER: [&str; 4] = ["access_settings", "passphrase", "taken_plans", "erasures"];
/// What never comes from a backup: who was signed in then, and which server ran.
const NEVER: [&str; 3] = ["access_links", "sign_ins", "rooms_served"];

/// Why nothing was restored; nothing was changed then. A cause stands in the text, so it is not given as the error's source as well.
#[derive(Debug, thiserror::Error)]
pub enum RestoreError {
    /// The backup is not one.
    #[error("this file cannot be restored: {0}")]
    Backup(Unfit),
    /// A copy to work on, or of what was there before, cannot be made.
    #[error("no room to work in: {0}")]
    Copy(BackupError),
    /// What is there is not ours to replace.
    #[error("the records that are there cannot be replaced: {0}")]
    Present(Unfit),
    /// The damaged records cannot be put aside.
    #[error("the damaged records cannot be put aside: {0}")]
    Aside(io::Error),
    /// The records said no.
    #[error("the records cannot be written: {0}")]
    Store(StoreError),
    /// The backup's rows do not fit together with what stays.
    #[error("the backup does not fit together with what stays: {0}")]
    Dangling(String),
}

impl From<BackupError> for RestoreError {
    fn from(error: BackupError) -> Self {
        Self::Copy(error)
    }
}

impl From<StoreError> for RestoreError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl From<sqlx::Error> for RestoreError {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

/// How to restore.
#[derive(Debug, Clone)]
pub struct Restoring {
    /// Where the records are, or are to be.
    pub data_dir: PathBuf,
    /// The backup.
    pub file: PathBuf,
    /// Part of the names of what is kept of before: a date without signs that a file's name cannot have.
    pub date: String,
    /// Whether a server has the records open; what its rehearsal has so far stays then.
    pub is_served: bool,
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// Rows of each table now, by its name.
    pub rows: Vec<(String, i64)>,
    /// Version of the backup's records; they were brought up to date.
    pub version: i64,
    /// What was there before; none where there was nothing.
    pub before: Option<PathBuf>,
    /// Whether that was damaged.
    pub was_damaged: bool,
    /// People and devices erased again.
    pub n_erased_again: u64,
}

/// Brings a backup back.
///
/// # Errors
/// [`RestoreError`]; the records are as they were then.
pub async fn restore(restoring: &Restoring) -> Result<Restored, RestoreError> {
    let (copy, version) = working_copy(restoring).await?;
    let file = restoring.data_dir.join(FILE);
    let (mut before, mut was_damaged) = (None, false);
    match look_whole(&file).await {
        Ok(()) => {
            let kept = free_name(&restoring.data_dir, &format!("{BEFORE}{}", restoring.date));
            back_up(&file, &kept, Overwrite::No).await?;
            before = Some(kept);
        }
        Err(Unfit::Unreadable(error)) if error.kind() == io::ErrorKind::NotFound => {}
        Err(Unfit::Empty) => {}
        Err(Unfit::Damaged(_) | Unfit::CutOff { .. } | Unfit::LogAlone | Unfit::NotSqlite)
            if !restoring.is_served =>
        {
            before = Some(put_aside(&file, &restoring.date).map_err(RestoreError::Aside)?);
            was_damaged = true;
        }
        Err(unfit) => return Err(RestoreError::Present(unfit)),
    }
    let store = Store::open(&restoring.data_dir).await?;
    let done = replace(&store, &copy.path, restoring.is_served).await;
    let emptied = store.empty_log().await;
    store.close().await;
    let (rows, n_erased_again) = done?;
    emptied?;
    Ok(Restored { rows, version, before, was_damaged, n_erased_again })
}

/// A name that begins so and is not taken.
fn free_name(directory: &Path, start: &str) -> PathBuf {
    let mut names =
        std::iter::once(format!("{start}.sqlite3")).chain((2..).map(|n| format!("{start}-{n}.sqlite3")));
    let free = names.find(|name| directory.join(name).symlink_metadata().is_err());
    directory.join(free.expect("some number is free"))
}

/// How names begin of what was there before a restore.
pub(super) const BEFORE: &str = "windrow-before-restore-";

/// A copy of the backup that is checked from end to end and brought up to date; the backup itself is only read.
async fn working_copy(restoring: &Restoring) -> Result<(Passing, i64), RestoreError> {
    let unfit = |error: io::Error| RestoreError::Backup(error.into());
    let metadata = std::fs::metadata(&restoring.file).map_err(unfit)?;
    if !metadata.is_file() {
        return Err(RestoreError::Backup(Unfit::NoFile));
    }
    let path = restoring.data_dir.join(format!("{RESTORING}{}.sqlite3", std::process::id()));
    let unwritable = |error| RestoreError::Copy(BackupError::Unwritable(path.clone(), error));
    let copy = Passing::make(path.clone()).map_err(unwritable)?;
    let from = std::fs::File::open(&restoring.file).map_err(unfit)?;
    let to = std::fs::OpenOptions::new().write(true).open(&copy.path).map_err(unwritable)?;
    io::copy(&mut io::BufReader::new(from), &mut io::BufWriter::new(to)).map_err(unwritable)?;
    // Somebody may have copied the files of a running server by hand: what is only in the log belongs to them.
    if log_bytes(&restoring.file) > 0 {
        std::fs::copy(beside(&restoring.file, "-wal"), beside(&copy.path, "-wal")).map_err(unwritable)?;
    }
    let version = look(&copy.path).await.map_err(RestoreError::Backup)?;
    let checked = async {
        let mut connection = open_as_it_is(&copy.path).await?;
        let health = check(&mut connection, false).await?;
        if health == Health::Whole {
            // A copy that is thrown away need not survive a power cut.
            sqlx::query("pragma synchronous = off").execute(&mut connection).await?;
            sqlx::query("pragma foreign_keys = on").execute(&mut connection).await?;
            migrations().run(&mut connection).await.map_err(StoreError::from)?;
        }
        connection.close().await?;
        Ok::<_, StoreError>(health)
    };
    match checked.await {
        Ok(Health::Whole) => Ok((copy, version)),
        Ok(Health::Faults(faults)) => Err(RestoreError::Backup(Unfit::Damaged(faults))),
        Err(StoreError::Database(error)) => Err(RestoreError::Backup(error.into())),
        Err(error) => Err(error.into()),
    }
}

async fn look_whole(file: &Path) -> Result<(), Unfit> {
    look(file).await?;
    let mut connection = open_as_it_is(file).await?;
    let health = check(&mut connection, true).await;
    connection.close().await?;
    match health? {
        Health::Whole => Ok(()),
        Health::Faults(faults) => Err(Unfit::Damaged(faults)),
    }
}

/// Puts a damaged file under another name, with its log; gives the name.
fn put_aside(file: &Path, date: &str) -> io::Result<PathBuf> {
    let directory = file.parent().expect("the records are in a directory");
    let aside = free_name(directory, &format!("windrow-damaged-{date}"));
    std::fs::rename(file, &aside)?;
    for ending in ["-wal", "-shm"] {
        match std::fs::rename(beside(file, ending), beside(&aside, ending)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(aside)
}

/// Replaces what is in the records by what is in a copy of the same version.
async fn replace(
    store: &Store,
    copy: &Path,
    is_served: bool,
) -> Result<(Vec<(String, i64)>, u64), RestoreError> {
    let text = copy.to_str().ok_or_else(|| BackupError::NoText(copy.to_owned()))?;
    let options = (*store.pool().connect_options()).clone().disable_statement_logging();
    let mut connection = options.connect().await?;
    sqlx::query("pragma temp_store = memory").execute(&mut connection).await?;
    sqlx::query("attach ? as backup").bind(text).execute(&mut connection).await?;
    let mut transaction = connection.begin_with("begin immediate").await?;
    // Rows come and go table by table; at the end all must point to something.
    sqlx::query("pragma defer_foreign_keys = on").execute(&mut *transaction).await?;
    let n_erased_again = replace_within(&mut transaction, is_served).await?;
    if let Some(row) = sqlx::query("pragma main.foreign_key_check").fetch_optional(&mut *transaction).await? {
        let (table, parent): (String, String) = (row.try_get(0)?, row.try_get(2)?);
        return Err(RestoreError::Dangling(format!("{table} without {parent}")));
    }
    let rows = rows_of_tables(&mut transaction).await?;
    transaction.commit().await?;
    connection.close().await?;
    Ok((rows, n_erased_again))
}

async fn replace_within(connection: &mut SqliteConnection, is_served: bool) -> Result<u64, RestoreError> {
    for statement in [
        // What goes on: the running server's sessions, and those of the same rehearsals before it was started again.
        "create temp table going_on as select distinct s.session_id from sessions s, sessions o, rooms_served v
         where ?1 and o.session_id = v.session_id
         and coalesce(s.rehearsal_id, s.session_id) = coalesce(o.rehearsal_id, o.session_id)",
        "create temp table links as select player_id, person_id from players
         where person_id is not null and session_id in (select session_id from going_on)",
        "create temp table seen as select * from devices where token_sha256 in
         (select token_sha256 from players where session_id in (select session_id from going_on))",
    ] {
        // Only the first has a place for it.
        let query = sqlx::query(statement);
        let query = if statement.contains("?1") { query.bind(is_served) } else { query };
        query.execute(&mut *connection).await?;
    }
    let replaced: Vec<Table> = replaced(connection).await?;
    for table in &replaced {
        run(connection, &table.delete()).await?;
    }
    for table in &replaced {
        run(connection, &table.insert()).await?;
    }
    for table in OF_THE_COMPUTER {
        run(connection, &format!("insert or ignore into main.{table} select * from backup.{table}")).await?;
    }
    for statement in [
        "update main.players set person_id = (select l.person_id from links l join main.people p using (person_id)
          where l.player_id = players.player_id) where player_id in (select player_id from links)",
        "insert or ignore into main.devices select token_sha256,
          (select person_id from main.people p where p.person_id = seen.person_id), confirmed, seen_unix_ms from seen",
        // A link to choose the first passphrase is no use where there is one.
        "delete from access_links where kind = 'passphrase' and exists (select 1 from passphrase)",
        "drop table going_on",
        "drop table links",
        "drop table seen",
    ] {
        run(connection, statement).await?;
    }
    Ok(erase_again(connection).await?)
}

async fn run(connection: &mut SqliteConnection, sql: &str) -> Result<(), sqlx::Error> {
    sqlx::query(AssertSqlSafe(sql.to_owned())).execute(connection).await?;
    Ok(())
}

/// A table that is replaced.
#[derive(Debug)]
struct Table {
    name: String,
    /// In their order.
    columns: Vec<String>,
}

impl Table {
    fn has(&self, column: &str) -> bool {
        self.columns.iter().any(|c| c == column)
    }

    fn delete(&self) -> String {
        let which = if self.has("session_id") {
            "where session_id not in (select session_id from going_on)"
        } else if self.has("player_id") {
            "where player_id not in (select player_id from main.players where session_id in (select session_id from going_on))"
        } else {
            ""
        };
        format!("delete from main.\"{}\" {which}", self.name)
    }

    /// What goes on is there already, with more in it than the backup has of it.
    fn insert(&self) -> String {
        let which = if self.has("session_id") {
            "where session_id not in (select session_id from going_on)"
        } else if self.has("player_id") {
            "where player_id in (select player_id from backup.players where session_id not in (select session_id from going_on))"
        } else {
            ""
        };
        let columns = self.columns.join("\", \"");
        format!(
            "insert into main.\"{0}\" (\"{columns}\") select \"{columns}\" from backup.\"{0}\" {which}",
            self.name
        )
    }
}

/// Every table but the computer's own, those first that point to others.
async fn replaced(connection: &mut SqliteConnection) -> Result<Vec<Table>, sqlx::Error> {
    let mut replaced = Vec::new();
    for name in tables(connection).await? {
        if OF_THE_COMPUTER.contains(&name.as_str()) || NEVER.contains(&name.as_str()) {
            continue;
        }
        let rows = sqlx::query("select name from pragma_table_info(?, 'main')")
            .bind(&name)
            .fetch_all(&mut *connection)
            .await?;
        let columns = rows.iter().map(|row| row.try_get(0)).collect::<Result<_, _>>()?;
        replaced.push(Table { name, columns });
    }
    // Whoever is pointed to goes last, so that nothing has to be looked for in what is gone already.
    replaced.sort_by_key(|table| match table.name.as_str() {
        "sessions" | "people" => 3,
        "players" | "runs" => 2,
        "sections" => 4,
        _ => 1,
    });
    Ok(replaced)
}

/// Forgets copies of the records from before a restore: all, or those that were made before a time. They hold names, and what
/// is erased later would stay in them.
pub(super) fn forget_copies_from_before(file: &Path, made_before: Option<SystemTime>) {
    let Some(entries) = file.parent().and_then(|directory| std::fs::read_dir(directory).ok()) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let is_copy =
            name.to_str().is_some_and(|name| name.starts_with(BEFORE) && name.ends_with(".sqlite3"));
        let is_old = made_before.is_none_or(|before| {
            entry.metadata().and_then(|metadata| metadata.modified()).is_ok_and(|made| made < before)
        });
        if is_copy
            && is_old
            && let Err(error) = std::fs::remove_file(entry.path())
        {
            tracing::warn!(%error, "a copy of the records from before a restore could not be erased");
        }
    }
}

impl Store {
    /// Forgets copies of the records from before a restore that were made before a time.
    pub fn forget_copies_made_before(&self, before: SystemTime) {
        forget_copies_from_before(&self.file(), Some(before));
    }

    /// Erases what a program that was killed has left of backups and restores. Only for a server that begins.
    pub fn forget_remains(&self) {
        forget_remains(&self.file());
    }
}
