//! Which rooms a server has, for one that is started again and for a restore that goes round them. SQL stands beside the function that
//! needs it.

use super::records::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// A room of a server that has ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RoomBefore {
    /// Section that was in it.
    pub(crate) section_name: String,
    /// Its join code, where its door was open.
    pub(crate) open_code: Option<String>,
}

impl Store {
    /// The rooms that were seen at or after a moment, in the order in which they were opened.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(crate) async fn rooms_seen_since(&self, since_ms: i64) -> Result<Vec<RoomBefore>, StoreError> {
        let rows = sqlx::query(
            "select s.section_name, v.door_code from rooms_served v join sessions s using (session_id)
             where v.door_seen_ms >= ? order by v.nth",
        )
        .bind(since_ms)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(RoomBefore { section_name: r.try_get("section_name")?, open_code: r.try_get("door_code")? })
        };
        rows.iter().map(row).collect()
    }

    /// Notes a room that is served from now on.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn note_room(
        &self,
        session_id: &str,
        open_code: &str,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        sqlx::query("insert into rooms_served (session_id, door_code, door_seen_ms) values (?, ?, ?)")
            .bind(session_id)
            .bind(open_code)
            .bind(now_ms)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Notes the code of a room's door that is open, or that it is closed.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn note_door(
        &self,
        session_id: &str,
        open_code: Option<&str>,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        sqlx::query("update rooms_served set door_code = ?, door_seen_ms = ? where session_id = ?")
            .bind(open_code)
            .bind(now_ms)
            .bind(session_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Forgets a room that was closed.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn forget_room(&self, session_id: &str) -> Result<(), StoreError> {
        sqlx::query("delete from rooms_served where session_id = ?")
            .bind(session_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Forgets the rooms of earlier servers: all but these.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(crate) async fn forget_rooms_but(&self, session_ids: &[String]) -> Result<(), StoreError> {
        let ids = serde_json::to_string(session_ids).expect("a list of texts is JSON");
        sqlx::query("delete from rooms_served where session_id not in (select value from json_each(?))")
            .bind(ids)
            .execute(self.pool())
            .await?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::SessionRow;

    #[tokio::test]
    async fn rooms_are_found_again_in_their_order_until_they_are_forgotten() {
        let dir = std::env::temp_dir().join(format!("windrow-served-{}", uuid::Uuid::now_v7()));
        std::fs::create_dir_all(&dir).unwrap();
        let store = Store::open(&dir).await.unwrap();
        for (id, section) in [("b", "Reeds"), ("a", "Brass"), ("c", "Flutes")] {
            let row = SessionRow {
                session_id: id.to_owned(),
                code: "KF3M7P".to_owned(),
                section_name: section.to_owned(),
                a4_hz: 440.0,
                time_nought_unix_ms: 0,
            };
            store.open_session(&row, None).await.unwrap();
            store.note_room(id, "KF3M7P", 100).await.unwrap();
        }
        store.note_door("a", None, 200).await.unwrap();
        let seen = async |since_ms| {
            let rooms = store.rooms_seen_since(since_ms).await.unwrap();
            rooms.into_iter().map(|r| (r.section_name, r.open_code.is_some())).collect::<Vec<_>>()
        };
        let of = |section: &str, is_open| (section.to_owned(), is_open);
        assert_eq!(seen(100).await, [of("Reeds", true), of("Brass", false), of("Flutes", true)]);
        assert_eq!(seen(101).await, [of("Brass", false)]);
        store.forget_room("b").await.unwrap();
        store.forget_rooms_but(&["c".to_owned()]).await.unwrap();
        assert_eq!(seen(0).await, [of("Flutes", true)]);
        store.close().await;
        std::fs::remove_dir_all(dir).unwrap();
    }
}
