//! Sessions over weeks: rehearsals, and what players bring from home. SQL stands beside the function that needs it.

use super::records::{SessionRow, Store, StoreError};
use super::writer::{Record, insert};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// What a session was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SessionKind {
    /// A section in its room.
    Rehearsal,
    /// A player at home.
    Practice,
    /// Recordings that were measured later.
    Recording,
}

impl SessionKind {
    /// As it is stored.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Rehearsal => "rehearsal",
            Self::Practice => "practice",
            Self::Recording => "recording",
        }
    }

    /// Of a row with the column `kind`.
    pub(super) fn read(row: &SqliteRow) -> Result<Self, sqlx::Error> {
        Ok(match row.try_get("kind")? {
            "practice" => Self::Practice,
            "recording" => Self::Recording,
            _ => Self::Rehearsal,
        })
    }
}

/// A session that comes as a whole.
#[derive(Debug, Clone)]
pub struct NewSession {
    /// Its row; the code is empty where there was no door.
    pub row: SessionRow,
    /// What it was.
    pub kind: SessionKind,
    /// The rehearsal it is part of; `None`: it is one by itself.
    pub rehearsal_id: Option<String>,
    /// As it was named where it was recorded.
    pub origin_id: Option<String>,
    /// Whether it is made up.
    pub invented: bool,
    /// Server time of its end.
    pub ended_us: Option<i64>,
}

/// A rehearsal, or what a player brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RehearsalRow {
    /// Of its first session.
    pub rehearsal_id: String,
    /// Section or ensemble.
    pub section_name: String,
    /// What it was.
    pub kind: SessionKind,
    /// Whether it is made up.
    pub invented: bool,
    /// Unix time, ms.
    pub began_unix_ms: i64,
    /// The end of its last run, where there is one.
    pub ended_unix_ms: Option<i64>,
    /// Different people who were in.
    pub n_players: i64,
    /// Times through an exercise.
    pub n_runs: i64,
}

impl Store {
    /// Writes a session whole, or nothing of it. `false` where one of that origin is there already.
    ///
    /// # Errors
    /// When it cannot be written; then nothing of it is.
    pub(crate) async fn add_session(&self, new: &NewSession, records: &[Record]) -> Result<bool, StoreError> {
        let mut transaction = self.pool().begin().await?;
        let added = sqlx::query(
            "insert into sessions
             (session_id, code, section_name, a4_hz, time_nought_unix_ms, ended_us, kind, rehearsal_id, origin_id, invented)
             values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (origin_id) where origin_id is not null do nothing",
        )
        .bind(&new.row.session_id)
        .bind(&new.row.code)
        .bind(&new.row.section_name)
        .bind(new.row.a4_hz)
        .bind(new.row.time_nought_unix_ms)
        .bind(new.ended_us)
        .bind(new.kind.word())
        .bind(&new.rehearsal_id)
        .bind(&new.origin_id)
        .bind(new.invented)
        .execute(&mut *transaction)
        .await?;
        if added.rows_affected() == 0 {
            return Ok(false);
        }
        for record in records {
            insert(&mut transaction, record).await?;
        }
        transaction.commit().await?;
        Ok(true)
    }

    /// Everything in which somebody was in, of a section or of all, the newest first.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn rehearsals(&self, section_name: Option<&str>) -> Result<Vec<RehearsalRow>, StoreError> {
        let rows = sqlx::query(
            "select coalesce(s.rehearsal_id, s.session_id) as rehearsal_id, s.section_name, min(s.kind) as kind,
                    max(s.invented) as invented, min(s.time_nought_unix_ms) as began_unix_ms,
                    max(s.time_nought_unix_ms
                        + (select max(r.ended_us) from runs r where r.session_id = s.session_id) / 1000) as ended_unix_ms,
                    (select count(distinct coalesce(p.person_id, p.name)) from players p join sessions t
                     on t.session_id = p.session_id
                     where t.session_id = coalesce(s.rehearsal_id, s.session_id)
                        or t.rehearsal_id = coalesce(s.rehearsal_id, s.session_id)) as n_players,
                    sum((select count(*) from runs r where r.session_id = s.session_id)) as n_runs
             from sessions s where ?1 is null or s.section_name = ?1
             group by coalesce(s.rehearsal_id, s.session_id)
             having n_players > 0 order by began_unix_ms desc",
        )
        .bind(section_name)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(RehearsalRow {
                rehearsal_id: r.try_get("rehearsal_id")?,
                section_name: r.try_get("section_name")?,
                kind: SessionKind::read(r)?,
                invented: r.try_get("invented")?,
                began_unix_ms: r.try_get("began_unix_ms")?,
                ended_unix_ms: r.try_get("ended_unix_ms")?,
                n_players: r.try_get("n_players")?,
                n_runs: r.try_get("n_runs")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// The rehearsal that the last session with this code was part of, where it was one of this section.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn rehearsal_behind(
        &self,
        code: &str,
        section_name: &str,
    ) -> Result<Option<String>, StoreError> {
        let row = sqlx::query(
            "select coalesce(rehearsal_id, session_id) as rehearsal_id from sessions
             where code = ? and section_name = ? and kind = 'rehearsal'
             order by time_nought_unix_ms desc, rowid desc limit 1",
        )
        .bind(code)
        .bind(section_name)
        .fetch_optional(self.pool())
        .await?;
        Ok(row.map(|r| r.try_get("rehearsal_id")).transpose()?)
    }

    /// When the server time of a session was nought, ms since 1970.
    ///
    /// # Errors
    /// When it cannot be read, or is not there.
    pub async fn time_nought_unix_ms(&self, session_id: &str) -> Result<i64, StoreError> {
        let row = sqlx::query("select time_nought_unix_ms from sessions where session_id = ?")
            .bind(session_id)
            .fetch_one(self.pool())
            .await?;
        Ok(row.try_get("time_nought_unix_ms")?)
    }
}
