//! What breaks a rehearsal, tried on real servers in processes of their own: disks, files, other programs, handles, networks, sleep and
//! clocks. Each fault is a row: what was tried, what went on, what was lost, what the conductor read, and how long it took until all was
//! as before. Everything stays on this computer, is bounded, and stops by itself.

mod clock;
#[cfg(target_os = "linux")]
mod disk;
mod files;
mod full;
mod handles;
mod network;
mod rehearsal;
mod sleep;

#[cfg(target_os = "linux")]
pub use disk::SmallDisk;

use futures_util::future::BoxFuture;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What came of one fault.
#[derive(Debug, Clone, Serialize)]
pub struct Row {
    /// What broke.
    pub fault: String,
    /// How it was tried.
    pub tried: String,
    /// Whether the rehearsal went on and everything was as before afterwards.
    pub survived: bool,
    /// Acknowledged pulses and results of spans that are not in the records.
    pub lost: u64,
    /// Those that are there twice.
    pub doubled: u64,
    /// What the conductor read of it.
    pub told: Vec<String>,
    /// From its end until every device was back and all was safe, ms.
    pub recovered_ms: Option<f64>,
    /// What else is to be said, above all what went wrong.
    pub remarks: Vec<String>,
    /// Whether it could not be tried on this computer.
    pub skipped: bool,
}

impl Row {
    fn new(fault: &str, tried: &str) -> Self {
        Self {
            fault: fault.to_owned(),
            tried: tried.to_owned(),
            survived: true,
            lost: 0,
            doubled: 0,
            told: Vec::new(),
            recovered_ms: None,
            remarks: Vec::new(),
            skipped: false,
        }
    }

    fn skipped(fault: &str, why: &str) -> Self {
        Self { skipped: true, ..Self::new(fault, why) }
    }

    /// Notes what should not be.
    fn wrong(&mut self, text: impl Into<String>) {
        self.survived = false;
        self.remarks.push(text.into());
    }

    fn remark(&mut self, text: impl Into<String>) {
        self.remarks.push(text.into());
    }
}

/// How much is tried.
#[derive(Debug, Clone)]
pub struct Trying {
    /// The program that is a server.
    pub program: PathBuf,
    /// Where records go; each fault has a directory below.
    pub dir: PathBuf,
    /// Devices of a section.
    pub n_players: u16,
    /// Devices that come back at once, in rooms of 25.
    pub n_storm: u16,
    /// The long waits as well: a minute's lock, a minute's sleep.
    pub long: bool,
    /// Only faults with this in their name.
    pub only: Option<String>,
}

type Fault = fn(&Trying) -> BoxFuture<'_, Vec<Row>>;

/// The faults by name: those that mostly wait can be tried beside each other, the others want the computer for themselves.
const BESIDE_EACH_OTHER: [(&str, Fault); 9] = [
    ("disk full", |t| Box::pin(full::full(t))),
    ("disk read-only", |t| Box::pin(full::read_only(t))),
    ("start on a bad disk", |t| Box::pin(full::starts(t))),
    ("records locked", |t| Box::pin(files::locked(t))),
    ("records removed", |t| Box::pin(files::removed(t))),
    ("records replaced", |t| Box::pin(files::replaced(t))),
    ("asleep", |t| Box::pin(sleep::asleep(t))),
    ("clock set", |t| Box::pin(clock::set(t))),
    ("thin link", |t| Box::pin(network::thin(t))),
];
const ALONE: [(&str, Fault); 2] =
    [("out of handles", |t| Box::pin(handles::used_up(t))), ("network cut", |t| Box::pin(network::cut(t)))];

/// Tries the faults; `show` is told each row as it comes.
pub async fn run(trying: &Trying, show: impl Fn(&Row)) -> Vec<Row> {
    let is_wanted = |name: &str| trying.only.as_ref().is_none_or(|only| name.contains(only.as_str()));
    let mut rows = Vec::new();
    let beside = BESIDE_EACH_OTHER.iter().filter(|(name, _)| is_wanted(name)).map(|(_, fault)| fault(trying));
    let together: Vec<Vec<Row>> = futures_util::future::join_all(beside).await;
    for row in together.into_iter().flatten() {
        show(&row);
        rows.push(row);
    }
    for (_, fault) in ALONE.iter().filter(|(name, _)| is_wanted(name)) {
        for row in fault(trying).await {
            show(&row);
            rows.push(row);
        }
    }
    rows
}

/// The 95th percentile by the nearest rank; none of nothing.
#[must_use]
pub fn p95(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let rank = (0.95 * sorted.len() as f64).ceil() as usize;
    sorted.get(rank.max(1) - 1).copied()
}

fn below(trying: &Trying, name: &str) -> PathBuf {
    let dir: &Path = &trying.dir;
    dir.join(name)
}
