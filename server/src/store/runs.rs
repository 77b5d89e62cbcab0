//! Runs of rehearsals and what players reached in them: written by the writer, read for pages and files. SQL stands beside the
//! function that needs it.

use super::records::{Store, StoreError};
use super::sessions::SessionKind;
use super::stretches::insert_stretch;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use std::collections::BTreeMap;
use windrow_protocol::messages::{self, Glance, GlanceLane, RoomCheck};
use windrow_room::{KeptRun, KeptTrace, Stretch};

/// A run of the section, with what the rehearsal it was part of was.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionRunRow {
    /// The rehearsal it was part of.
    pub rehearsal_id: String,
    /// In a rehearsal, or by one player alone.
    pub kind: SessionKind,
    /// Whether it is made up.
    pub invented: bool,
    /// Unix time, ms.
    pub began_unix_ms: i64,
    /// The same of its end.
    pub ended_unix_ms: i64,
    /// Players who could be judged.
    pub n_judged: i64,
    /// Those of them who were matched in the end.
    pub n_matched: i64,
    /// Share of the judged time, over all players, in which they were matched.
    pub matched: Option<f64>,
    /// Resultant length of the pulses' phases, 0 to 1.
    pub together: Option<f64>,
    /// Circular standard deviation of the same.
    pub spread_ms: Option<f64>,
    /// Mean of the same; negative is early.
    pub mean_ms: Option<f64>,
}

/// A plan as it was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanTakenRow {
    /// Session.
    pub session_id: String,
    /// Unix time, ms.
    pub taken_unix_ms: i64,
    /// As people read it.
    pub title: String,
    /// As its file has it; empty where it had none.
    pub text: String,
}

/// What a room check found.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckRow {
    /// Session.
    pub session_id: String,
    /// Unix time, ms.
    pub checked_unix_ms: i64,
    /// What it was.
    pub found: RoomCheck,
}

impl Store {
    /// Runs of a section, the oldest first.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn section_runs(
        &self,
        section_name: &str,
        from_unix_ms: i64,
    ) -> Result<Vec<SectionRunRow>, StoreError> {
        let rows = sqlx::query(
            "select coalesce(s.rehearsal_id, s.session_id) as rehearsal_id, s.kind, s.invented,
                    s.time_nought_unix_ms + r.began_us / 1000 as began_unix_ms,
                    s.time_nought_unix_ms + r.ended_us / 1000 as ended_unix_ms,
                    r.n_judged, r.n_matched, r.matched, r.together, r.spread_ms, r.mean_ms
             from runs r join sessions s on s.session_id = r.session_id
             where s.section_name = ? and s.time_nought_unix_ms >= ? order by began_unix_ms, r.number",
        )
        .bind(section_name)
        .bind(from_unix_ms)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(SectionRunRow {
                rehearsal_id: r.try_get("rehearsal_id")?,
                kind: SessionKind::read(r)?,
                invented: r.try_get("invented")?,
                began_unix_ms: r.try_get("began_unix_ms")?,
                ended_unix_ms: r.try_get("ended_unix_ms")?,
                n_judged: r.try_get("n_judged")?,
                n_matched: r.try_get("n_matched")?,
                matched: r.try_get("matched")?,
                together: r.try_get("together")?,
                spread_ms: r.try_get("spread_ms")?,
                mean_ms: r.try_get("mean_ms")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// The runs of a rehearsal as they were, in the order of playing, each with its session, whose server time
    /// its times are.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn kept_runs(&self, rehearsal_id: &str) -> Result<Vec<(String, KeptRun)>, StoreError> {
        let runs = sqlx::query(
            "select r.* from runs r join sessions s on s.session_id = r.session_id
             where s.session_id = ?1 or s.rehearsal_id = ?1 order by s.time_nought_unix_ms, r.number",
        )
        .bind(rehearsal_id)
        .fetch_all(self.pool())
        .await?;
        let lanes = sqlx::query(
            "select l.* from run_players l join sessions s on s.session_id = l.session_id
             where s.session_id = ?1 or s.rehearsal_id = ?1",
        )
        .bind(rehearsal_id)
        .fetch_all(self.pool())
        .await?;
        let mut by_run: BTreeMap<(String, i64), Vec<Lane>> = BTreeMap::new();
        for row in &lanes {
            let key = (row.try_get("session_id")?, row.try_get("number")?);
            by_run.entry(key).or_default().push(lane(row)?);
        }
        let mut stretches: BTreeMap<(String, i64), Vec<Stretch>> = BTreeMap::new();
        for row in self.stretches_of_rehearsal(rehearsal_id).await? {
            let key = (row.session_id.clone(), row.number);
            let told = by_run.get(&key).and_then(|lanes| {
                lanes.iter().find(|lane| lane.told.player_id == row.player_id).map(|lane| &lane.told)
            });
            let Some(stretch) = told.and_then(|told| row.stretch(told)) else { continue };
            stretches.entry(key).or_default().push(stretch);
        }
        runs.iter()
            .map(|row| {
                let session_id: String = row.try_get("session_id")?;
                let key = (session_id.clone(), row.try_get("number")?);
                let mut lanes = by_run.remove(&key).unwrap_or_default();
                lanes.sort_by_key(|lane| lane.told.chair);
                Ok((session_id, kept_run(row, lanes, stretches.remove(&key).unwrap_or_default())?))
            })
            .collect()
    }

    /// Plans of a rehearsal as they were taken, the oldest first.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn plans_of(&self, rehearsal_id: &str) -> Result<Vec<PlanTakenRow>, StoreError> {
        let rows = sqlx::query(
            "select p.session_id, s.time_nought_unix_ms + p.taken_us / 1000 as taken_unix_ms, p.title, p.text
             from session_plans p join sessions s on s.session_id = p.session_id
             where s.session_id = ?1 or s.rehearsal_id = ?1 order by taken_unix_ms",
        )
        .bind(rehearsal_id)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(PlanTakenRow {
                session_id: r.try_get("session_id")?,
                taken_unix_ms: r.try_get("taken_unix_ms")?,
                title: r.try_get("title")?,
                text: r.try_get("text")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Room checks of a rehearsal, the oldest first.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn checks_of(&self, rehearsal_id: &str) -> Result<Vec<CheckRow>, StoreError> {
        let rows = sqlx::query(
            "select c.session_id, s.time_nought_unix_ms + c.checked_us / 1000 as checked_unix_ms, c.found
             from room_checks c join sessions s on s.session_id = c.session_id
             where s.session_id = ?1 or s.rehearsal_id = ?1 order by checked_unix_ms",
        )
        .bind(rehearsal_id)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(CheckRow {
                session_id: r.try_get("session_id")?,
                checked_unix_ms: r.try_get("checked_unix_ms")?,
                found: from_json(r, "found")?,
            })
        };
        rows.iter().map(row).collect()
    }
}

/// One player's part of a run.
pub(super) struct Lane {
    told: messages::PlayerResult,
    glance: Option<GlanceLane>,
    trace: KeptTrace,
}

pub(super) fn lane(row: &SqliteRow) -> Result<Lane, StoreError> {
    let told: messages::PlayerResult = from_json(row, "told")?;
    let glance: Option<String> = row.try_get("glance")?;
    let glance = glance.map(|text| read_json(&text, "glance")).transpose()?;
    let trace = KeptTrace {
        player_id: row.try_get("player_id")?,
        left_out_ms: row.try_get("left_out_ms")?,
        pulses: row.try_get("pulses")?,
        centres: row.try_get("centres")?,
        states: row.try_get("states")?,
    };
    Ok(Lane { told, glance, trace })
}

pub(super) fn kept_run(
    row: &SqliteRow,
    lanes: Vec<Lane>,
    stretches: Vec<Stretch>,
) -> Result<KeptRun, StoreError> {
    let number = |column| -> Result<u16, StoreError> { Ok(row.try_get::<u16, _>(column)?) };
    let mut glance: Glance = from_json(row, "glance")?;
    let (mut players, mut traces) = (Vec::new(), Vec::new());
    for lane in lanes {
        players.push(lane.told);
        glance.lanes.extend(lane.glance);
        traces.push(lane.trace);
    }
    let told = messages::Run {
        number: number("number")?,
        exercise: number("exercise")?,
        name: from_json(row, "name")?,
        is_over: row.try_get("is_over")?,
        imaginary: false,
        spans: from_json(row, "spans")?,
        section: from_json(row, "section")?,
        players,
    };
    let time = |column| -> Result<f64, StoreError> { Ok(row.try_get::<i64, _>(column)? as f64) };
    Ok(KeptRun {
        began_us: time("began_us")?,
        ended_us: time("ended_us")?,
        told,
        glance,
        score: from_json(row, "score")?,
        traces,
        stretches,
    })
}

/// Writes a run, in place of the one of the same number. Of players who were erased meanwhile nothing is written.
pub(super) async fn insert_run(
    connection: &mut SqliteConnection,
    session_id: &str,
    run: &KeptRun,
) -> Result<(), sqlx::Error> {
    let section = &run.told.section;
    let glance = Glance { lanes: Vec::new(), ..run.glance.clone() };
    sqlx::query(
        "insert or replace into runs
         (session_id, number, began_us, ended_us, is_over, exercise, name, spans, section, glance, score,
          n_judged, n_matched, matched, together, spread_ms, mean_ms)
         select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17
         where exists (select 1 from sessions where session_id = ?1)",
    )
    .bind(session_id)
    .bind(run.told.number)
    .bind(run.began_us.round() as i64)
    .bind(run.ended_us.round() as i64)
    .bind(run.told.is_over)
    .bind(run.told.exercise)
    .bind(json(&run.told.name))
    .bind(json(&run.told.spans))
    .bind(json(section))
    .bind(json(&glance))
    .bind(json(&run.score))
    .bind(section.n_judged)
    .bind(section.n_matched)
    .bind(section.matched.map(f64::from))
    .bind(section.together.map(f64::from))
    .bind(section.spread_ms)
    .bind(section.mean_ms)
    .execute(&mut *connection)
    .await?;
    for trace in &run.traces {
        let Some(told) = run.told.players.iter().find(|p| p.player_id == trace.player_id) else { continue };
        let lane = run.glance.lanes.iter().find(|lane| lane.player_id == trace.player_id);
        sqlx::query(
            "insert or replace into run_players
             (player_id, session_id, number, told, glance, left_out_ms, pulses, centres, states)
             select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9 where exists (select 1 from players where player_id = ?1)",
        )
        .bind(&trace.player_id)
        .bind(session_id)
        .bind(run.told.number)
        .bind(json(told))
        .bind(lane.map(json))
        .bind(trace.left_out_ms)
        .bind(&trace.pulses)
        .bind(&trace.centres)
        .bind(&trace.states)
        .execute(&mut *connection)
        .await?;
    }
    for stretch in &run.stretches {
        insert_stretch(connection, session_id, run.told.number, stretch).await?;
    }
    Ok(())
}

pub(super) fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("records hold only what JSON can")
}

pub(super) fn from_json<T: DeserializeOwned>(row: &SqliteRow, column: &'static str) -> Result<T, StoreError> {
    read_json(row.try_get(column)?, column)
}

fn read_json<T: DeserializeOwned>(text: &str, column: &'static str) -> Result<T, StoreError> {
    serde_json::from_str(text).map_err(|cause| {
        StoreError::Database(sqlx::Error::ColumnDecode { index: column.to_owned(), source: Box::new(cause) })
    })
}
