//! What the records say before another session is carried in: whether it is there already. It must not know who asks.

use super::records::{Store, StoreError};
use sqlx::Row;

impl Store {
    /// Whether a session of this origin is there already.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn has_origin(&self, origin_id: &str) -> Result<bool, StoreError> {
        let row = sqlx::query("select exists (select 1 from sessions where origin_id = ?)")
            .bind(origin_id)
            .fetch_one(self.pool())
            .await?;
        Ok(row.try_get::<i64, _>(0)? != 0)
    }

    /// Whether a device practised at some time between two, as far as its practices are here.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(crate) async fn practised_between(
        &self,
        token_sha256: &str,
        from_unix_ms: i64,
        until_unix_ms: i64,
    ) -> Result<bool, StoreError> {
        let row = sqlx::query(
            "select exists (
                 select 1 from players p
                 join sessions s on s.session_id = p.session_id and s.kind = 'practice'
                 join runs r on r.session_id = s.session_id
                 where p.token_sha256 = ?1
                 and s.time_nought_unix_ms + r.began_us / 1000 < ?3
                 and s.time_nought_unix_ms + r.ended_us / 1000 > ?2)",
        )
        .bind(token_sha256)
        .bind(from_unix_ms)
        .bind(until_unix_ms)
        .fetch_one(self.pool())
        .await?;
        Ok(row.try_get::<i64, _>(0)? != 0)
    }
}
