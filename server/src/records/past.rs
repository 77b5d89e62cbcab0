//! A rehearsal that is over, to be looked at again: its runs in one time, whatever server recorded them. It must know no SQL and no
//! pages.

use crate::store::{Store, StoreError, WholeSessionRow};
use windrow_protocol::units::Micros;
use windrow_room::KeptRun;

/// A rehearsal as the records have it.
#[derive(Debug, Clone)]
pub(crate) struct Past {
    pub(crate) rehearsal_id: String,
    /// At least one, in order of time.
    pub(crate) sessions: Vec<WholeSessionRow>,
    /// In the order of playing; their times are those of the first session.
    pub(crate) runs: Vec<KeptRun>,
}

impl Past {
    /// Reads it; `None` where there is none of that id.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn of(store: &Store, rehearsal_id: &str) -> Result<Option<Self>, StoreError> {
        let sessions = store.sessions_of(rehearsal_id).await?;
        let Some(first) = sessions.first() else { return Ok(None) };
        let nought_ms = first.time_nought_unix_ms;
        let mut runs = Vec::new();
        for (session_id, run) in store.kept_runs(rehearsal_id).await? {
            let own = sessions.iter().find(|session| session.session_id == session_id);
            let moved_ms = own.map_or(0, |session| session.time_nought_unix_ms - nought_ms);
            runs.push(moved(run, moved_ms as f64 * 1e3));
        }
        number_anew(&mut runs);
        Ok(Some(Self { rehearsal_id: rehearsal_id.to_owned(), sessions, runs }))
    }

    /// When the first run began, or the first session where there is no run; ms since 1970.
    pub(crate) fn began_unix_ms(&self) -> i64 {
        let nought_ms = self.sessions.first().map_or(0, |session| session.time_nought_unix_ms);
        nought_ms + self.runs.first().map_or(0, |run| (run.began_us / 1e3).round() as i64)
    }

    /// Section or ensemble; the last one, should another have been chosen on the way.
    pub(crate) fn section_name(&self) -> &str {
        self.sessions.last().map_or("", |session| &session.section_name)
    }

    /// Whether nobody played it.
    pub(crate) fn is_invented(&self) -> bool {
        self.sessions.iter().any(|session| session.invented)
    }
}

fn moved(mut run: KeptRun, by_us: f64) -> KeptRun {
    run.began_us += by_us;
    run.ended_us += by_us;
    run.score.start_us = Micros::clamped(run.score.start_us.get() + by_us).unwrap_or(run.score.start_us);
    run.stretches.iter_mut().for_each(|stretch| stretch.began_us += by_us);
    run
}

/// Where a server that was started again did not go on counting, a number would stand for two runs.
fn number_anew(runs: &mut [KeptRun]) {
    if runs.windows(2).all(|two| two[0].told.number < two[1].told.number) {
        return;
    }
    for (number, run) in (1..).zip(runs) {
        (run.told.number, run.glance.number) = (number, number);
    }
}
