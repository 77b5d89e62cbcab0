//! A rehearsal over the end of a server, proper or not: what a server that is started again has to know of the one before. SQL stands
//! beside the function that needs it.

use super::records::{Store, StoreError};
use sqlx::Row;
use windrow_room::KeptRun;

impl Store {
    /// When the server time of the newest session of a rehearsal was nought, ms since 1970; `None` where there is none.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn newest_time_nought_unix_ms(
        &self,
        rehearsal_id: &str,
    ) -> Result<Option<i64>, StoreError> {
        let row = sqlx::query(
            "select max(time_nought_unix_ms) from sessions where session_id = ?1 or rehearsal_id = ?1",
        )
        .bind(rehearsal_id)
        .fetch_one(self.pool())
        .await?;
        Ok(row.try_get(0)?)
    }

    /// Closes the sessions of servers that ended without a goodbye, at the last that is known of each: the end of its last run,
    /// else its last pulse.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn close_abandoned(&self) -> Result<(), StoreError> {
        sqlx::query(
            "update sessions set ended_us = coalesce(
                 (select max(r.ended_us) from runs r where r.session_id = sessions.session_id),
                 (select max(u.time_us) from players p join pulses u on u.player_id = p.player_id
                  where p.session_id = sessions.session_id),
                 0)
             where ended_us is null and session_id not in (select session_id from rooms_served)",
        )
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// The last number of a device that is safe from the rehearsal that a session is part of; 0 where there is none. A server that
    /// was killed may have kept more than it came to acknowledge, and what is sent again must not be kept twice.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn acknowledged(&self, token_sha256: &str, session_id: &str) -> Result<u32, StoreError> {
        let row = sqlx::query(
            "select max(max(coalesce((select max(u.seq) from pulses u where u.player_id = p.player_id), 0),
                            coalesce((select k.last_seq from pulse_packs k where k.player_id = p.player_id), 0),
                            coalesce((select max(r.seq) from span_results r where r.player_id = p.player_id), 0)))
             from players p join sessions s on s.session_id = p.session_id
             where p.token_sha256 = ?1
               and coalesce(s.rehearsal_id, s.session_id) =
                   (select coalesce(rehearsal_id, session_id) from sessions where session_id = ?2)",
        )
        .bind(token_sha256)
        .bind(session_id)
        .fetch_one(self.pool())
        .await?;
        let last: Option<i64> = row.try_get(0)?;
        Ok(last.and_then(|last| u32::try_from(last).ok()).unwrap_or_default())
    }

    /// What the records have of the rehearsal that a session is part of, each run with by how much the server time of its session
    /// lies behind this session's, µs.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn runs_so_far(&self, session_id: &str) -> Result<Vec<(f64, KeptRun)>, StoreError> {
        let row = sqlx::query("select coalesce(rehearsal_id, session_id) from sessions where session_id = ?")
            .bind(session_id)
            .fetch_one(self.pool())
            .await?;
        let rehearsal_id: String = row.try_get(0)?;
        let now_ms = self.time_nought_unix_ms(session_id).await?;
        let mut runs = Vec::new();
        for (then_id, run) in self.kept_runs(&rehearsal_id).await? {
            let then_ms = self.time_nought_unix_ms(&then_id).await?;
            runs.push(((then_ms - now_ms) as f64 * 1e3, run));
        }
        Ok(runs)
    }

    /// Marks a session as made up.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn mark_invented(&self, session_id: &str) -> Result<(), StoreError> {
        sqlx::query("update sessions set invented = 1 where session_id = ?")
            .bind(session_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }
}
