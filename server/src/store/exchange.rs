//! Whole sessions out of the records and into them, for files that go from one Windrow to another. SQL stands beside the function
//! that needs it.

use super::records::{Store, StoreError};
use super::sessions::{NewSession, SessionKind};
use super::writer::{Record, insert};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};

/// A session by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct WholeSessionRow {
    /// In these records.
    pub session_id: String,
    /// What it was.
    pub kind: SessionKind,
    /// Where it was recorded; none for what was recorded here.
    pub origin_id: Option<String>,
    /// Whether nobody played it.
    pub invented: bool,
    /// Section or ensemble.
    pub section_name: String,
    /// Tuning of A4.
    pub a4_hz: f64,
    /// When its server time was nought, ms since 1970.
    pub time_nought_unix_ms: i64,
    /// Its end; none where there was no goodbye.
    pub ended_us: Option<i64>,
}

/// A player of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionPlayerRow {
    /// In this session.
    pub player_id: String,
    /// Of a list; none for a nickname.
    pub person_id: Option<String>,
    /// Name then.
    pub name: String,
    /// Slug of the instrument then.
    pub instrument: String,
    /// Chair then, from 1.
    pub chair: i64,
    /// Whether early and late were meant absolutely.
    pub calibrated: bool,
}

/// A moment of a session, µs, with texts that belong to it.
pub(crate) type TextsAt = (i64, Vec<String>);

/// A session from elsewhere, with everything in it.
#[derive(Debug)]
pub(crate) struct SessionBrought {
    pub(crate) session: NewSession,
    pub(crate) players: Vec<SessionPlayerRow>,
    /// What belongs to those players and to the session; nobody sits down in it.
    pub(crate) records: Vec<Record>,
}

impl Store {
    /// The sessions of a rehearsal, in order of time.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn sessions_of(&self, rehearsal_id: &str) -> Result<Vec<WholeSessionRow>, StoreError> {
        let rows = sqlx::query(
            "select * from sessions where session_id = ?1 or rehearsal_id = ?1 order by time_nought_unix_ms, rowid",
        )
        .bind(rehearsal_id)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(WholeSessionRow {
                session_id: r.try_get("session_id")?,
                kind: SessionKind::read(r)?,
                origin_id: r.try_get("origin_id")?,
                invented: r.try_get("invented")?,
                section_name: r.try_get("section_name")?,
                a4_hz: r.try_get("a4_hz")?,
                time_nought_unix_ms: r.try_get("time_nought_unix_ms")?,
                ended_us: r.try_get("ended_us")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Who was in a session, in chair order.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn players_of_session(&self, session_id: &str) -> Result<Vec<SessionPlayerRow>, StoreError> {
        let rows = sqlx::query("select * from players where session_id = ? order by chair, player_id")
            .bind(session_id)
            .fetch_all(self.pool())
            .await?;
        let row = |r: &SqliteRow| {
            Ok(SessionPlayerRow {
                player_id: r.try_get("player_id")?,
                person_id: r.try_get("person_id")?,
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
                chair: r.try_get("chair")?,
                calibrated: r.try_get("calibrated")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Who was in what a section's players brought from home: the id it is listed by, and a name.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn names_at_home(&self, section_name: &str) -> Result<Vec<(String, String)>, StoreError> {
        let rows = sqlx::query(
            "select distinct coalesce(s.rehearsal_id, s.session_id) as rehearsal_id, p.name
             from players p join sessions s on s.session_id = p.session_id
             where s.section_name = ? and s.kind <> 'rehearsal' order by p.name",
        )
        .bind(section_name)
        .fetch_all(self.pool())
        .await?;
        rows.iter().map(|r| Ok((r.try_get("rehearsal_id")?, r.try_get("name")?))).collect()
    }

    /// Scores of a session, as JSON, by version.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn scores_of_session(&self, session_id: &str) -> Result<Vec<String>, StoreError> {
        let rows = sqlx::query("select score from scores where session_id = ? order by version")
            .bind(session_id)
            .fetch_all(self.pool())
            .await?;
        rows.iter().map(|r| Ok(r.try_get("score")?)).collect()
    }

    /// Plans of a session as they were taken: title and text.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(crate) async fn plans_of_session(&self, session_id: &str) -> Result<Vec<TextsAt>, StoreError> {
        let sql =
            "select taken_us as at_us, title, text from session_plans where session_id = ? order by taken_us";
        self.texts_at(sql, &["title", "text"], session_id).await
    }

    /// Room checks of a session: what was found, as JSON.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(crate) async fn checks_of_session(&self, session_id: &str) -> Result<Vec<TextsAt>, StoreError> {
        let sql =
            "select checked_us as at_us, found from room_checks where session_id = ? order by checked_us";
        self.texts_at(sql, &["found"], session_id).await
    }

    async fn texts_at(
        &self,
        sql: &'static str,
        columns: &[&'static str],
        session_id: &str,
    ) -> Result<Vec<TextsAt>, StoreError> {
        let rows = sqlx::query(sql).bind(session_id).fetch_all(self.pool()).await?;
        let row = |r: &SqliteRow| {
            let texts: Result<Vec<String>, sqlx::Error> =
                columns.iter().map(|column| r.try_get(*column)).collect();
            Ok((r.try_get("at_us")?, texts?))
        };
        rows.iter().map(row).collect()
    }

    /// Whether a session is here already: recorded here, or brought before.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn has_session(&self, session_id: &str, origin_id: &str) -> Result<bool, StoreError> {
        let row = sqlx::query(
            "select exists (select 1 from sessions where session_id in (?1, ?2) or origin_id = ?2) as is_here",
        )
        .bind(session_id)
        .bind(origin_id)
        .fetch_one(self.pool())
        .await?;
        Ok(row.try_get("is_here")?)
    }

    /// Whether a player of this id is here already.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn has_player(&self, player_id: &str) -> Result<bool, StoreError> {
        let row = sqlx::query("select exists (select 1 from players where player_id = ?) as is_here")
            .bind(player_id)
            .fetch_one(self.pool())
            .await?;
        Ok(row.try_get("is_here")?)
    }

    /// Who of the lists somebody from elsewhere is: whoever has that id, else the only one of that name and instrument in the
    /// section of that name.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn person_brought(
        &self,
        section_name: &str,
        player: &SessionPlayerRow,
    ) -> Result<Option<String>, StoreError> {
        let rows = sqlx::query(
            "select p.person_id, p.person_id = ?1 as is_same from people p join sections s on s.section_id = p.section_id
             where p.person_id = ?1 or (s.name = ?2 and p.name = ?3 and p.instrument = ?4) order by is_same desc",
        )
        .bind(player.person_id.as_deref().unwrap_or_default())
        .bind(section_name)
        .bind(&player.name)
        .bind(&player.instrument)
        .fetch_all(self.pool())
        .await?;
        match &rows[..] {
            [] => Ok(None),
            [first, rest @ ..] => {
                let is_certain = rest.is_empty() || first.try_get("is_same")?;
                Ok(if is_certain { Some(first.try_get("person_id")?) } else { None })
            }
        }
    }

    /// Writes sessions with all that is in them, or nothing of any.
    ///
    /// # Errors
    /// When it cannot be written; then nothing is.
    pub(crate) async fn bring_sessions(&self, brought: &[SessionBrought]) -> Result<(), StoreError> {
        let mut transaction = self.pool().begin().await?;
        for SessionBrought { session, players, records } in brought {
            insert_session(&mut transaction, session).await?;
            for player in players {
                insert_player(&mut transaction, &session.row.session_id, player).await?;
            }
            for record in records {
                insert(&mut transaction, record).await?;
            }
        }
        transaction.commit().await?;
        Ok(())
    }
}

async fn insert_session(connection: &mut SqliteConnection, new: &NewSession) -> Result<(), sqlx::Error> {
    sqlx::query(
        "insert into sessions
         (session_id, code, section_name, a4_hz, time_nought_unix_ms, ended_us, kind, rehearsal_id, origin_id, invented)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
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
    .execute(connection)
    .await?;
    Ok(())
}

/// Without a device: what it was known by stays where it was.
async fn insert_player(
    connection: &mut SqliteConnection,
    session_id: &str,
    player: &SessionPlayerRow,
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "insert into players (player_id, session_id, chair, name, instrument, calibrated, person_id)
         values (?, ?, ?, ?, ?, ?, (select person_id from people where person_id = ?))",
    )
    .bind(&player.player_id)
    .bind(session_id)
    .bind(player.chair)
    .bind(&player.name)
    .bind(&player.instrument)
    .bind(player.calibrated)
    .bind(&player.person_id)
    .execute(connection)
    .await?;
    Ok(())
}
