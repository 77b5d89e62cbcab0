//! Tests of how long sessions are kept, with dates passed in.

use super::*;
use crate::store::{Bound, PersonFields, PlayerRecord, Record, SessionRow};
use std::path::PathBuf;

async fn store_with_sessions_of(days: &[i64], open_day: i64) -> (PathBuf, Store) {
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
        store.open_session(&row, None).await.unwrap();
    }
    store.note_room(&format!("s{open_day}"), "KF3M7P", 0).await.unwrap();
    (dir, store)
}

#[tokio::test]
async fn sessions_older_than_the_days_chosen_are_erased_and_the_open_one_never() {
    let (dir, store) = store_with_sessions_of(&[1, 100, 269, 270, 271, 999], 1).await;
    // Day 1000, 730 days: what began before day 270 goes, and day 1 is still open.
    assert_eq!(erase_old(&store, None, 1000 * DAY_MS).await.unwrap(), 2);
    assert_eq!(erase_old(&store, None, 1000 * DAY_MS).await.unwrap(), 0);
    store.set_keep_days(10).await.unwrap();
    assert_eq!(erase_old(&store, None, 1000 * DAY_MS).await.unwrap(), 2, "270 and 271");
    // The command line outdoes the page.
    assert_eq!(erase_old(&store, Some(5), 1005 * DAY_MS).await.unwrap(), 1, "999");
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}

/// Whether these bytes stand in a file of the records.
fn stands_in_files(dir: &std::path::Path, bytes: &[u8]) -> bool {
    let files = std::fs::read_dir(dir).unwrap().map(|entry| std::fs::read(entry.unwrap().path()).unwrap());
    files.into_iter().any(|file| file.windows(bytes.len()).any(|window| window == bytes))
}

#[tokio::test]
async fn what_is_too_old_leaves_the_files_bytes_and_who_is_off_the_list_since_then_goes_too() {
    let (dir, store) = store_with_sessions_of(&[10, 999], 999).await;
    let (recorder, writer) = store.start_writer();
    let (outcomes, _heard) = tokio::sync::mpsc::channel(8);
    for (session_id, name) in [("s10", "Quillfeather"), ("s999", "Thrushwood")] {
        let player = PlayerRecord {
            session_id: session_id.to_owned(),
            player_id: name.to_owned(),
            chair: 1,
            name: name.to_owned(),
            instrument: "flute",
            calibrated: false,
            token_sha256: format!("device in {session_id}"),
            person_id: None,
            bound: Bound::Person,
        };
        assert!(recorder.keep(Record::Player(player), &outcomes).is_ok());
    }
    assert!(recorder.written().await);
    drop(recorder);
    writer.await.unwrap();
    let section_id = store.section_named("Larkmoor Youth Winds").await.unwrap();
    let fields = |name: &str| PersonFields {
        name: name.to_owned(),
        instrument: "flute".to_owned(),
        part: String::new(),
    };
    for (name, removed_on_day) in [("Gone long ago", Some(20)), ("Gone lately", Some(998)), ("Here", None)] {
        let person_id = store.add_person(&section_id, &fields(name)).await.unwrap();
        store.remove_person(&person_id, removed_on_day.map(|day: i64| day * DAY_MS)).await.unwrap();
    }
    assert!(stands_in_files(&dir, b"Quillfeather") && stands_in_files(&dir, b"Gone long ago"));
    assert_eq!(erase_old(&store, Some(100), 1000 * DAY_MS).await.unwrap(), 1);
    for (bytes, stays) in [
        (&b"Quillfeather"[..], false),
        (b"Gone long ago", false),
        (b"Thrushwood", true),
        (b"Gone lately", true),
        (b"Here", true),
    ] {
        assert_eq!(stands_in_files(&dir, bytes), stays, "{}", String::from_utf8_lossy(bytes));
    }
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}
