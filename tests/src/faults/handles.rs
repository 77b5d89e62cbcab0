//! A server that may have no more files and connections open.

use super::rehearsal::{Rehearsal, SOON, Through};
use super::{Row, Trying, below};
use crate::killing::stand::Stand;
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::time::{Instant, sleep, timeout};

/// How long nobody else gets in.
const USED_UP_FOR: Duration = Duration::from_secs(10);
/// Ticks of a processor's time in a second, as /proc has them (sysconf(_SC_CLK_TCK) on Linux).
const TICKS_PER_S: f64 = 100.0;

pub(super) async fn used_up(trying: &Trying) -> Vec<Row> {
    let mut rows = Vec::new();
    for limit in [64, 256] {
        rows.push(used_up_at(trying, limit).await);
    }
    rows
}

async fn used_up_at(trying: &Trying, limit: usize) -> Row {
    let tried =
        format!("at most {limit} open files for the server, all of them taken by idle connections for 10 s");
    let mut row = Row::new("out of handles", &tried);
    if !cfg!(target_os = "linux") {
        return Row::skipped("out of handles", "only on Linux");
    }
    let shell = ["sh", "-c", &format!("ulimit -n {limit}; exec \"$0\" \"$@\"")].map(str::to_owned).to_vec();
    let through = Through { command: shell, ..Through::default() };
    let dir = below(trying, &format!("handles-{limit}"));
    if let Some(rehearsal) = Rehearsal::begin(trying, &dir, through, &mut row).await {
        let mut idle = Vec::new();
        for _ in 0..limit + 40 {
            // Those that the server does not take wait in the system's queue.
            if let Ok(Ok(stream)) =
                timeout(Duration::from_secs(1), TcpStream::connect(&rehearsal.place.addr)).await
            {
                idle.push(stream);
            }
        }
        rehearsal.is_told("Nobody else gets in", &mut row).await;
        rehearsal.section.forget_gaps();
        let (n_joins, before) = (rehearsal.section.n_joins(), processor_s(rehearsal.server.id()));
        sleep(USED_UP_FOR).await;
        let share = (processor_s(rehearsal.server.id()) - before) / USED_UP_FOR.as_secs_f64();
        row.remark(format!("{:.0} % of a processor meanwhile", share * 100.0));
        if share > 0.5 {
            row.wrong("the server spins");
        }
        if rehearsal.section.n_joins() != n_joins {
            row.wrong("devices that were in were lost");
        }
        if rehearsal.section.all_safe(Duration::from_secs(5)).await.is_none() {
            row.wrong("what those who are in play is not written");
        }
        rehearsal.went_on(&mut row);
        drop(idle);
        let since = Instant::now();
        let mut late = Stand::new(200, 3);
        let mut is_in = None;
        while since.elapsed() < SOON && is_in.is_none() {
            is_in = late.come_in(&rehearsal.place.addr, &rehearsal.place.code).await;
        }
        match is_in {
            Some(_) => row.recovered_ms = Some(since.elapsed().as_secs_f64() * 1e3),
            None => row.wrong("nobody gets in afterwards"),
        }
        if rehearsal.section.reads(None, SOON).await.is_none() {
            row.wrong("the conductor still reads it");
        }
        rehearsal.end(&mut row).await;
    }
    row
}

/// Processor time of a process so far, s (proc(5): /proc/PID/stat, fields 14 and 15).
fn processor_s(id: u32) -> f64 {
    let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks: f64 =
        after_name.split_whitespace().skip(11).take(2).filter_map(|n| n.parse::<f64>().ok()).sum();
    ticks / TICKS_PER_S
}
