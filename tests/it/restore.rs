//! `windrow restore`: a backup in place of the records, on a new computer, on one with other records, on damaged ones, and while a
//! server runs; whatever is no backup changes nothing.

use super::backup::{full_records, said, text, windrow, windrow_beside};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use windrow_protocol::instrument::Instrument;
use windrow_tests::records::{self, Rows, everything, number};
use windrow_tests::request::{get, post};
use windrow_tests::{Player, TestServer, batch, new_data_dir};

/// What never comes from a backup: sign-ins, links, and which server ran.
const NEVER: [&str; 3] = ["access_links", "rooms_served", "sign_ins"];
/// What stays this computer's own where it has some.
const OWN: [&str; 4] = ["access_settings", "erasures", "passphrase", "taken_plans"];

async fn without(file: &Path, tables: &[&str]) -> BTreeMap<String, Rows> {
    let mut everything = everything(file).await;
    everything.retain(|table, _| !tables.contains(&table.as_str()));
    everything
}

/// A backup of records with rows in every table; the directory is to be removed.
async fn backup() -> (PathBuf, PathBuf) {
    let (dir, backup) = full_records().await;
    let (told, ended_well) = said(&windrow(&["backup", text(&backup)], &dir));
    assert!(ended_well, "{told}");
    (dir, backup)
}

fn file_starting_with(dir: &Path, start: &str) -> Option<PathBuf> {
    let entries = std::fs::read_dir(dir).unwrap().map(|entry| entry.unwrap());
    entries.into_iter().find(|e| e.file_name().to_string_lossy().starts_with(start)).map(|e| e.path())
}

#[tokio::test]
async fn a_new_computer_gets_every_row_of_every_table() {
    let (dir, backup) = backup().await;
    let new = new_data_dir();
    let (told, ended_well) = said(&windrow(&["restore", text(&backup)], &new));
    assert!(ended_well, "{told}");
    let file = new.join(records::FILE);
    assert_eq!(without(&file, &NEVER).await, without(&backup, &NEVER).await);
    for table in NEVER {
        assert_eq!(number(&file, &format!("select count(*) from {table}")).await, 0, "{table}");
    }
    assert_eq!(
        number(&file, "select count(*) from pragma_integrity_check where integrity_check <> 'ok'").await,
        0
    );
    let names: Vec<_> = std::fs::read_dir(&new).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(names.iter().all(|name| name == records::FILE || name == "serving.lock"), "{names:?}");
    std::fs::remove_dir_all(dir).unwrap();
    std::fs::remove_dir_all(new).unwrap();
}

#[tokio::test]
async fn backups_of_every_earlier_version_come_back_whole() {
    for (version, _) in records::versions().await {
        let old = new_data_dir();
        records::make(&old, version).await;
        let before = without(&old.join(records::FILE), &NEVER).await;
        let new = new_data_dir();
        let (told, ended_well) = said(&windrow(&["restore", text(&old.join(records::FILE))], &new));
        assert!(ended_well, "{told}");
        let after = everything(&new.join(records::FILE)).await;
        for (table, rows) in before {
            // `migrated` follows the rows of tables that are no more.
            if table == "serving" {
                continue;
            }
            let table = if table == "room_plan" { "taken_plans".to_owned() } else { table };
            assert_eq!(after[&table].len(), rows.len(), "{table} of version {version}");
        }
        let untouched = number(&old.join(records::FILE), "select max(version) from _sqlx_migrations").await;
        assert_eq!(untouched, version, "a backup is only read");
        std::fs::remove_dir_all(old).unwrap();
        std::fs::remove_dir_all(new).unwrap();
    }
}

#[tokio::test]
async fn other_records_are_replaced_and_kept_beside_and_the_computer_keeps_its_own() {
    let (dir, backup) = backup().await;
    let (other, _) = full_records().await;
    let file = other.join(records::FILE);
    let changes = "delete from plans; delete from sessions where session_id like '%1';
        update people set name = 'Somebody Else'; update passphrase set hash = 'of this computer';
        update access_settings set cookie_id = 'ownownow'; update retention set keep_days = 7;
        insert into sections values ('s', 'A choir of this computer');";
    records::run(&file, changes).await;
    let before = everything(&file).await;
    let (told, ended_well) = said(&windrow(&["restore", text(&backup)], &other));
    assert!(ended_well, "{told}");
    let (now, then) = (everything(&file).await, everything(&backup).await);
    for (table, rows) in &now {
        let as_in =
            if OWN.contains(&table.as_str()) || NEVER.contains(&table.as_str()) { &before } else { &then };
        assert_eq!(rows, &as_in[table], "{table}");
    }
    let kept = file_starting_with(&other, "windrow-before-restore-").unwrap();
    assert_eq!(everything(&kept).await, before);
    assert!(told.contains(text(&kept)), "{told}");
    // And so back again.
    let (told, ended_well) = said(&windrow(&["restore", text(&kept)], &other));
    assert!(ended_well, "{told}");
    assert_eq!(everything(&file).await, before);
    std::fs::remove_dir_all(dir).unwrap();
    std::fs::remove_dir_all(other).unwrap();
}

#[tokio::test]
async fn whatever_is_no_backup_is_refused_by_name_and_changes_nothing() {
    let (dir, backup) = backup().await;
    let (present, _) = full_records().await;
    let file = present.join(records::FILE);
    let whole = std::fs::read(&backup).unwrap();
    let bad = |name: &str, bytes: &[u8]| {
        let path = dir.join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    let mut rubbish = whole.clone();
    let pages = rubbish.len() / 4096;
    for page in (4..pages).step_by(3) {
        rubbish[page * 4096..page * 4096 + 2000].fill(0xa5);
    }
    let newer = bad("newer", &whole);
    let migration = "insert into _sqlx_migrations (version, description, success, checksum, execution_time)
        values (9999, 'from tomorrow', 1, x'00', 0)";
    records::run(&newer, migration).await;
    let other = bad("other", &whole);
    records::run(&other, "drop table _sqlx_migrations").await;
    let dangling = bad("dangling", &whole);
    let gone =
        "pragma foreign_keys = off; delete from players where name = 'Wren'; pragma foreign_keys = on;";
    records::run(&dangling, gone).await;
    let cases = [
        (dir.join("nothing"), "cannot be read"),
        (dir.clone(), "is no file"),
        (bad("empty", b""), "it is empty"),
        (bad("essay", b"Dear diary, today the oboes were sharp."), "no SQLite database"),
        (bad("cut", &whole[..whole.len() - 4096]), "its end is missing"),
        (bad("rubbish", &rubbish), "it is damaged"),
        (newer, "a newer Windrow made it"),
        (other, "a database of another program"),
        (dangling, "points to one of players that is not there"),
    ];
    let before = std::fs::read(&file).unwrap();
    for (path, why) in &cases {
        let (told, ended_well) = said(&windrow(&["restore", text(path)], &present));
        assert!(!ended_well && told.contains(why) && told.contains("nothing was changed"), "{why}: {told}");
        assert_eq!(std::fs::read(&file).unwrap(), before, "{why}");
    }
    let names: Vec<_> = std::fs::read_dir(&present).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(names.iter().all(|name| name == records::FILE || name == "serving.lock"), "{names:?}");
    std::fs::remove_dir_all(dir).unwrap();
    std::fs::remove_dir_all(present).unwrap();
}

#[tokio::test]
async fn damaged_records_are_put_aside_and_the_server_says_before_what_to_do() {
    let (dir, backup) = backup().await;
    let file = dir.join(records::FILE);
    let mut damaged = std::fs::read(&file).unwrap();
    for page in 2..damaged.len() / 4096 {
        damaged[page * 4096..page * 4096 + 1000].fill(0xa5);
    }
    std::fs::write(&file, &damaged).unwrap();
    let started = windrow::Server::start(windrow_tests::serve_config(&dir)).await;
    let told = started.unwrap_err().to_string();
    assert!(told.contains("it is damaged") && told.contains("windrow restore FILE"), "{told}");
    assert_eq!(std::fs::read(&file).unwrap(), damaged, "nothing was changed");
    let (told, ended_well) = said(&windrow(&["restore", text(&backup)], &dir));
    assert!(ended_well && told.contains("The damaged records lie in"), "{told}");
    let aside = file_starting_with(&dir, "windrow-damaged-").unwrap();
    assert_eq!(std::fs::read(aside).unwrap(), damaged);
    assert_eq!(without(&file, &NEVER).await, without(&backup, &NEVER).await);
    let running = windrow::Server::start(windrow_tests::serve_config(&dir)).await.unwrap();
    running.stop().await;
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn who_was_erased_since_is_erased_again() {
    let (dir, backup) = backup().await;
    let store = windrow::store::Store::open(&dir).await.unwrap();
    let wren = windrow::store::Whose::Person("0193a1b0-0000-7000-8000-000000000031".to_owned());
    store.erase(&wren).await.unwrap();
    store.close().await;
    let (told, ended_well) = said(&windrow(&["restore", text(&backup)], &dir));
    assert!(ended_well && told.contains("Erased again"), "{told}");
    let file = dir.join(records::FILE);
    let of_wren = "select count(*) from players where person_id = '0193a1b0-0000-7000-8000-000000000031'";
    assert_eq!((number(&backup, of_wren).await > 0, number(&file, of_wren).await), (true, 0));
    assert_eq!(number(&file, "select count(*) from people where name = 'Wren'").await, 0);
    assert_eq!(
        number(&file, "select count(*) from people where name = 'Tobias'").await,
        1,
        "others are back"
    );
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn a_copy_from_before_goes_when_somebody_is_erased() {
    let (dir, backup) = backup().await;
    let (told, ended_well) = said(&windrow(&["restore", text(&backup)], &dir));
    assert!(ended_well, "{told}");
    assert!(file_starting_with(&dir, "windrow-before-restore-").is_some());
    let store = windrow::store::Store::open(&dir).await.unwrap();
    let tobias = windrow::store::Whose::Person("0193a1b0-0000-7000-8000-000000000032".to_owned());
    store.erase(&tobias).await.unwrap();
    store.close().await;
    assert_eq!(file_starting_with(&dir, "windrow-before-restore-"), None);
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn a_server_that_runs_goes_on_with_what_is_restored_and_keeps_what_was_played() {
    let (dir, backup) = backup().await;
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let refused = windrow_beside(&["restore", text(&backup)], server.data_dir()).await;
    let (told, ended_well) = said(&refused);
    assert!(!ended_well && told.contains("1 player is in the room") && told.contains("--now"), "{told}");
    let file = server.data_dir().join(records::FILE);
    let sessions = "select count(*) from sessions";
    assert_eq!(number(&file, sessions).await, 1);
    let restored = windrow_beside(&["restore", text(&backup), "--now"], server.data_dir()).await;
    let (told, ended_well) = said(&restored);
    assert!(ended_well && told.contains("The server goes on"), "{told}");
    assert_eq!(number(&file, sessions).await, number(&backup, sessions).await + 1);
    // The room knows nothing of it but the list, and goes on.
    imogen.say(&batch(2, 3)).await;
    imogen.hear_ack(2).await;
    let of_imogen = "select count(*) from pulses join players using (player_id) where name = 'Imogen'";
    assert_eq!(number(&file, of_imogen).await, 6);
    let plans = get(addr, "/conduct/plans.json", &[("Cookie", &cookie)]).await;
    assert!(plans.text().contains("Monday"), "{}", plans.text());
    let roster = get(addr, "/conduct/roster", &[("Cookie", &cookie)]).await;
    assert!(roster.text().contains("Tobias"), "the list of the backup is the section's: {}", roster.text());
    let add = [("do", "add"), ("name", "Moss"), ("instrument", "oboe")];
    assert_eq!(post(addr, "/conduct/roster", &cookie, &add).await.status, 303);
    assert_eq!(number(&file, "select count(*) from people where name = 'Moss'").await, 1);
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn nothing_that_is_acknowledged_while_backups_come_back_is_lost() {
    const BATCHES: u32 = 80;
    let (dir, backup) = backup().await;
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let (done, is_done) = tokio::sync::watch::channel(false);
    let playing = async {
        for seq in 1..=BATCHES {
            imogen.say(&batch(seq, 5)).await;
            imogen.hear_ack(seq).await;
        }
        done.send_replace(true);
    };
    let restoring = async {
        let mut n = 0;
        while !*is_done.borrow() {
            let restored = windrow_beside(&["restore", text(&backup), "--now"], server.data_dir()).await;
            let (told, ended_well) = said(&restored);
            assert!(ended_well, "{told}");
            n += 1;
        }
        n
    };
    let ((), n) = tokio::join!(playing, restoring);
    assert!(n >= 1);
    let file = server.data_dir().join(records::FILE);
    let of_imogen = "select count(*) from pulses join players using (player_id) where name = 'Imogen'";
    assert_eq!(number(&file, of_imogen).await, i64::from(BATCHES * 5));
    std::fs::remove_dir_all(dir).unwrap();
}
