//! Everything that is stored about one player, read whole, and how long it is kept. Its end stands in `erasing`.

use super::records::{Store, StoreError};
use super::runs::{from_json, kept_run, lane};
use super::sessions::SessionKind;
use sqlx::Row;
use sqlx::sqlite::SqliteRow;
use windrow_protocol::messages::{CheckedChair, RoomCheck};
use windrow_room::KeptRun;

/// Whose records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// A person's, of all devices.
    Person(String),
    /// Those of one device alone, by the SHA-256 of its token.
    Device(String),
}

impl Whose {
    pub(super) fn value(&self) -> &str {
        match self {
            Whose::Person(value) | Whose::Device(value) => value,
        }
    }
}

/// A player in one session.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayedRow {
    /// In this session.
    pub player_id: String,
    /// Name then.
    pub name: String,
    /// Slug of the instrument then.
    pub instrument: String,
    /// Chair then, from 1.
    pub chair: i64,
    /// Whether early and late were meant absolutely.
    pub calibrated: bool,
    /// Section or ensemble.
    pub section_name: String,
    /// When the session's server time was nought, ms since 1970.
    pub time_nought_unix_ms: i64,
    /// What the session was.
    pub kind: SessionKind,
    /// Whether it is made up.
    pub invented: bool,
    /// Pulses kept.
    pub n_pulses: i64,
    /// Span results kept.
    pub n_spans: i64,
}

/// A pulse as it is stored.
#[derive(Debug, Clone, PartialEq)]
pub struct PulseRow {
    /// Server time of the session, µs.
    pub time_us: i64,
    /// Peak over valley.
    pub depth_db: f64,
    /// Peak to peak.
    pub swing_cents: f64,
    /// From the note.
    pub mean_cents: Option<f64>,
    /// Whether the tone broke in the valley before.
    pub choked: bool,
}

/// A span's result as it is stored.
#[derive(Debug, Clone, PartialEq)]
pub struct SpanRow {
    /// Score of the session.
    pub score_version: i64,
    /// Place in that score, from 0.
    pub span_idx: i64,
    /// Pulses found.
    pub n_pulses: i64,
    /// Rate, depth, swing, centre, evenness and timing, in the units of their names on the wire.
    pub measures: [Option<f64>; 6],
    /// The word shown.
    pub state: String,
}

/// A device of a player.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenRow {
    /// SHA-256 of its token.
    pub token_sha256: String,
    /// Whose it is; `None` for a nickname's.
    pub person_id: Option<String>,
    /// When it was last in, ms since 1970.
    pub seen_unix_ms: i64,
    /// Whether it is certain to be this player's.
    pub is_confirmed: bool,
}

/// A person by themselves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonOfSection {
    /// Name in the list.
    pub name: String,
    /// Slug of the instrument.
    pub instrument: String,
    /// As typed; may be empty.
    pub part: String,
    /// Section or ensemble.
    pub section_name: String,
}

impl Store {
    /// A person's own row.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn person(&self, person_id: &str) -> Result<Option<PersonOfSection>, StoreError> {
        let row = sqlx::query(
            "select p.name, p.instrument, p.part, s.name as section_name
             from people p join sections s on s.section_id = p.section_id where p.person_id = ?",
        )
        .bind(person_id)
        .fetch_optional(self.pool())
        .await?;
        row.map(|r| {
            Ok(PersonOfSection {
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
                part: r.try_get("part")?,
                section_name: r.try_get("section_name")?,
            })
        })
        .transpose()
    }

    /// The sessions somebody played in, the oldest first.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn played_by(&self, whose: &Whose) -> Result<Vec<PlayedRow>, StoreError> {
        // One statement for both: the other value is null and picks nothing. What a device of theirs recorded under a
        // nickname is theirs as well, as when it is erased.
        let (person_id, token_sha256) = match whose {
            Whose::Person(person_id) => (Some(person_id), None),
            Whose::Device(token_sha256) => (None, Some(token_sha256)),
        };
        let rows = sqlx::query(
            "select p.player_id, p.name, p.instrument, p.chair, p.calibrated, s.section_name, s.time_nought_unix_ms,
                    s.kind, s.invented,
                    (select count(*) from pulses u where u.player_id = p.player_id) + coalesce(
                     (select n_pulses from pulse_packs k where k.player_id = p.player_id), 0) as n_pulses,
                    (select count(*) from span_results r where r.player_id = p.player_id) as n_spans
             from players p join sessions s on s.session_id = p.session_id
             where p.person_id = ?1 or p.token_sha256 = ?2 or (p.person_id is null and p.token_sha256 in
                   (select token_sha256 from devices where person_id = ?1 and confirmed))
             order by p.player_id",
        )
        .bind(person_id)
        .bind(token_sha256)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(PlayedRow {
                player_id: r.try_get("player_id")?,
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
                chair: r.try_get("chair")?,
                calibrated: r.try_get("calibrated")?,
                section_name: r.try_get("section_name")?,
                time_nought_unix_ms: r.try_get("time_nought_unix_ms")?,
                kind: SessionKind::read(r)?,
                invented: r.try_get("invented")?,
                n_pulses: r.try_get("n_pulses")?,
                n_spans: r.try_get("n_spans")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Every span's result of a player in one session.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn spans_of(&self, player_id: &str) -> Result<Vec<SpanRow>, StoreError> {
        let rows = sqlx::query(
            "select score_version, span_idx, n_pulses, pulse_rate_hz, depth_db_pp, swing_cents_pp, centre_cents,
                    evenness_cv, timing_ms, state
             from span_results where player_id = ? order by seq",
        )
        .bind(player_id)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(SpanRow {
                score_version: r.try_get("score_version")?,
                span_idx: r.try_get("span_idx")?,
                n_pulses: r.try_get("n_pulses")?,
                measures: [
                    r.try_get("pulse_rate_hz")?,
                    r.try_get("depth_db_pp")?,
                    r.try_get("swing_cents_pp")?,
                    r.try_get("centre_cents")?,
                    r.try_get("evenness_cv")?,
                    r.try_get("timing_ms")?,
                ],
                state: r.try_get("state")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Runs that a player was in, in the order of playing, without everybody else.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn runs_of_player(&self, player_id: &str) -> Result<Vec<KeptRun>, StoreError> {
        let of = "join run_players l on l.session_id = r.session_id and l.number = r.number
                  where l.player_id = ? order by r.number";
        let select = async |columns: &str| {
            let sql = sqlx::AssertSqlSafe(format!("select {columns} from runs r {of}"));
            sqlx::query(sql).bind(player_id).fetch_all(self.pool()).await
        };
        let (runs, lanes) = (select("r.*").await?, select("l.*").await?);
        runs.iter().zip(&lanes).map(|(run, row)| kept_run(run, vec![lane(row)?], Vec::new())).collect()
    }

    /// What room checks found at a player's chair: server time of the session, µs, and the finding.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn checks_of_player(&self, player_id: &str) -> Result<Vec<(i64, CheckedChair)>, StoreError> {
        let rows = sqlx::query(
            "select c.checked_us, c.found, p.name from room_checks c join players p on p.session_id = c.session_id
             where p.player_id = ? order by c.checked_us",
        )
        .bind(player_id)
        .fetch_all(self.pool())
        .await?;
        let mut checks = Vec::new();
        for row in &rows {
            let (check, name): (RoomCheck, String) = (from_json(row, "found")?, row.try_get("name")?);
            let own = check.chairs.into_iter().find(|chair| chair.name.as_str() == name);
            checks.extend(
                own.map(|chair| Ok::<_, StoreError>((row.try_get("checked_us")?, chair))).transpose()?,
            );
        }
        Ok(checks)
    }

    /// The devices known as somebody's.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn devices_of(&self, whose: &Whose) -> Result<Vec<SeenRow>, StoreError> {
        let sql = match whose {
            Whose::Person(_) => "select * from devices where person_id = ? order by seen_unix_ms",
            Whose::Device(_) => "select * from devices where token_sha256 = ?",
        };
        let rows = sqlx::query(sql).bind(whose.value()).fetch_all(self.pool()).await?;
        let row = |r: &SqliteRow| {
            Ok(SeenRow {
                token_sha256: r.try_get("token_sha256")?,
                person_id: r.try_get("person_id")?,
                seen_unix_ms: r.try_get("seen_unix_ms")?,
                is_confirmed: r.try_get("confirmed")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Days after which a session is erased, where the conductor has chosen.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn keep_days(&self) -> Result<Option<i64>, StoreError> {
        let row = sqlx::query("select keep_days from retention").fetch_optional(self.pool()).await?;
        Ok(row.map(|r| r.try_get("keep_days")).transpose()?)
    }

    /// Chooses that.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn set_keep_days(&self, keep_days: i64) -> Result<(), StoreError> {
        sqlx::query(
            "insert into retention (retention_id, keep_days) values (1, ?)
             on conflict (retention_id) do update set keep_days = excluded.keep_days",
        )
        .bind(keep_days)
        .execute(self.pool())
        .await?;
        Ok(())
    }
}
