//! Rows of plans: a conductor's own ones, and the one the room plays from. Their text is kept as it comes: what a plan is, is
//! not known here.

use super::records::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// A plan of the conductor's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanRow {
    /// Short name.
    pub name: String,
    /// As people read it.
    pub title: String,
    /// The whole plan, as its file has it.
    pub text: String,
    /// Counts up with every change, from 1.
    pub version: i64,
    /// When it was last changed.
    pub changed_unix_ms: i64,
}

/// What became of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanKept {
    /// It is kept, as this version.
    Version(i64),
    /// There is another version than the change was made to; nothing was changed. None: the plan is gone.
    Other(Option<i64>),
}

impl Store {
    /// All plans, by title.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn plans(&self) -> Result<Vec<PlanRow>, StoreError> {
        let rows = sqlx::query("select * from plans order by title collate nocase, name")
            .fetch_all(self.pool())
            .await?;
        rows.iter().map(plan_row).collect()
    }

    /// A plan by its short name.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn plan(&self, name: &str) -> Result<Option<PlanRow>, StoreError> {
        let row =
            sqlx::query("select * from plans where name = ?").bind(name).fetch_optional(self.pool()).await?;
        row.as_ref().map(plan_row).transpose()
    }

    /// Adds a plan; false where there is one of this name.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn add_plan(
        &self,
        name: &str,
        title: &str,
        text: &str,
        now_ms: i64,
    ) -> Result<bool, StoreError> {
        let done = sqlx::query(
            "insert or ignore into plans (name, title, text, version, changed_unix_ms) values (?, ?, ?, 1, ?)",
        )
        .bind(name)
        .bind(title)
        .bind(text)
        .bind(now_ms)
        .execute(self.pool())
        .await?;
        Ok(done.rows_affected() == 1)
    }

    /// Changes a plan; with a version only if it is still at that one. One statement, so that of two changes to the same
    /// version one is told.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn change_plan(
        &self,
        name: &str,
        title: &str,
        text: &str,
        from_version: Option<i64>,
        now_ms: i64,
    ) -> Result<PlanKept, StoreError> {
        let row = sqlx::query(
            "update plans set title = ?, text = ?, version = version + 1, changed_unix_ms = ?
             where name = ? and version = coalesce(?, version) returning version",
        )
        .bind(title)
        .bind(text)
        .bind(now_ms)
        .bind(name)
        .bind(from_version)
        .fetch_optional(self.pool())
        .await?;
        match row {
            Some(row) => Ok(PlanKept::Version(row.try_get("version")?)),
            None => Ok(PlanKept::Other(self.plan(name).await?.map(|row| row.version))),
        }
    }

    /// Deletes a plan; whether there was one.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn delete_plan(&self, name: &str) -> Result<bool, StoreError> {
        let done = sqlx::query("delete from plans where name = ?").bind(name).execute(self.pool()).await?;
        Ok(done.rows_affected() == 1)
    }

    /// Notes what the room of a session plays from, for its section.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn set_taken_plan(&self, session_id: &str, text: &str) -> Result<(), StoreError> {
        sqlx::query(
            "insert or replace into taken_plans (section_name, text)
             select section_name, ?2 from sessions where session_id = ?1",
        )
        .bind(session_id)
        .bind(text)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// What the section of a session played from last.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn taken_plan(&self, session_id: &str) -> Result<Option<String>, StoreError> {
        let row = sqlx::query(
            "select text from taken_plans
             where section_name = (select section_name from sessions where session_id = ?)",
        )
        .bind(session_id)
        .fetch_optional(self.pool())
        .await?;
        Ok(row.map(|row| row.try_get("text")).transpose()?)
    }
}

fn plan_row(row: &SqliteRow) -> Result<PlanRow, StoreError> {
    Ok(PlanRow {
        name: row.try_get("name")?,
        title: row.try_get("title")?,
        text: row.try_get("text")?,
        version: row.try_get("version")?,
        changed_unix_ms: row.try_get("changed_unix_ms")?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::SessionRow;

    struct Records {
        store: Store,
        dir: std::path::PathBuf,
    }

    impl Drop for Records {
        fn drop(&mut self) {
            // The system clears its own directory of what stays.
            let _ = std::fs::remove_dir_all(&self.dir);
        }
    }

    async fn records() -> Records {
        let dir = std::env::temp_dir().join(format!("windrow-plans-{}", uuid::Uuid::now_v7()));
        std::fs::create_dir_all(&dir).unwrap();
        Records { store: Store::open(&dir).await.unwrap(), dir }
    }

    #[tokio::test]
    async fn of_two_changes_to_one_version_the_second_is_told_and_changes_nothing() {
        let records = records().await;
        let store = &records.store;
        assert!(store.add_plan("pulses", "Pulses", "first", 1).await.unwrap());
        assert!(!store.add_plan("pulses", "Other", "other", 2).await.unwrap(), "the name is taken");
        let change =
            async |text, version| store.change_plan("pulses", "Pulses", text, version, 3).await.unwrap();
        assert_eq!(change("one tab", Some(1)).await, PlanKept::Version(2));
        assert_eq!(change("other tab", Some(1)).await, PlanKept::Other(Some(2)));
        assert_eq!(store.plan("pulses").await.unwrap().unwrap().text, "one tab");
        assert_eq!(change("whatever there is", None).await, PlanKept::Version(3));
        assert!(store.delete_plan("pulses").await.unwrap() && !store.delete_plan("pulses").await.unwrap());
        assert_eq!(change("gone", Some(3)).await, PlanKept::Other(None));
    }

    #[tokio::test]
    async fn a_sections_plan_is_the_one_that_was_taken_last() {
        let records = records().await;
        let store = &records.store;
        for (id, section) in [("s1", "Reeds"), ("s2", "Reeds"), ("s3", "Brass")] {
            let row = SessionRow {
                session_id: id.to_owned(),
                code: String::new(),
                section_name: section.to_owned(),
                a4_hz: 440.0,
                time_nought_unix_ms: 0,
            };
            store.open_session(&row, None).await.unwrap();
        }
        assert_eq!(store.taken_plan("s1").await.unwrap(), None);
        for text in ["first", "second"] {
            store.set_taken_plan("s1", text).await.unwrap();
            assert_eq!(store.taken_plan("s2").await.unwrap().as_deref(), Some(text), "the next rehearsal");
        }
        assert_eq!(store.taken_plan("s3").await.unwrap(), None, "another section's");
    }
}
