//! The plan for practice at home. Its text is kept as it comes: what a plan is, is not known here.

use super::records::{Store, StoreError};
use sqlx::Row;

/// The plan for practice at home.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HomePlanRow {
    /// The whole plan, as its file has it.
    pub text: String,
    /// When it was chosen.
    pub set_unix_ms: i64,
}

impl Store {
    /// The plan for practice at home, once one was chosen.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn home_plan(&self) -> Result<Option<HomePlanRow>, StoreError> {
        let row = sqlx::query("select text, set_unix_ms from home_plan").fetch_optional(self.pool()).await?;
        let Some(row) = row else { return Ok(None) };
        Ok(Some(HomePlanRow { text: row.try_get("text")?, set_unix_ms: row.try_get("set_unix_ms")? }))
    }

    /// Chooses it, in place of any other.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn set_home_plan(&self, plan: &HomePlanRow) -> Result<(), StoreError> {
        sqlx::query("insert or replace into home_plan (home_plan_id, text, set_unix_ms) values (1, ?, ?)")
            .bind(&plan.text)
            .bind(plan.set_unix_ms)
            .execute(self.pool())
            .await?;
        Ok(())
    }
}
