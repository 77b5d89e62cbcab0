//! What players reached: one row a player and part of a run, for whoever looks over weeks. SQL stands beside the function that
//! needs it.

use super::personal::Whose;
use super::records::{Store, StoreError};
use super::sessions::SessionKind;
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use windrow_protocol::messages;
use windrow_protocol::score::{PerBeat, Target};
use windrow_protocol::units::Bpm;
use windrow_room::Stretch;

/// What one player came to at one tempo and subdivision, with when, where and by whom it was played.
#[derive(Debug, Clone, PartialEq)]
pub struct StretchRow {
    /// The session, which is the rehearsal's or one of it.
    pub session_id: String,
    /// The rehearsal.
    pub rehearsal_id: String,
    /// In a rehearsal, or by one player alone.
    pub kind: SessionKind,
    /// Whether it is made up.
    pub invented: bool,
    /// Server time of its session, µs.
    pub began_us: i64,
    /// Unix time, ms.
    pub began_unix_ms: i64,
    /// The run, from 1.
    pub number: i64,
    /// Place of the part in it, from 0.
    pub part_idx: i64,
    /// The player of that session.
    pub player_id: String,
    /// Who that is in the section's list.
    pub person_id: Option<String>,
    /// Name then.
    pub name: String,
    /// Slug of the instrument then.
    pub instrument: String,
    /// Chair then, from 1.
    pub chair: i64,
    /// "straight", "pulses" or "free".
    pub target: String,
    /// Pulses a beat, where pulses were asked for.
    pub per_beat: Option<i64>,
    /// Tempo, or that at its beginning.
    pub bpm: f64,
    /// That at its end, where it changed.
    pub bpm_to: Option<f64>,
    /// Whether the measure was only felt.
    pub loosely: bool,
    /// Bars in which it was this player's turn.
    pub bars: f64,
    /// Seconds in which the player was in and did not rest.
    pub asked_s: f64,
    /// Those that a verdict was passed on.
    pub judged_s: f64,
    /// Whether the rung was held: matched for four bars at a steady tempo.
    pub held: bool,
    /// The state that stood longest, by its word.
    pub state: String,
    /// Share of the time asked for that could be judged by.
    pub trusted: f64,
    /// Share of the judged time that was matched.
    pub matched: Option<f64>,
    /// Pulses found.
    pub n_pulses: i64,
    /// Pulses a second.
    pub pulse_rate_hz: Option<f64>,
    /// Pulses a beat, as played.
    pub pulses_per_beat: Option<f64>,
    /// Median of pulse minus tick; only of a calibrated device.
    pub timing_ms: Option<f64>,
    /// Circular standard deviation of the same, whatever the device.
    pub timing_spread_ms: Option<f64>,
    /// Median depth.
    pub depth_db_pp: Option<f64>,
    /// Median swing.
    pub swing_cents_pp: Option<f64>,
    /// Pitch centre.
    pub centre_cents: Option<f64>,
    /// Its end minus its beginning.
    pub drift_cents: Option<f64>,
    /// Minus that of the own straight tone before.
    pub from_straight_cents: Option<f64>,
    /// Coefficient of variation of the intervals between pulses.
    pub evenness_cv: Option<f64>,
}

const STRETCHES: &str = "select t.*, s.kind, s.invented, coalesce(s.rehearsal_id, s.session_id) as rehearsal_id,
            s.time_nought_unix_ms + t.began_us / 1000 as began_unix_ms, p.person_id, p.name, p.instrument, p.chair
     from stretches t join players p on p.player_id = t.player_id join sessions s on s.session_id = t.session_id";

impl Store {
    /// What somebody came to, the oldest first; what a device of theirs recorded under a nickname is theirs as well.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn stretches_of(
        &self,
        whose: &Whose,
        from_unix_ms: i64,
    ) -> Result<Vec<StretchRow>, StoreError> {
        let (person_id, token_sha256) = match whose {
            Whose::Person(person_id) => (Some(person_id), None),
            Whose::Device(token_sha256) => (None, Some(token_sha256)),
        };
        let sql = format!(
            "{STRETCHES}
             where t.player_id in (
                select player_id from players where person_id = ?1
                union select player_id from players where token_sha256 = ?2
                union select player_id from players where person_id is null and token_sha256 in
                      (select token_sha256 from devices where person_id = ?1 and confirmed))
               and s.time_nought_unix_ms >= ?3
             order by began_unix_ms, t.number, t.part_idx"
        );
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(person_id)
            .bind(token_sha256)
            .bind(from_unix_ms)
            .fetch_all(self.pool())
            .await?;
        rows.iter().map(stretch_row).collect()
    }

    /// The same of a whole section.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn stretches_of_section(
        &self,
        section_name: &str,
        from_unix_ms: i64,
    ) -> Result<Vec<StretchRow>, StoreError> {
        let sql = format!(
            "{STRETCHES}
             where s.section_name = ? and s.time_nought_unix_ms >= ? order by began_unix_ms, t.number, p.chair, t.part_idx"
        );
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(section_name)
            .bind(from_unix_ms)
            .fetch_all(self.pool())
            .await?;
        rows.iter().map(stretch_row).collect()
    }

    /// The same of one rehearsal.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn stretches_of_rehearsal(&self, rehearsal_id: &str) -> Result<Vec<StretchRow>, StoreError> {
        let sql = format!(
            "{STRETCHES}
             where s.session_id = ?1 or s.rehearsal_id = ?1 order by s.session_id, t.number, p.chair, t.part_idx"
        );
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql)).bind(rehearsal_id).fetch_all(self.pool()).await?;
        rows.iter().map(stretch_row).collect()
    }
}

impl StretchRow {
    /// As the room has it; what was measured of that part stands in the player's result.
    pub(super) fn stretch(&self, told: &messages::PlayerResult) -> Option<Stretch> {
        let part = usize::try_from(self.part_idx).ok()?;
        let measures = (*told.spans.get(part)?)?;
        let per_beat = self.per_beat.and_then(|n| u8::try_from(n).ok());
        let target = match (self.target.as_str(), per_beat) {
            ("straight", _) => Target::Straight,
            ("free", _) => Target::Free,
            (_, Some(n)) => Target::Pulses { per_beat: PerBeat::new(n).ok()? },
            _ => return None,
        };
        Some(Stretch {
            player_id: self.player_id.clone(),
            part: u16::try_from(part).ok()?,
            began_us: self.began_us as f64,
            target,
            bpm: Bpm::new(self.bpm).ok()?,
            bpm_to: self.bpm_to.and_then(|bpm| Bpm::new(bpm).ok()),
            loosely: self.loosely,
            bars: self.bars,
            asked_s: self.asked_s,
            judged_s: self.judged_s,
            held: self.held,
            timing_spread_ms: self.timing_spread_ms,
            measures,
        })
    }
}

fn stretch_row(r: &SqliteRow) -> Result<StretchRow, StoreError> {
    Ok(StretchRow {
        session_id: r.try_get("session_id")?,
        rehearsal_id: r.try_get("rehearsal_id")?,
        kind: SessionKind::read(r)?,
        invented: r.try_get("invented")?,
        began_us: r.try_get("began_us")?,
        began_unix_ms: r.try_get("began_unix_ms")?,
        number: r.try_get("number")?,
        part_idx: r.try_get("part_idx")?,
        player_id: r.try_get("player_id")?,
        person_id: r.try_get("person_id")?,
        name: r.try_get("name")?,
        instrument: r.try_get("instrument")?,
        chair: r.try_get("chair")?,
        target: r.try_get("target")?,
        per_beat: r.try_get("per_beat")?,
        bpm: r.try_get("bpm")?,
        bpm_to: r.try_get("bpm_to")?,
        loosely: r.try_get("loosely")?,
        bars: r.try_get("bars")?,
        asked_s: r.try_get("asked_s")?,
        judged_s: r.try_get("judged_s")?,
        held: r.try_get("held")?,
        state: r.try_get("state")?,
        trusted: r.try_get("trusted")?,
        matched: r.try_get("matched")?,
        n_pulses: r.try_get("n_pulses")?,
        pulse_rate_hz: r.try_get("pulse_rate_hz")?,
        pulses_per_beat: r.try_get("pulses_per_beat")?,
        timing_ms: r.try_get("timing_ms")?,
        timing_spread_ms: r.try_get("timing_spread_ms")?,
        depth_db_pp: r.try_get("depth_db_pp")?,
        swing_cents_pp: r.try_get("swing_cents_pp")?,
        centre_cents: r.try_get("centre_cents")?,
        drift_cents: r.try_get("drift_cents")?,
        from_straight_cents: r.try_get("from_straight_cents")?,
        evenness_cv: r.try_get("evenness_cv")?,
    })
}

/// Writes a stretch in place of the one of that part.
pub(super) async fn insert_stretch(
    connection: &mut SqliteConnection,
    session_id: &str,
    number: u16,
    stretch: &Stretch,
) -> Result<(), sqlx::Error> {
    let (target, per_beat) = match stretch.target {
        Target::Pulses { per_beat } => ("pulses", Some(i64::from(per_beat.get()))),
        Target::Free => ("free", None),
        _ => ("straight", None),
    };
    let m = &stretch.measures;
    sqlx::query(
        "insert or replace into stretches
         (player_id, number, part_idx, session_id, began_us, target, per_beat, bpm, bpm_to, loosely, bars, asked_s,
          judged_s, held, state, trusted, matched, n_pulses, pulse_rate_hz, pulses_per_beat, timing_ms,
          timing_spread_ms, depth_db_pp, swing_cents_pp, centre_cents, drift_cents, from_straight_cents, evenness_cv)
         select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22,
                ?23, ?24, ?25, ?26, ?27, ?28
         where exists (select 1 from players where player_id = ?1)",
    )
    .bind(&stretch.player_id)
    .bind(number)
    .bind(stretch.part)
    .bind(session_id)
    .bind(stretch.began_us.round() as i64)
    .bind(target)
    .bind(per_beat)
    .bind(stretch.bpm.get())
    .bind(stretch.bpm_to.map(f64::from))
    .bind(stretch.loosely)
    .bind(stretch.bars)
    .bind(stretch.asked_s)
    .bind(stretch.judged_s)
    .bind(stretch.held)
    .bind(m.state.word())
    .bind(f64::from(m.trusted))
    .bind(m.matched.map(f64::from))
    .bind(m.n_pulses)
    .bind(m.pulse_rate_hz.map(f64::from))
    .bind(m.pulses_per_beat.map(f64::from))
    .bind(m.timing_ms)
    .bind(stretch.timing_spread_ms)
    .bind(m.depth_db_pp.map(f64::from))
    .bind(m.swing_cents_pp.map(f64::from))
    .bind(m.centre_cents.map(f64::from))
    .bind(m.drift_cents.map(f64::from))
    .bind(m.from_straight_cents.map(f64::from))
    .bind(m.evenness_cv.map(f64::from))
    .execute(connection)
    .await?;
    Ok(())
}
