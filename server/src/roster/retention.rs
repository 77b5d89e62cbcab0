//! How long sessions are kept: older ones are erased at the start and once a day.

use super::dates::DAY_MS;
use super::{Roster, RosterError};
use crate::clock::unix_ms;
use crate::store::{Store, StoreError};
use std::ops::RangeInclusive;
use std::time::Duration;
use tokio::sync::watch;

/// Days a session is kept if nobody says otherwise: two school years, so that a player's way can be seen beside last
/// year's, and no longer, since personal data are kept no longer than they are needed (GDPR, article 5(1)(e)). Our choice.
pub(crate) const DEFAULT_KEEP_DAYS: i64 = 730;
/// What can be chosen: from a day, to ten years.
pub(crate) const KEEP_DAYS: RangeInclusive<i64> = 1..=3650;
/// Between two looks.
const LOOK_EVERY: Duration = Duration::from_secs(24 * 3600);

impl Roster {
    /// Days a session is kept, and whether the command line says so.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn keep_days(&self) -> Result<(i64, bool), RosterError> {
        Ok((keep_days(&self.store, self.keep_days).await?, self.keep_days.is_some()))
    }
}

async fn keep_days(store: &Store, option: Option<i64>) -> Result<i64, StoreError> {
    match option {
        Some(days) => Ok(days),
        None => Ok(store.keep_days().await?.unwrap_or(DEFAULT_KEEP_DAYS)),
    }
}

/// Erases what is older than it should be by a date. Gives the number of sessions erased.
async fn erase_old(store: &Store, option: Option<i64>, now_unix_ms: i64) -> Result<u64, StoreError> {
    let before = now_unix_ms - keep_days(store, option).await? * DAY_MS;
    store.erase_before(before).await
}

/// Keeps only recent sessions, until the server stops.
pub(crate) async fn keep_only_recent(store: Store, option: Option<i64>, mut closing: watch::Receiver<bool>) {
    let mut look = tokio::time::interval(LOOK_EVERY);
    loop {
        tokio::select! {
            _ = look.tick() => {}
            _ = closing.wait_for(|closing| *closing) => return,
        }
        match erase_old(&store, option, unix_ms()).await {
            Ok(0) => {}
            Ok(n) => tracing::info!(n, "sessions older than they should be were erased"),
            Err(error) => tracing::warn!(%error, "old sessions could not be erased; tried again tomorrow"),
        }
    }
}

#[cfg(test)]
#[path = "retention_tests.rs"]
mod tests;
