//! `windrow backup`: one file with everything, of one moment, while a server writes; what is in the way stays.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use windrow_protocol::instrument::Instrument;
use windrow_tests::records::{self, everything, number};
use windrow_tests::request::{get, post};
use windrow_tests::{Player, TestServer, batch, new_data_dir};

/// Runs the program to its end.
pub(super) fn windrow(arguments: &[&str], data_dir: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    command.args(arguments).arg("--data").arg(data_dir).output().unwrap()
}

/// The same beside a server in this process.
pub(super) async fn windrow_beside(arguments: &[&str], data_dir: &Path) -> Output {
    let arguments: Vec<String> = arguments.iter().map(|&argument| argument.to_owned()).collect();
    let data_dir = data_dir.to_owned();
    let run = move || windrow(&arguments.iter().map(String::as_str).collect::<Vec<_>>(), &data_dir);
    tokio::task::spawn_blocking(run).await.unwrap()
}

/// Its two outputs as one text, and whether it ended well.
pub(super) fn said(output: &Output) -> (String, bool) {
    let text = [&output.stdout[..], &output.stderr[..]].concat();
    (String::from_utf8(text).unwrap(), output.status.success())
}

/// Records of this version with rows in every table, and a path for a backup of them.
pub(super) async fn full_records() -> (PathBuf, PathBuf) {
    let dir = new_data_dir();
    let newest = records::versions().await.last().unwrap().0;
    records::make(&dir, newest).await;
    let backup = dir.join("a backup.sqlite3");
    (dir, backup)
}

pub(super) fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[tokio::test]
async fn a_backup_has_every_row_of_every_table_and_is_for_its_owner_alone() {
    let (dir, backup) = full_records().await;
    let (told, ended_well) = said(&windrow(&["backup", text(&backup)], &dir));
    assert!(ended_well, "{told}");
    let original = everything(&dir.join(records::FILE)).await;
    for (table, rows) in &original {
        assert!(!rows.is_empty(), "{table} has rows to be copied");
        let line =
            told.lines().find(|line| line.split_whitespace().next() == Some(table)).unwrap_or_default();
        assert_eq!(line.split_whitespace().last(), Some(rows.len().to_string().as_str()), "{table}: {told}");
    }
    assert_eq!(everything(&backup).await, original);
    assert!(told.contains("is whole") && told.contains("It holds names"), "{told}");
    let log = dir.join("a backup.sqlite3-wal");
    assert!(!log.exists(), "a backup is one file");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(&backup).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "names of players are in it");
    }
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn a_file_that_is_there_is_only_replaced_where_that_is_said() {
    let (dir, backup) = full_records().await;
    std::fs::write(&backup, "somebody's essay").unwrap();
    let (told, ended_well) = said(&windrow(&["backup", text(&backup)], &dir));
    assert!(!ended_well && told.contains("is there already") && told.contains("--overwrite"), "{told}");
    assert_eq!(std::fs::read(&backup).unwrap(), b"somebody's essay");
    let (told, ended_well) = said(&windrow(&["backup", text(&backup), "--overwrite"], &dir));
    assert!(ended_well, "{told}");
    assert_eq!(everything(&backup).await, everything(&dir.join(records::FILE)).await);
    // Not even so over the records themselves.
    let file = dir.join(records::FILE);
    let before = std::fs::read(&file).unwrap();
    let (told, ended_well) = said(&windrow(&["backup", text(&file), "--overwrite"], &dir));
    assert!(!ended_well && told.contains("the file of the records itself"), "{told}");
    assert_eq!(std::fs::read(&file).unwrap(), before);
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn what_cannot_be_backed_up_is_told_and_leaves_nothing_behind() {
    let (dir, backup) = full_records().await;
    let nowhere = dir.join("no such folder").join("b.sqlite3");
    let (told, ended_well) = said(&windrow(&["backup", text(&nowhere)], &dir));
    assert!(!ended_well && told.contains("cannot be written"), "{told}");
    let empty = new_data_dir();
    std::fs::create_dir_all(&empty).unwrap();
    let (told, ended_well) = said(&windrow(&["backup", text(&backup)], &empty));
    assert!(!ended_well && told.contains("there are no records"), "{told}");
    let file = dir.join(records::FILE);
    let whole = std::fs::read(&file).unwrap();
    std::fs::write(&file, &whole[..whole.len() / 2]).unwrap();
    let (told, ended_well) = said(&windrow(&["backup", text(&backup)], &dir));
    assert!(!ended_well && told.contains("its end is missing"), "{told}");
    let names: Vec<_> = std::fs::read_dir(&dir).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names, [records::FILE], "no part of a copy is left");
    std::fs::remove_dir_all(dir).unwrap();
    std::fs::remove_dir_all(empty).unwrap();
}

/// Backups one after another while two players send: in each is everything that was acknowledged before it began, nothing of a
/// batch without the rest of it, and it is whole.
#[tokio::test]
async fn a_backup_while_a_server_writes_is_of_one_moment() {
    const BATCHES: u32 = 120;
    const EACH: u32 = 5;
    let server = TestServer::start().await;
    let mut players = Vec::new();
    for name in ["Imogen", "Tobias"] {
        players.push(Player::join(&server, name, Instrument::Flute).await);
    }
    let (acknowledged, heard) = tokio::sync::watch::channel(0i64);
    let playing = async {
        for seq in 1..=BATCHES {
            for player in &mut players {
                player.say(&batch(seq, EACH)).await;
            }
            for player in &mut players {
                player.hear_ack(seq).await;
            }
            acknowledged.send_replace(i64::from(seq * EACH * 2));
        }
    };
    let copying = async {
        let mut n_backups = 0;
        loop {
            let (at_least, n) = (*heard.borrow(), n_backups);
            let file = server.data_dir().join(format!("backup {n}"));
            let made = windrow_beside(&["backup", text(&file)], server.data_dir()).await;
            assert!(made.status.success(), "{}", said(&made).0);
            let in_it = number(&file, "select count(*) from pulses").await;
            assert!(in_it >= at_least, "{in_it} of {at_least} acknowledged");
            let torn =
                "select count(*) from (select 1 from pulses group by player_id, seq having count(*) <> 5)";
            assert_eq!(number(&file, torn).await, 0, "no batch is in it by half");
            assert_eq!(number(&file, "select count(*) from pragma_foreign_key_check").await, 0);
            n_backups += 1;
            if at_least == i64::from(BATCHES * EACH * 2) {
                break n_backups;
            }
        }
    };
    let ((), n_backups) = tokio::join!(playing, copying);
    assert!(n_backups >= 2, "at least one of them while they played");
}

#[tokio::test]
async fn the_conductor_downloads_a_backup_and_nothing_of_it_stays() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let page = get(addr, "/conduct/keep", &[("Cookie", &cookie)]).await;
    assert!(page.text().contains("Download a copy"), "{}", page.text());
    let answer = post(addr, "/conduct/keep/backup", &cookie, &[]).await;
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"));
    let name = answer.header("content-disposition").to_owned();
    assert!(name.starts_with("attachment; filename=\"windrow-backup-2") && !name.contains(':'), "{name}");
    let file = server.data_dir().join("downloaded.sqlite3");
    std::fs::write(&file, &answer.body).unwrap();
    assert_eq!(number(&file, "select count(*) from pulses").await, 3);
    let passing = || {
        let names = std::fs::read_dir(server.data_dir()).unwrap().map(|entry| entry.unwrap().file_name());
        names.filter(|name| name.to_string_lossy().contains("passing")).count()
    };
    // The server lets go of it when the last piece has been taken, which may be a moment later.
    for _ in 0..200 {
        if passing() == 0 {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    }
    assert_eq!(passing(), 0);
}
