//! Tests of what is taken for records and what is not: files as other programs and accidents leave them.

use super::*;
use crate::store::SessionRow;
use std::fs;

struct Dir(PathBuf);

impl Dir {
    fn new() -> Self {
        let dir = std::env::temp_dir().join(format!("windrow-integrity-{}", uuid::Uuid::now_v7()));
        fs::create_dir_all(&dir).unwrap();
        Self(dir)
    }

    fn file(&self) -> PathBuf {
        self.0.join("windrow.sqlite3")
    }
}

impl Drop for Dir {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Records with some hundred sessions, closed: several dozen pages.
async fn records() -> Dir {
    let dir = Dir::new();
    let store = Store::open(&dir.0).await.unwrap();
    for n in 0..300 {
        let row = SessionRow {
            session_id: format!("session {n:04}"),
            code: "KF3M7P".to_owned(),
            section_name: "Larkmoor Youth Winds ".repeat(10),
            a4_hz: 440.0,
            time_nought_unix_ms: n,
        };
        store.open_session(&row, None).await.unwrap();
    }
    store.close().await;
    dir
}

/// Why the records are not opened; and the file's bytes are what they were.
async fn refused(dir: &Dir) -> Unfit {
    let before = fs::read(dir.file()).unwrap();
    let error = Store::open(&dir.0).await.unwrap_err();
    assert_eq!(fs::read(dir.file()).unwrap(), before, "nothing was changed");
    match error {
        StoreError::Unfit(unfit) => unfit,
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn whole_records_are_found_whole() {
    let dir = records().await;
    let store = Store::open(&dir.0).await.unwrap();
    for is_quick in [true, false] {
        assert_eq!(store.check(is_quick).await.unwrap(), Health::Whole);
    }
    store.close().await;
}

#[tokio::test]
async fn a_file_that_is_no_records_is_told_by_name_and_left_alone() {
    let dir = Dir::new();
    fs::write(dir.file(), "Dear diary, today the oboes were sharp.").unwrap();
    assert!(matches!(refused(&dir).await, Unfit::NotSqlite));
    fs::write(dir.file(), &MAGIC[..9]).unwrap();
    assert!(matches!(refused(&dir).await, Unfit::CutOff { has: 9, .. }));
    fs::remove_file(dir.file()).unwrap();
    let options = SqliteConnectOptions::new().filename(dir.file()).create_if_missing(true);
    let mut other = options.connect().await.unwrap();
    sqlx::query("create table recipes (name text)").execute(&mut other).await.unwrap();
    other.close().await.unwrap();
    assert!(matches!(refused(&dir).await, Unfit::OtherProgram));
}

#[tokio::test]
async fn records_of_another_program_with_the_same_library_are_told_from_ours() {
    let dir = records().await;
    let mut connection = open_as_it_is(&dir.file()).await.unwrap();
    sqlx::query("update _sqlx_migrations set checksum = x'00' where version = 1")
        .execute(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
    assert!(matches!(refused(&dir).await, Unfit::OtherProgram));
}

#[tokio::test]
async fn records_of_a_newer_version_are_refused_with_both_versions() {
    let dir = records().await;
    let ours = look(&dir.file()).await.unwrap();
    let mut connection = open_as_it_is(&dir.file()).await.unwrap();
    sqlx::query(
        "insert into _sqlx_migrations (version, description, success, checksum, execution_time)
         values (?, 'from tomorrow', 1, x'00', 0)",
    )
    .bind(ours + 1)
    .execute(&mut connection)
    .await
    .unwrap();
    connection.close().await.unwrap();
    match refused(&dir).await {
        Unfit::Newer { theirs, ours: known } => assert_eq!((theirs, known), (ours + 1, ours)),
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn a_file_whose_end_is_missing_is_told_so() {
    let dir = records().await;
    let whole = fs::read(dir.file()).unwrap();
    fs::write(dir.file(), &whole[..whole.len() - 5000]).unwrap();
    match refused(&dir).await {
        Unfit::CutOff { has, wants } => {
            assert_eq!((has, wants), (whole.len() as u64 - 5000, whole.len() as u64));
        }
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn an_empty_file_begins_anew_but_not_where_a_log_lies_beside_it() {
    let dir = Dir::new();
    fs::write(dir.file(), "").unwrap();
    fs::write(beside(&dir.file(), "-wal"), "what somebody acknowledged").unwrap();
    assert!(matches!(refused(&dir).await, Unfit::LogAlone));
    assert_eq!(log_bytes(&dir.file()), 26, "the log is still there");
    fs::remove_file(beside(&dir.file(), "-wal")).unwrap();
    Store::open(&dir.0).await.unwrap().close().await;
}

#[tokio::test]
async fn a_log_that_was_half_written_is_taken_as_far_as_it_is_whole() {
    let dir = records().await;
    let store = Store::open(&dir.0).await.unwrap();
    store.name_session("session 0001", "Named once").await.unwrap();
    store.name_session("session 0001", "Named twice").await.unwrap();
    // As a power cut leaves it: the file and a log whose last page is torn.
    let elsewhere = Dir::new();
    fs::copy(dir.file(), elsewhere.file()).unwrap();
    let log = fs::read(beside(&dir.file(), "-wal")).unwrap();
    fs::write(beside(&elsewhere.file(), "-wal"), &log[..log.len() - 100]).unwrap();
    store.close().await;
    let store = Store::open(&elsewhere.0).await.unwrap();
    assert_eq!(store.check(false).await.unwrap(), Health::Whole);
    let row = sqlx::query("select section_name from sessions where session_id = 'session 0001'")
        .fetch_one(store.pool())
        .await
        .unwrap();
    assert_eq!(row.try_get::<String, _>(0).unwrap(), "Named once");
    store.close().await;
}

#[tokio::test]
async fn a_page_of_rubbish_is_found() {
    let dir = records().await;
    let mut bytes = fs::read(dir.file()).unwrap();
    // Somewhere in the middle of the sessions, well behind the schema.
    let at = bytes.len() / 4096 / 2 * 4096;
    bytes[at..at + 4096].fill(0xa5);
    fs::write(dir.file(), bytes).unwrap();
    let store = Store::open(&dir.0).await.unwrap();
    assert!(matches!(store.check(true).await.unwrap(), Health::Faults(faults) if !faults.is_empty()));
    store.close().await;
}

#[tokio::test]
async fn a_row_that_points_to_nothing_is_found() {
    let dir = records().await;
    let mut connection = open_as_it_is(&dir.file()).await.unwrap();
    sqlx::query("insert into scores (session_id, version, score) values ('nobody''s', 1, '{}')")
        .execute(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
    let store = Store::open(&dir.0).await.unwrap();
    assert_eq!(store.check(true).await.unwrap(), Health::Whole, "the quick one does not look for it");
    let fault = "a row of scores points to one of sessions that is not there".to_owned();
    assert_eq!(store.check(false).await.unwrap(), Health::Faults(vec![fault]));
    store.close().await;
}
