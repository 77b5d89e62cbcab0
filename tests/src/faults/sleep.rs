//! A server that stands still and goes on, as on a laptop that sleeps. A stopped process is one whose clock counts on; a clock that does
//! not is in the unit tests of the server's `pauses` and of the shared clock, since no program can put this computer to sleep.

use super::rehearsal::Rehearsal;
use super::{Row, Trying, below};
use std::process::Command;
use std::time::Duration;
use tokio::time::{Instant, sleep};

pub(super) async fn asleep(trying: &Trying) -> Vec<Row> {
    let long = [60].into_iter().filter(|_| trying.long);
    let each = [5].into_iter().chain(long).map(|seconds| asleep_for(trying, seconds));
    futures_util::future::join_all(each).await
}

async fn asleep_for(trying: &Trying, seconds: u64) -> Row {
    let tried = format!("the server's process stopped for {seconds} s (SIGSTOP), then let go on");
    let mut row = Row::new("asleep", &tried);
    if !cfg!(unix) {
        return Row::skipped("asleep", "only on Unix");
    }
    let dir = below(trying, &format!("asleep-{seconds}"));
    if let Some(rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
        let signal = |name: &str| {
            let _ = Command::new("kill").args([name, &rehearsal.server.id().to_string()]).status();
        };
        signal("-STOP");
        sleep(Duration::from_secs(seconds)).await;
        signal("-CONT");
        let since = Instant::now();
        rehearsal.section.forget_gaps();
        sleep(Duration::from_secs(1)).await;
        let n_pictures = rehearsal.section.page().n_pictures;
        row.remark(format!("{n_pictures} pictures in the second afterwards"));
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.end(&mut row).await;
        if !row.told.iter().any(|text| text.contains("stood still") || text.contains("asleep")) {
            row.wrong("the conductor does not read of it");
        }
    }
    row
}
