//! What somebody played over weeks, from the records: a device asks for what it may see, the conductor for a person. It must
//! know no page and no figure.

use super::{Roster, RosterError, Who};
use crate::store::{SessionKind, StretchRow, Whose};
use crate::weeks::{Asked, Played, Where};
use windrow_protocol::judge::State;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

/// Everything one player played, the oldest first.
#[derive(Debug)]
pub(crate) struct PlayedBy {
    pub(crate) who: Who,
    /// Whether this is all: a device that is not confirmed sees only what it recorded itself.
    pub(crate) is_all: bool,
    pub(crate) played: Vec<Played>,
}

impl Roster {
    /// What a device may see; `None` where it is strange.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn played_by_device(&self, token: &str) -> Result<Option<PlayedBy>, RosterError> {
        let Some((whose, is_all)) = self.whose(token).await? else { return Ok(None) };
        let Some(who) = self.who(token).await? else { return Ok(None) };
        Ok(Some(PlayedBy { who, is_all, played: self.played(&whose).await? }))
    }

    /// What a person of any list played; `None` where there is none.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn played_by_person(&self, person_id: &str) -> Result<Option<PlayedBy>, RosterError> {
        let Some(who) = self.who_is(person_id).await? else { return Ok(None) };
        let played = self.played(&Whose::Person(person_id.to_owned())).await?;
        Ok(Some(PlayedBy { who, is_all: true, played }))
    }

    async fn played(&self, whose: &Whose) -> Result<Vec<Played>, RosterError> {
        let rows = self.store.stretches_of(whose, i64::MIN).await?;
        Ok(rows.iter().filter_map(played).collect())
    }
}

/// A row of the records for the arithmetic of weeks; `None` where a newer program wrote what this one does not know.
pub(crate) fn played(row: &StretchRow) -> Option<Played> {
    let asked = match row.target.as_str() {
        "straight" => Asked::Straight,
        "free" => Asked::Free,
        "pulses" => Asked::Pulses(PerBeat::new(u8::try_from(row.per_beat?).ok()?).ok()?),
        _ => return None,
    };
    Some(Played {
        began_unix_ms: row.began_unix_ms,
        place: match row.kind {
            SessionKind::Rehearsal => Where::Rehearsal,
            SessionKind::Practice | SessionKind::Recording => Where::Home,
        },
        invented: row.invented,
        instrument: row.instrument.clone(),
        asked,
        bpm: Bpm::new(row.bpm).ok()?,
        is_steady: row.bpm_to.is_none() && !row.loosely,
        bars: row.bars,
        asked_s: row.asked_s,
        judged_s: row.judged_s,
        held: row.held,
        state: State::ALL.into_iter().find(|state| state.word() == row.state)?,
        matched: row.matched,
        pulse_rate_hz: row.pulse_rate_hz,
        timing_ms: row.timing_ms,
        timing_spread_ms: row.timing_spread_ms,
        depth_db_pp: row.depth_db_pp,
        swing_cents_pp: row.swing_cents_pp,
        centre_cents: row.centre_cents,
        drift_cents: row.drift_cents,
        from_straight_cents: row.from_straight_cents,
        evenness_cv: row.evenness_cv,
    })
}
