//! A rehearsal's document from the records. It must know no SQL and no pages.

use super::document::{
    CheckAsFound, Document, FORMAT, Kind, PlanAsRun, Player, Pulses, Session, SpanAsTold, VERSION,
};
use crate::roster::dates::to_the_ms;
use crate::store::{PulseRow, SessionKind, SessionPlayerRow, SpanRow, Store, StoreError, WholeSessionRow};
use serde::de::DeserializeOwned;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::units::{Cents, Decibels, Hertz, Name, Ratio};
use windrow_room::KeptRun;

/// Why there is no document.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CannotGather {
    /// The records said no.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Something in them is not what this program writes.
    #[error("the records hold {0} that this version cannot read")]
    Unreadable(&'static str),
}

/// All rehearsals there are, the oldest first; of one section where it is named.
///
/// # Errors
/// When they cannot be read.
pub(crate) async fn rehearsal_ids(store: &Store, section: Option<&str>) -> Result<Vec<String>, StoreError> {
    let rows = store.rehearsals(section).await?;
    Ok(rows.into_iter().rev().map(|row| row.rehearsal_id).collect())
}

/// Everything of a rehearsal; `None` where there is none of that id.
///
/// # Errors
/// When it cannot be read.
pub(crate) async fn document_of(store: &Store, rehearsal_id: &str) -> Result<Option<Document>, CannotGather> {
    let rows = store.sessions_of(rehearsal_id).await?;
    if rows.is_empty() {
        return Ok(None);
    }
    let mut kept = store.kept_runs(rehearsal_id).await?;
    let mut sessions = Vec::new();
    for row in rows {
        let (own, others) = kept.into_iter().partition(|(session_id, _)| *session_id == row.session_id);
        kept = others;
        let runs: Vec<(String, KeptRun)> = own;
        sessions.push(session(store, row, runs.into_iter().map(|(_, run)| run).collect()).await?);
    }
    Ok(Some(Document {
        format: FORMAT.to_owned(),
        version: VERSION,
        made_by: format!("windrow {}", env!("CARGO_PKG_VERSION")),
        has_names: true,
        rehearsal_id: rehearsal_id.to_owned(),
        sessions,
    }))
}

async fn session(store: &Store, row: WholeSessionRow, runs: Vec<KeptRun>) -> Result<Session, CannotGather> {
    let mut players = Vec::new();
    for player in store.players_of_session(&row.session_id).await? {
        let pulses = store.pulses_of(&player.player_id).await?;
        let spans = store.spans_of(&player.player_id).await?;
        players.push(person(player, &pulses, spans)?);
    }
    let plans = store.plans_of_session(&row.session_id).await?;
    let plans = plans.into_iter().map(|(taken_us, texts)| {
        let [title, text] = <[String; 2]>::try_from(texts).unwrap_or_default();
        PlanAsRun { taken_us, title, text }
    });
    let checks = store.checks_of_session(&row.session_id).await?;
    let checks = checks.into_iter().map(|(checked_us, texts)| {
        let found = decoded(texts.first().map(String::as_str).unwrap_or_default(), "a room check")?;
        Ok(CheckAsFound { checked_us, found })
    });
    let scores = store.scores_of_session(&row.session_id).await?;
    let scores = scores.iter().map(|text| decoded(text, "a score"));
    Ok(Session {
        origin_id: row.origin_id.unwrap_or_else(|| row.session_id.clone()),
        kind: kind(row.kind),
        invented: row.invented,
        section_name: name(&row.section_name),
        a4_hz: Hertz::new(row.a4_hz).map_err(|_| CannotGather::Unreadable("a tuning"))?,
        time_nought_utc: to_the_ms(row.time_nought_unix_ms),
        ended_us: row.ended_us,
        players,
        plans: plans.collect(),
        room_checks: checks.collect::<Result<_, CannotGather>>()?,
        scores: scores.collect::<Result<_, _>>()?,
        runs,
        session_id: row.session_id,
    })
}

fn decoded<T: DeserializeOwned>(text: &str, what: &'static str) -> Result<T, CannotGather> {
    serde_json::from_str(text).map_err(|_| CannotGather::Unreadable(what))
}

fn kind(kind: SessionKind) -> Kind {
    match kind {
        SessionKind::Rehearsal => Kind::Rehearsal,
        SessionKind::Practice => Kind::Practice,
        SessionKind::Recording => Kind::Recording,
    }
}

/// What the records hold was a name when it was written.
fn name(text: &str) -> Name {
    Name::new(text).or_else(|_| Name::new("?")).expect("a sign is a name")
}

fn person(row: SessionPlayerRow, pulses: &[PulseRow], spans: Vec<SpanRow>) -> Result<Player, CannotGather> {
    let unreadable = |_| CannotGather::Unreadable("a pulse");
    let columns = Pulses {
        time_us: pulses.iter().map(|p| p.time_us).collect(),
        depth_db_pp: each(pulses, |p| Decibels::new(p.depth_db).map_err(unreadable))?,
        swing_cents_pp: each(pulses, |p| Cents::new(p.swing_cents).map_err(unreadable))?,
        mean_cents: each(pulses, |p| p.mean_cents.map(Cents::new).transpose().map_err(unreadable))?,
        choked: pulses.iter().map(|p| p.choked).collect(),
    };
    let instrument = Instrument::from_slug(&row.instrument);
    Ok(Player {
        player_id: row.player_id,
        person_id: row.person_id,
        name: name(&row.name),
        instrument: instrument.ok_or(CannotGather::Unreadable("an instrument"))?,
        chair: u16::try_from(row.chair).unwrap_or(u16::MAX),
        calibrated: row.calibrated,
        pulses: columns,
        span_results: spans.into_iter().map(span).collect(),
    })
}

fn each<T>(
    pulses: &[PulseRow],
    of: impl Fn(&PulseRow) -> Result<T, CannotGather>,
) -> Result<Vec<T>, CannotGather> {
    pulses.iter().map(of).collect()
}

fn span(row: SpanRow) -> SpanAsTold {
    let [rate, depth, swing, centre, evenness, timing_ms] = row.measures;
    let state = State::ALL.into_iter().find(|state| state.word() == row.state);
    SpanAsTold {
        score_version: u32::try_from(row.score_version).unwrap_or_default(),
        span_idx: u16::try_from(row.span_idx).unwrap_or(u16::MAX),
        n_pulses: u32::try_from(row.n_pulses).unwrap_or_default(),
        pulse_rate_hz: rate.and_then(|v| Hertz::new(v).ok()),
        depth_db_pp: depth.and_then(|v| Decibels::new(v).ok()),
        swing_cents_pp: swing.and_then(|v| Cents::new(v).ok()),
        centre_cents: centre.and_then(|v| Cents::new(v).ok()),
        evenness_cv: evenness.and_then(|v| Ratio::new(v).ok()),
        timing_ms,
        state: state.unwrap_or(State::NotHeard),
    }
}
