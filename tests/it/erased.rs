//! What erasing leaves of rehearsals that several were in: nothing of who was erased, in no byte of the file, and everything of the
//! others. The records are those of tests/fixtures.

use std::path::{Path, PathBuf};
use windrow::store::{Store, Whose};
use windrow_tests::new_data_dir;
use windrow_tests::records::{self, column, number, open};

const WREN: &str = "0193a1b0-0000-7000-8000-000000000031";
const TOBIAS: &str = "0193a1b0-0000-7000-8000-000000000032";
const REHEARSAL: &str = "0193a1b0-0000-7000-8000-000000000005";

async fn made() -> (PathBuf, PathBuf) {
    let dir = new_data_dir();
    records::make(&dir, records::versions().await.last().unwrap().0).await;
    let file = dir.join(records::FILE);
    (dir, file)
}

async fn erase(dir: &Path, person_id: &str) {
    let store = Store::open(dir).await.unwrap();
    store.erase(&Whose::Person(person_id.to_owned())).await.unwrap();
    store.close().await;
}

fn stands(file: &Path, text: &str) -> bool {
    let bytes = std::fs::read(file).unwrap();
    bytes.windows(text.len()).any(|window| window == text.as_bytes())
}

async fn texts(file: &Path, sql: &str) -> Vec<String> {
    column(&mut open(file).await, sql).await
}

#[tokio::test]
async fn of_a_run_that_others_were_in_too_only_the_others_stay() {
    let (dir, file) = made().await;
    assert!(stands(&file, "Tobias") && stands(&file, "000000000018"));
    erase(&dir, TOBIAS).await;
    assert!(!stands(&file, "Tobias"), "in list, lanes, results and room checks");
    assert!(!stands(&file, "0193a1b0-0000-7000-8000-000000000018"), "the player of that session");
    let of_run = format!("from runs where session_id = '{REHEARSAL}' and number = 1");
    let section = texts(&file, &format!("select section {of_run}")).await;
    let section: serde_json::Value = serde_json::from_str(&section[0]).unwrap();
    // By the fixture: chair 2 was out. What the section came to is nobody's own.
    assert_eq!((&section["out"], &section["n_judged"]), (&serde_json::Value::Null, &2.into()));
    let check = texts(&file, "select found from room_checks").await;
    let check: serde_json::Value = serde_json::from_str(&check[0]).unwrap();
    assert_eq!(check["chairs"].as_array().unwrap().len(), 1);
    assert_eq!((&check["chairs"][0]["name"], check["advice"].as_array().unwrap().len()), (&"Wren".into(), 1));
    assert_eq!(number(&file, "select count(*) from stretches").await, 2, "Wren's, there and at home");
    assert_eq!(number(&file, "select count(*) from session_plans").await, 1, "a plan is nobody's");
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn what_only_one_was_in_goes_whole() {
    let (dir, file) = made().await;
    erase(&dir, TOBIAS).await;
    erase(&dir, WREN).await;
    for table in ["runs", "run_players", "stretches", "room_checks", "pulse_packs"] {
        assert_eq!(number(&file, &format!("select count(*) from {table}")).await, 0, "{table}");
    }
    assert!(!stands(&file, "invented origin"), "the practice that Wren brought");
    assert_eq!(number(&file, "select count(*) from sessions where kind <> 'rehearsal'").await, 0);
    for player in ["14", "16", "17", "19", "1a"] {
        assert!(!stands(&file, &format!("0193a1b0-0000-7000-8000-0000000000{player}")), "{player}");
    }
    // Whoever nobody knew by a device then is another Wren.
    assert_eq!(number(&file, "select count(*) from players where name like 'Wren%'").await, 2);
    assert_eq!(number(&file, "select count(*) from pragma_foreign_key_check").await, 0);
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn what_is_too_old_goes_with_its_runs_checks_plans_and_packs() {
    let (dir, file) = made().await;
    // As at a server's start: none of the fixtures' is open any more.
    windrow_tests::records::run(&file, "delete from rooms_served").await;
    let store = Store::open(&dir).await.unwrap();
    store.pack_pulses().await.unwrap();
    // The end of the century: everything of the fixtures has begun before.
    store.erase_before(4_102_444_800_000).await.unwrap();
    store.close().await;
    let by_session = [
        "sessions",
        "players",
        "scores",
        "pulses",
        "pulse_packs",
        "span_results",
        "runs",
        "run_players",
        "stretches",
        "room_checks",
        "session_plans",
    ];
    for table in by_session {
        assert_eq!(number(&file, &format!("select count(*) from {table}")).await, 0, "{table}");
    }
    assert!(!stands(&file, "advice-noisy") && !stands(&file, "0193a1b0-0000-7000-8000-000000000017"));
    assert_eq!(number(&file, "select count(*) from people").await, 2, "who is in a list stays in it");
    std::fs::remove_dir_all(dir).unwrap();
}
