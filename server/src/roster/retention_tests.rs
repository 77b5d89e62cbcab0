//! Tests of how long sessions are kept, with dates passed in.

use super::*;
use crate::store::SessionRow;
use std::path::PathBuf;

async fn store_with_sessions_of(days: &[i64]) -> (PathBuf, Store) {
    let dir = std::env::temp_dir().join(format!("windrow-retention-{}", uuid::Uuid::now_v7()));
    std::fs::create_dir_all(&dir).unwrap();
    let store = Store::open(&dir).await.unwrap();
    for &day in days {
        let row = SessionRow {
            session_id: format!("s{day}"),
            code: "KF3M7P".to_owned(),
            section_name: "Larkmoor Youth Winds".to_owned(),
            a4_hz: 440.0,
            time_nought_unix_ms: day * DAY_MS,
        };
        store.open_session(&row).await.unwrap();
    }
    (dir, store)
}

#[tokio::test]
async fn sessions_older_than_the_days_chosen_are_erased_and_the_open_one_never() {
    let (dir, store) = store_with_sessions_of(&[1, 100, 269, 270, 271, 999]).await;
    // Day 1000, 730 days: what began before day 270 goes, and day 1 is still open.
    assert_eq!(erase_old(&store, None, "s1", 1000 * DAY_MS).await.unwrap(), 2);
    assert_eq!(erase_old(&store, None, "s1", 1000 * DAY_MS).await.unwrap(), 0);
    store.set_keep_days(10).await.unwrap();
    assert_eq!(erase_old(&store, None, "s1", 1000 * DAY_MS).await.unwrap(), 2, "270 and 271");
    // The command line outdoes the page.
    assert_eq!(erase_old(&store, Some(5), "s1", 1005 * DAY_MS).await.unwrap(), 1, "999");
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}
