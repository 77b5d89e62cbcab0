//! The file of the records: held by another program, removed, replaced.

use super::rehearsal::{Rehearsal, SOON};
use super::{Row, Trying, below};
use crate::killing::{Found, records};
use crate::records::{FILE, open};
use std::path::Path;
use std::time::Duration;
use tokio::time::{Instant, sleep};

pub(super) async fn locked(trying: &Trying) -> Vec<Row> {
    let long = [60].into_iter().filter(|_| trying.long);
    let each = [1, 10].into_iter().chain(long).map(|seconds| locked_for(trying, seconds));
    futures_util::future::join_all(each).await
}

async fn locked_for(trying: &Trying, seconds: u64) -> Row {
    let tried = format!("another program writes and does not end for {seconds} s");
    let mut row = Row::new("records locked", &tried);
    let dir = below(trying, &format!("locked-{seconds}"));
    if let Some(rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
        let mut other = open(&dir.join(FILE)).await;
        if sqlx::query("begin exclusive").execute(&mut other).await.is_err() {
            row.wrong("the file could not be locked");
        }
        // A write waits five seconds for another program; shorter locks need no word.
        let until = Instant::now() + Duration::from_secs(seconds);
        if seconds > 6 {
            rehearsal.is_told("another program is using the file", &mut row).await;
        }
        tokio::time::sleep_until(until).await;
        rehearsal.went_on(&mut row);
        if sqlx::query("rollback").execute(&mut other).await.is_err() {
            row.wrong("the file could not be let go");
        }
        rehearsal.is_over(&mut row).await;
        rehearsal.end(&mut row).await;
    }
    row
}

pub(super) async fn removed(trying: &Trying) -> Vec<Row> {
    let mut row = Row::new("records removed", "all three files removed under the running server");
    let dir = below(trying, "removed");
    if let Some(rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
        for ending in ["", "-wal", "-shm"] {
            let _ = std::fs::remove_file(dir.join(format!("{FILE}{ending}")));
        }
        let since = Instant::now();
        while !dir.join(FILE).exists() && since.elapsed() < SOON {
            sleep(Duration::from_millis(50)).await;
        }
        if !dir.join(FILE).exists() {
            row.wrong("the file did not come back");
        }
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.went_on(&mut row);
        rehearsal.end(&mut row).await;
        if !row.told.iter().any(|text| text.contains("was removed")) {
            row.wrong("the conductor does not read that it was removed");
        }
    }
    vec![row]
}

pub(super) async fn replaced(trying: &Trying) -> Vec<Row> {
    let tried = "an older copy put in its place by renaming; then the server's own copy put back and the server started anew";
    let mut row = Row::new("records replaced", tried);
    let dir = below(trying, "replaced");
    if let Some(mut rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
        let other = dir.join("other.sqlite3");
        let copied =
            std::fs::copy(dir.join(FILE), &other).and_then(|_| std::fs::rename(&other, dir.join(FILE)));
        if let Err(error) = copied {
            row.wrong(error.to_string());
        }
        rehearsal.is_told("Another file was put", &mut row).await;
        sleep(Duration::from_secs(4)).await;
        rehearsal.went_on(&mut row);
        let Some(saved) = saved_beside(&dir).await else {
            row.wrong("nothing was saved beside it");
            return vec![row];
        };
        rehearsal.server.kill();
        let stands = rehearsal.section.stands().await;
        let mut found = Found::default();
        // Everything acknowledged so far is in the copy.
        let look = below(trying, "replaced-look");
        let put = std::fs::create_dir_all(&look).and_then(|()| std::fs::copy(&saved, look.join(FILE)));
        if let Err(error) = put {
            row.wrong(error.to_string());
        }
        records::look(&look, &stands.iter().map(|stand| &**stand).collect::<Vec<_>>(), &mut found).await;
        drop(stands);
        row.lost += found.lost.len() as u64;
        found.damaged.into_iter().for_each(|text| row.wrong(text));
        for ending in ["", "-wal", "-shm"] {
            let _ = std::fs::remove_file(dir.join(format!("{FILE}{ending}")));
        }
        if let Err(error) = std::fs::rename(&saved, dir.join(FILE)) {
            row.wrong(error.to_string());
        }
        let since = Instant::now();
        rehearsal.start_again().await;
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.end(&mut row).await;
    }
    vec![row]
}

/// The copy that the server made of what it had open.
async fn saved_beside(dir: &Path) -> Option<std::path::PathBuf> {
    let since = Instant::now();
    while since.elapsed() < SOON {
        let entries = std::fs::read_dir(dir).ok()?.flatten();
        let mut names = entries.filter(|e| e.file_name().to_string_lossy().starts_with("windrow-before-"));
        if let Some(entry) = names.next() {
            return Some(entry.path());
        }
        sleep(Duration::from_millis(100)).await;
    }
    None
}
