//! The database file: opening it, its migrations, and the rows that are written or read one at a time. SQL stands
//! beside the function that needs it.

use super::integrity::{self, Unfit};
use super::place::Identity;
use super::writer::{Recorder, Writer};
use sqlx::migrate::{Migration, MigrationType, Migrator};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteConnection, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{ConnectOptions, Connection, Row, SqlSafeStr, SqlitePool};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::task::JoinHandle;

/// Name of the database file in the data directory.
pub(super) const FILE: &str = "windrow.sqlite3";
/// How long a write waits for another program that has the file open.
const BUSY: Duration = Duration::from_secs(5);

/// Why the records could not be opened, read or written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The database said no.
    #[error(transparent)]
    Database(#[from] sqlx::Error),
    /// The file could not be brought up to date.
    #[error(transparent)]
    Migration(#[from] sqlx::migrate::MigrateError),
    /// The file is not taken for records: it is damaged, of a newer version, or another program's.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// A pack of pulses cannot be read.
    #[error("a pack of pulses is damaged")]
    DamagedPack,
}

/// The records.
#[derive(Debug, Clone)]
pub struct Store {
    pool: SqlitePool,
    /// Which file is open.
    identity: Arc<Mutex<Identity>>,
}

/// A session to open.
#[derive(Debug, Clone)]
pub struct SessionRow {
    /// Of this session.
    pub session_id: String,
    /// Join code of its room.
    pub code: String,
    /// Section or ensemble.
    pub section_name: String,
    /// Tuning of A4.
    pub a4_hz: f64,
    /// Unix time of server time nought, ms.
    pub time_nought_unix_ms: i64,
}

/// What is stored of a player, counted up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlayerRow {
    /// Of this player.
    pub player_id: String,
    /// Name as typed.
    pub name: String,
    /// Slug of the instrument.
    pub instrument: String,
    /// Chair, from 1.
    pub chair: i64,
    /// Pulses kept.
    pub n_pulses: i64,
    /// Span results kept.
    pub n_spans: i64,
}

impl Store {
    /// Opens or makes the records in a directory, and brings them up to date.
    ///
    /// # Errors
    /// When the file cannot be opened, is damaged, or belongs to a newer version.
    pub async fn open(data_dir: &Path) -> Result<Self, StoreError> {
        let file = data_dir.join(FILE);
        match integrity::look(&file).await {
            // Opening it would make tables of ours in whatever it is.
            Err(Unfit::Unreadable(error)) if error.kind() == std::io::ErrorKind::NotFound => {}
            // The very first start was broken off before anything was written.
            Err(Unfit::Empty) => tracing::warn!("the file of the records was empty: new records begin"),
            looked => drop(looked?),
        }
        let options = SqliteConnectOptions::new()
            .filename(&file)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            // What a device has been told is safe must survive even a power cut.
            .synchronous(SqliteSynchronous::Full)
            .busy_timeout(BUSY)
            .foreign_keys(true)
            // What is erased is overwritten, not only let go of.
            .pragma("secure_delete", "on");
        // One alone makes the file what it is to be: to two at once SQLite says that it is locked, and waits for neither.
        let mut first = options.clone().connect().await?;
        migrations().run(&mut first).await?;
        // Both connections are opened at once and stay: later there may be no handle left for another, or no file.
        let pool = SqlitePoolOptions::new()
            .max_connections(2)
            .min_connections(2)
            .idle_timeout(None)
            .max_lifetime(None)
            .after_release(|connection, _| Box::pin(is_fit_for_another(connection)))
            .connect_with(options.clone())
            .await?;
        let both = (pool.acquire().await?, pool.acquire().await?);
        drop(both);
        first.close().await?;
        // A file that went away meanwhile is not begun anew, empty.
        pool.set_connect_options(options.create_if_missing(false));
        let identity = Identity::of(&file).map_err(sqlx::Error::Io)?;
        Ok(Self { pool, identity: Arc::new(Mutex::new(identity)) })
    }

    /// Where the records of a directory are.
    pub(crate) fn file_in(data_dir: &Path) -> PathBuf {
        data_dir.join(FILE)
    }

    /// Whether there are records in a directory.
    pub(crate) fn is_in(data_dir: &Path) -> bool {
        data_dir.join(FILE).is_file()
    }

    /// Starts the writer. It ends, with everything written, when the last [`Recorder`] is gone.
    pub(crate) fn start_writer(&self) -> (Recorder, JoinHandle<()>) {
        let (recorder, writer) = Writer::new(self.clone());
        (recorder, tokio::spawn(writer.run()))
    }

    /// Opens a session, which goes on with a rehearsal or is one by itself.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn open_session(&self, row: &SessionRow, rehearsal_id: Option<&str>) -> Result<(), StoreError> {
        sqlx::query(
            "insert into sessions (session_id, code, section_name, a4_hz, time_nought_unix_ms, rehearsal_id)
             values (?, ?, ?, ?, ?, ?)",
        )
        .bind(&row.session_id)
        .bind(&row.code)
        .bind(&row.section_name)
        .bind(row.a4_hz)
        .bind(row.time_nought_unix_ms)
        .bind(rehearsal_id)
        .execute(&self.pool)
        .await?;
        Ok(())
    }

    /// Notes when a session ended, as server time.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn end_session(&self, session_id: &str, ended_us: i64) -> Result<(), StoreError> {
        sqlx::query("update sessions set ended_us = ? where session_id = ?")
            .bind(ended_us)
            .bind(session_id)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// Players of all sessions in the order they came, with what is kept of each.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn players(&self) -> Result<Vec<PlayerRow>, StoreError> {
        let rows = sqlx::query(
            "select p.player_id, p.name, p.instrument, p.chair,
                    (select count(*) from pulses u where u.player_id = p.player_id) + coalesce(
                     (select n_pulses from pulse_packs k where k.player_id = p.player_id), 0) as n_pulses,
                    (select count(*) from span_results r where r.player_id = p.player_id) as n_spans
             from players p order by p.player_id",
        )
        .fetch_all(&self.pool)
        .await?;
        let row = |r: &sqlx::sqlite::SqliteRow| {
            Ok(PlayerRow {
                player_id: r.try_get("player_id")?,
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
                chair: r.try_get("chair")?,
                n_pulses: r.try_get("n_pulses")?,
                n_spans: r.try_get("n_spans")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Which file is open.
    pub(super) fn identity(&self) -> Identity {
        *self.identity.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(super) fn is_now(&self, identity: Identity) {
        *self.identity.lock().unwrap_or_else(PoisonError::into_inner) = identity;
    }

    pub(super) fn pool(&self) -> &SqlitePool {
        &self.pool
    }

    /// The file.
    pub(super) fn file(&self) -> PathBuf {
        self.pool.connect_options().get_filename().to_owned()
    }

    /// Notes which section a session is of, since another was chosen.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn name_session(&self, session_id: &str, section_name: &str) -> Result<(), StoreError> {
        sqlx::query("update sessions set section_name = ? where session_id = ?")
            .bind(section_name)
            .bind(session_id)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// The section that was in a room last, if there was one.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn last_section(&self) -> Result<Option<String>, StoreError> {
        let newest = "select section_name from sessions where kind = 'rehearsal'
             order by time_nought_unix_ms desc, rowid desc limit 1";
        let row = sqlx::query(newest).fetch_optional(&self.pool).await?;
        Ok(row.map(|row| row.try_get("section_name")).transpose()?)
    }

    /// Whether any player ever did what a score asked for, of all that is kept.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn has_span_results(&self) -> Result<bool, StoreError> {
        let row = sqlx::query("select exists (select 1 from span_results)").fetch_one(&self.pool).await?;
        Ok(row.try_get::<i64, _>(0)? != 0)
    }

    /// Closes the file; everything is in it afterwards.
    pub async fn close(self) {
        self.pool.close().await;
    }
}

/// Whether a connection may be used again. A transaction that failed may have been rolled back by SQLite itself, as on a full disk
/// (sqlite.org/lang_transaction.html, section 3); sqlx's own rollback fails then, and it would go on to count a transaction as open,
/// make savepoints of all later ones, and commit none of them.
async fn is_fit_for_another(connection: &mut SqliteConnection) -> Result<bool, sqlx::Error> {
    // The rollback is on its way; it comes before this.
    connection.ping().await?;
    Ok(!connection.is_in_transaction())
}

/// The migrations, in the binary, in their order. A file once released is never changed: sqlx compares its checksum.
pub(super) fn migrations() -> Migrator {
    let simple = |version, name: &'static str, sql: &'static str| {
        Migration::new(version, name.into(), MigrationType::Simple, sql.into_sql_str(), false)
    };
    Migrator::with_migrations(vec![
        simple(1, "rooms", include_str!("../../../migrations/0001_rooms.sql")),
        simple(2, "access", include_str!("../../../migrations/0002_access.sql")),
        simple(3, "roster", include_str!("../../../migrations/0003_roster.sql")),
        simple(4, "door", include_str!("../../../migrations/0004_door.sql")),
        simple(5, "plans", include_str!("../../../migrations/0005_plans.sql")),
        simple(6, "records", include_str!("../../../migrations/0006_records.sql")),
        simple(7, "keep", include_str!("../../../migrations/0007_keep.sql")),
        simple(10, "home", include_str!("../../../migrations/0010_home.sql")),
        simple(11, "several rooms", include_str!("../../../migrations/0011_rooms.sql")),
    ])
}
