//! The time of day set while a server runs, by a library that stands between the program and the system's clocks (libfaketime, where it
//! is installed); the steady clock stays as it is.

use super::rehearsal::{Rehearsal, Through};
use super::{Row, Trying, below};
use crate::request::get;
use std::path::PathBuf;
use std::time::Duration;
use tokio::time::{Instant, sleep};

/// Where Debian's package puts it.
const LIBRARIES: [&str; 2] = [
    "/usr/lib/x86_64-linux-gnu/faketime/libfaketime.so.1",
    "/usr/lib/aarch64-linux-gnu/faketime/libfaketime.so.1",
];
/// Forward and back by an hour, as with daylight saving that a system takes for its own clock; a step of the network's time; and a clock
/// that had been wrong by a day.
const SET_BY: [&str; 5] = ["+3600", "-3600", "-0.4", "+0", "+86400"];

pub(super) async fn set(trying: &Trying) -> Vec<Row> {
    let name = "clock set";
    let Some(library) = LIBRARIES.iter().map(PathBuf::from).find(|path| path.exists()) else {
        return vec![Row::skipped(name, "not tried: libfaketime is not installed")];
    };
    let mut row =
        Row::new(name, "time of day an hour forward, an hour back, 0.4 s back, and a day forward, 4 s each");
    let dir = below(trying, "clock");
    let file = below(trying, "clock-offset");
    if let Err(error) = std::fs::create_dir_all(&trying.dir).and_then(|()| std::fs::write(&file, "+0")) {
        row.wrong(error.to_string());
        return vec![row];
    }
    let environment = [
        ("LD_PRELOAD", library.display().to_string()),
        ("FAKETIME_TIMESTAMP_FILE", file.display().to_string()),
        ("FAKETIME_NO_CACHE", "1".to_owned()),
        ("FAKETIME_DONT_FAKE_MONOTONIC", "1".to_owned()),
    ];
    let environment = environment.map(|(name, value)| (name.to_owned(), value)).to_vec();
    let through = Through { environment, ..Through::default() };
    if let Some(mut rehearsal) = Rehearsal::begin(trying, &dir, through, &mut row).await {
        let n_joins = rehearsal.section.n_joins();
        let code = rehearsal.place.code.clone();
        for by in SET_BY {
            if let Err(error) = std::fs::write(&file, by) {
                row.wrong(error.to_string());
            }
            sleep(Duration::from_secs(4)).await;
            let page =
                get(rehearsal.place.addr.parse().expect("an address"), &format!("/join/{code}"), &[]).await;
            if page.status >= 400 {
                row.wrong(format!("the door does not open any more ({by} s)"));
            }
        }
        rehearsal.went_on(&mut row);
        if rehearsal.section.n_joins() != n_joins {
            row.wrong("devices were lost");
        }
        if let Err(error) = std::fs::write(&file, "-600") {
            row.wrong(error.to_string());
        }
        // Another start ten minutes before the first.
        rehearsal.server.kill();
        let since = Instant::now();
        rehearsal.start_again().await;
        if rehearsal.place.code != code {
            row.remark("another code after a start with the clock set back");
        }
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.end(&mut row).await;
    }
    vec![row]
}
