//! A server in a process of its own with a section in it, and the look into its records afterwards. It must not know what breaks.

use super::{Row, Trying};
use crate::killing::section::{Place, Section};
use crate::killing::stand::Stand;
use crate::killing::{Found, free_addr, records};
use crate::process::{KEY, Process};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use tokio::time::{Instant, sleep};

/// Longest wait for what should come soon, on a machine that compiles something else meanwhile.
pub(super) const SOON: Duration = Duration::from_secs(40);
/// Played before anything breaks.
const PLAYED_BEFORE: Duration = Duration::from_secs(4);
/// A conductor's page without a picture for this long would be seen to stand still; pictures come every 0.2 s.
const STANDS_STILL: Duration = Duration::from_secs(2);

/// Everything that a fault needs.
pub(super) struct Rehearsal {
    pub(super) dir: PathBuf,
    pub(super) place: Place,
    pub(super) server: Process,
    pub(super) section: Section,
    program: PathBuf,
    wrapped: Vec<String>,
    environment: Vec<(String, String)>,
}

/// How a server is started: through another command, and with what in its environment.
#[derive(Debug, Clone, Default)]
pub(super) struct Through {
    pub(super) command: Vec<String>,
    pub(super) environment: Vec<(String, String)>,
}

impl Rehearsal {
    /// A section that has played for a few seconds; none where it did not come to that, which the row says.
    pub(super) async fn begin(trying: &Trying, dir: &Path, through: Through, row: &mut Row) -> Option<Self> {
        let place = Place { addr: free_addr(), code: String::new(), key: windrow::new_key() };
        Self::begin_at(trying, dir, through, place, None, row).await
    }

    /// The same with devices that go another way than straight to the server.
    pub(super) async fn begin_at(
        trying: &Trying,
        dir: &Path,
        through: Through,
        mut place: Place,
        devices_at: Option<String>,
        row: &mut Row,
    ) -> Option<Self> {
        let Through { command: wrapped, environment } = through;
        let program = trying.program.clone();
        let server = start(&program, dir, &place, &wrapped, &environment).await;
        place.code.clone_from(&server.code);
        let seen = Place { addr: devices_at.unwrap_or_else(|| place.addr.clone()), ..place.clone() };
        let section = Section::begin(seen, trying.n_players, 5);
        if section.all_back(Instant::now(), SOON).await.is_none() {
            row.wrong(format!("the section did not get in: {:?}", section.page()));
            return None;
        }
        sleep(PLAYED_BEFORE).await;
        section.forget_gaps();
        Some(Self { dir: dir.to_owned(), place, server, section, program, wrapped, environment })
    }

    /// Starts the server again, where it was.
    pub(super) async fn start_again(&mut self) {
        self.section.server_is_gone();
        self.server = start(&self.program, &self.dir, &self.place, &self.wrapped, &self.environment).await;
        self.place.code.clone_from(&self.server.code);
        self.section.code_is(&self.server.code);
    }

    /// Pictures came all the time.
    pub(super) fn went_on(&self, row: &mut Row) {
        let page = self.section.page();
        if page.longest_gap > STANDS_STILL || page.n_pictures == 0 {
            row.wrong(format!(
                "the conductor's page stood still for {:.1} s",
                page.longest_gap.as_secs_f64()
            ));
        }
        if !page.plays {
            row.wrong("the music stopped");
        }
    }

    /// The conductor reads it within a while.
    pub(super) async fn is_told(&self, part: &str, row: &mut Row) {
        match self.section.reads(Some(part), SOON).await {
            Some(took) => row.remark(format!("told after {:.1} s", took.as_secs_f64())),
            None => {
                row.wrong(format!("the conductor does not read \"{part}\": {:?}", self.section.page().ever))
            }
        }
    }

    /// It is over: nothing is read of it any more, and all that devices kept is safe; how long that takes.
    pub(super) async fn is_over(&self, row: &mut Row) {
        let since = Instant::now();
        if self.section.reads(None, SOON).await.is_none() {
            row.wrong(format!("still read: {:?}", self.section.page().notices));
        }
        if self.section.all_safe(SOON).await.is_none() {
            row.wrong(format!("{} messages are not safe", self.section.n_unsafe()));
        }
        row.recovered_ms = Some(since.elapsed().as_secs_f64() * 1e3);
    }

    /// All devices are back and it is over; how long both took since a moment.
    pub(super) async fn is_over_since(&self, since: Instant, row: &mut Row) {
        match self.section.all_back(since, SOON).await {
            Some(took) => row.remark(format!("all in after {:.1} s", took.as_secs_f64())),
            None => row.wrong(format!("not all came back: {:?}", self.section.page())),
        }
        self.is_over(row).await;
        row.recovered_ms = Some(since.elapsed().as_secs_f64() * 1e3);
    }

    /// Ends it: the devices hand over what they have, and all that was acknowledged is looked for in the records.
    pub(super) async fn end(self, row: &mut Row) {
        self.end_with(Vec::new(), row).await;
    }

    /// The same with devices beside those of the section.
    pub(super) async fn end_with(mut self, others: Vec<Stand>, row: &mut Row) {
        for text in self.section.page().ever {
            // What is read in every rehearsal is not about the fault.
            if !text.contains("light-headed") && !row.told.contains(&text) {
                row.told.push(text);
            }
        }
        let mut stands = self.section.end().await;
        stands.extend(others);
        for stand in &mut stands {
            if !stand.hand_over(&self.place.addr, &self.place.code).await {
                row.wrong("a device could not hand over all it had");
            }
        }
        self.server.kill();
        let mut found = Found::default();
        records::look_at_all(&self.dir, &stands, &mut found).await;
        row.lost += found.lost.len() as u64;
        row.doubled += found.doubled.len() as u64;
        for text in found.lost.into_iter().chain(found.doubled).chain(found.damaged).chain(found.wrong) {
            row.wrong(text);
        }
        let acknowledged: u64 =
            stands.iter().map(|stand| stand.n_pulses_acknowledged() + stand.n_spans_acknowledged()).sum();
        row.remark(format!("{acknowledged} pulses and results acknowledged"));
    }
}

async fn start(
    program: &Path,
    dir: &Path,
    place: &Place,
    wrapped: &[String],
    environment: &[(String, String)],
) -> Process {
    let mut command = match wrapped.split_first() {
        Some((first, rest)) => {
            let mut command = Command::new(first);
            command.args(rest).arg(program);
            command
        }
        None => Command::new(program),
    };
    command.arg("serve").args(["--http", &place.addr, "--no-https"]).env(KEY, &place.key);
    command.envs(environment.iter().cloned()).stderr(Stdio::null()).stdin(Stdio::null());
    let dir = dir.to_owned();
    let started = tokio::task::spawn_blocking(move || Process::start(&mut command, &dir));
    started.await.expect("the program starts")
}
