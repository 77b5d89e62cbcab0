//! Rehearsals whose servers are killed again and again, several beside each other: while playing, while starting, packing, ending,
//! while a backup is made or brought back. Devices note what was acknowledged; after each kill a copy of the files as they lie there is
//! looked into by SQL alone. What the figures mean stands beside them.

pub(crate) mod records;
pub(crate) mod section;
pub(crate) mod stand;

use crate::process::{KEY, Process};
use crate::request::get;
use crate::shared_beat::dice::Dice;
use section::{Place, Section};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;
use tokio::time::{Instant, sleep};

/// A run is in the records up to so long before the kill: every ten seconds it is told, and the writer takes a moment.
const RUN_KEPT_WITHIN_US: f64 = 11e6;
/// Longest wait for everybody to be back, on a machine that compiles something else meanwhile.
const BACK_WITHIN: Duration = Duration::from_secs(60);

/// How it is done.
#[derive(Debug, Clone, Copy)]
pub struct Killing {
    /// Times that a server is killed, in all.
    pub n_kills: u32,
    /// Devices of each server.
    pub n_players: u16,
    /// Servers beside each other, each with a directory of its own.
    pub n_servers: u32,
    /// When, and how they play.
    pub seed: u64,
}

/// What was found; every list is empty where all is well.
#[derive(Debug, Default, Serialize)]
pub struct Found {
    /// Times that a server was killed.
    pub n_kills: u32,
    /// The same by what it was doing.
    pub kills_while: BTreeMap<&'static str, u32>,
    /// Pulses in batches that were acknowledged, and results of spans.
    pub n_pulses_acknowledged: u64,
    /// Results of spans that were.
    pub n_spans_acknowledged: u64,
    /// Batches and results that a device had to send again.
    pub n_sent_again: u64,
    /// Of those, what had been safe already, though nobody could have known.
    pub n_safe_without_word: u64,
    /// Runs in the records in the end.
    pub n_runs: u64,
    /// From the start of the next server until every device was in again and the conductor saw them and the music, ms.
    pub recovered_ms: Vec<f64>,
    /// What was acknowledged and is not as it was said.
    pub lost: Vec<String>,
    /// What is there more than once.
    pub doubled: Vec<String>,
    /// What SQLite says of the file, other than "ok".
    pub damaged: Vec<String>,
    /// Runs that are not there as far as they should be, sessions that were not closed or are of another rehearsal, devices that did
    /// not come back, backups that are not whole.
    pub wrong: Vec<String>,
}

impl Found {
    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_well(&self) -> bool {
        self.lost.is_empty() && self.doubled.is_empty() && self.damaged.is_empty() && self.wrong.is_empty()
    }

    fn add(&mut self, other: Self) {
        self.n_kills += other.n_kills;
        for (what, n) in other.kills_while {
            *self.kills_while.entry(what).or_default() += n;
        }
        self.n_pulses_acknowledged += other.n_pulses_acknowledged;
        self.n_spans_acknowledged += other.n_spans_acknowledged;
        self.n_sent_again += other.n_sent_again;
        self.n_safe_without_word += other.n_safe_without_word;
        self.n_runs += other.n_runs;
        self.recovered_ms.extend(other.recovered_ms);
        self.lost.extend(other.lost);
        self.doubled.extend(other.doubled);
        self.damaged.extend(other.damaged);
        self.wrong.extend(other.wrong);
    }
}

/// What a server does when it is killed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum While {
    Playing,
    /// Ten seconds of it and more, so that runs are told.
    PlayingLong,
    Starting,
    Packing,
    Ending,
    BackingUp,
    Restoring,
}

impl While {
    /// By chance; half of them while playing.
    fn choose(dice: &mut Dice) -> Self {
        match (dice.throw() * 20.0) as u32 {
            0..10 => Self::Playing,
            10 => Self::PlayingLong,
            11..13 => Self::Starting,
            13..15 => Self::Packing,
            15..17 => Self::Ending,
            17..19 => Self::BackingUp,
            _ => Self::Restoring,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Playing | Self::PlayingLong => "playing",
            Self::Starting => "starting",
            Self::Packing => "just started, packing",
            Self::Ending => "ending",
            Self::BackingUp => "backing up",
            Self::Restoring => "restoring",
        }
    }
}

/// Plays and kills, in directories below one; `show` is told each kill.
///
/// # Panics
/// When a program does not start.
pub async fn run(
    program: &Path,
    data_dir: &Path,
    killing: Killing,
    show: impl Fn(u32, &str) + Send + Sync + 'static,
) -> Found {
    let left = Arc::new(AtomicU32::new(killing.n_kills));
    let show = Arc::new(show);
    let lanes: Vec<_> = (0..killing.n_servers.clamp(1, killing.n_kills.max(1)))
        .map(|i| {
            let (program, dir) = (program.to_owned(), data_dir.join(format!("server-{i}")));
            let (left, show) = (left.clone(), show.clone());
            tokio::spawn(async move {
                let seed = killing.seed.wrapping_mul(31).wrapping_add(u64::from(i));
                Lane::new(program, dir, killing.n_players, seed).run(&left, &*show).await
            })
        })
        .collect();
    let mut found = Found::default();
    for lane in lanes {
        found.add(lane.await.expect("a lane says what it found"));
    }
    found
}

/// One server after another in one directory.
struct Lane {
    program: PathBuf,
    dir: PathBuf,
    place: Place,
    n_players: u16,
    dice: Dice,
    seed: u64,
    found: Found,
}

impl Lane {
    fn new(program: PathBuf, dir: PathBuf, n_players: u16, seed: u64) -> Self {
        let place = Place { addr: free_addr(), code: String::new(), key: windrow::new_key() };
        Self { program, dir, place, n_players, dice: Dice::new(seed), seed, found: Found::default() }
    }

    async fn run(mut self, left: &AtomicU32, show: &(impl Fn(u32, &str) + Sync)) -> Found {
        let mut server = self.start().await;
        self.place.code = server.code.clone();
        let section = Section::begin(self.place.clone(), self.n_players, self.seed);
        if section.all_back(Instant::now(), BACK_WITHIN).await.is_none() {
            self.found.wrong.push("the section did not get in at the beginning".to_owned());
        }
        while left.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |n| n.checked_sub(1)).is_ok() {
            let what = While::choose(&mut self.dice);
            self.kill(&mut server, what).await;
            self.found.n_kills += 1;
            *self.found.kills_while.entry(what.word()).or_default() += 1;
            self.look(&section).await;
            show(left.load(Ordering::SeqCst), what.word());
            if matches!(what, While::Starting | While::Packing) {
                // The kill before this one was of a server that played.
                self.found.n_kills += 1;
                *self.found.kills_while.entry("playing").or_default() += 1;
                left.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |n| Some(n.saturating_sub(1))).ok();
            }
            section.server_is_gone();
            let since = Instant::now();
            server = self.start().await;
            if server.code != self.place.code {
                self.found.wrong.push(format!("another code after a kill while {}", what.word()));
                self.place.code.clone_from(&server.code);
            }
            section.code_is(&server.code);
            match section.all_back(since, BACK_WITHIN).await {
                Some(took) => self.found.recovered_ms.push(took.as_secs_f64() * 1e3),
                None => {
                    let page = section.page();
                    self.found
                        .wrong
                        .push(format!("not all came back after a kill while {}: {page:?}", what.word()));
                }
            }
            self.look_at_what_goes_on().await;
        }
        let mut stands = section.end().await;
        for stand in &mut stands {
            if !stand.hand_over(&self.place.addr, &self.place.code).await {
                self.found.wrong.push("a device could not hand over all it had".to_owned());
            }
        }
        server.kill();
        records::look_at_all(&self.dir, &stands, &mut self.found).await;
        for stand in &stands {
            self.found.n_sent_again += stand.n_sent_again;
            self.found.n_safe_without_word += stand.n_safe_without_word;
            self.found.n_pulses_acknowledged += stand.n_pulses_acknowledged();
            self.found.n_spans_acknowledged += stand.n_spans_acknowledged();
        }
        self.found
    }

    /// Starts the server at the lane's place.
    async fn start(&self) -> Process {
        let (mut command, dir) = (self.command("serve"), self.dir.clone());
        command.args(["--http", &self.place.addr, "--no-https"]);
        let started = tokio::task::spawn_blocking(move || Process::start(&mut command, &dir));
        started.await.expect("the program starts")
    }

    fn command(&self, what: &str) -> Command {
        let mut command = Command::new(&self.program);
        command.arg(what).env(KEY, &self.place.key).stderr(Stdio::null()).stdin(Stdio::null());
        command
    }

    /// Another run of the program on these records, beside the server.
    fn beside(&self, what: &str, options: &[&str]) -> Child {
        let mut command = self.command(what);
        command.args(options).arg("--data").arg(&self.dir).stdout(Stdio::null());
        command.spawn().expect("the program starts")
    }

    async fn wait_up_to_ms(&mut self, ms: f64) {
        sleep(Duration::from_secs_f64(self.dice.throw() * ms / 1e3)).await;
    }

    async fn kill(&mut self, server: &mut Process, what: While) {
        match what {
            While::Playing => {
                sleep(Duration::from_millis(300)).await;
                self.wait_up_to_ms(3000.0).await;
            }
            While::PlayingLong => {
                sleep(Duration::from_secs(10)).await;
                self.wait_up_to_ms(6000.0).await;
            }
            While::Starting => {
                self.wait_up_to_ms(1500.0).await;
                server.kill();
                let dir = self.dir.clone();
                let mut command = self.command("serve");
                command
                    .args(["--http", &self.place.addr, "--no-https", "--data"])
                    .arg(&dir)
                    .stdout(Stdio::null());
                let mut child = command.spawn().expect("the program starts");
                self.wait_up_to_ms(500.0).await;
                end(&mut child);
            }
            While::Packing => {
                self.wait_up_to_ms(1500.0).await;
                server.kill();
                *server = self.start().await;
                self.wait_up_to_ms(400.0).await;
            }
            While::Ending => {
                self.wait_up_to_ms(1500.0).await;
                let id = server.id().to_string();
                let _ = Command::new("kill").args(["-TERM", &id]).status();
                self.wait_up_to_ms(400.0).await;
            }
            While::BackingUp => {
                self.wait_up_to_ms(1000.0).await;
                let file = self.backup();
                let mut child = self.beside("backup", &["--overwrite", &file.to_string_lossy()]);
                self.wait_up_to_ms(400.0).await;
                end(&mut child);
                if file.exists() && !records::is_whole_file(&file).await {
                    self.found
                        .wrong
                        .push("a backup that was broken off lies there as if it were whole".to_owned());
                }
            }
            While::Restoring => {
                let file = self.backup();
                let made = self.beside("backup", &["--overwrite", &file.to_string_lossy()]).wait();
                if !made.is_ok_and(|status| status.success()) {
                    self.found.wrong.push("no backup could be made".to_owned());
                }
                self.wait_up_to_ms(1000.0).await;
                let mut child = self.beside("restore", &["--now", &file.to_string_lossy()]);
                self.wait_up_to_ms(600.0).await;
                end(&mut child);
            }
        }
        server.kill();
    }

    fn backup(&self) -> PathBuf {
        self.dir.with_extension("backup.sqlite3")
    }

    /// Looks into a copy of the files as the kill has left them: opening them would bring the log into the file, which the next server
    /// has to do.
    async fn look(&mut self, section: &Section) {
        let stands = section.stands().await;
        let copy = self.dir.with_extension("look");
        std::fs::create_dir_all(&copy).expect("a directory");
        for ending in ["", "-wal"] {
            let name = format!("{}{ending}", crate::records::FILE);
            if std::fs::copy(self.dir.join(&name), copy.join(&name)).is_err() {
                let _ = std::fs::remove_file(copy.join(&name));
            }
        }
        let stands: Vec<&stand::Stand> = stands.iter().map(|stand| &**stand).collect();
        records::look(&copy, &stands, &mut self.found).await;
        let _ = std::fs::remove_dir_all(&copy);
    }

    /// The runs that the records have are in the room of a server that was started again.
    async fn look_at_what_goes_on(&mut self) {
        let addr = self.place.addr.parse().expect("an address");
        let signed_in = get(addr, &format!("/conduct?key={}", self.place.key), &[]).await;
        let results = get(addr, "/conduct/results.json", &[("Cookie", &signed_in.cookie())]).await;
        let shown: serde_json::Value = serde_json::from_slice(&results.body).unwrap_or_default();
        // The run that is played now is not over.
        let n_shown = shown["runs"].as_array().map_or(0, Vec::len) as u64;
        self.found.n_runs = records::n_runs(&self.dir).await;
        if n_shown < self.found.n_runs {
            let text = format!("{n_shown} runs are shown after a start, but {} are kept", self.found.n_runs);
            self.found.wrong.push(text);
        }
    }
}

fn end(child: &mut Child) {
    // It may have come to its end.
    let _ = child.kill();
    let _ = child.wait();
}

/// A port that nobody has just now.
///
/// # Panics
/// Where there is none.
pub(crate) fn free_addr() -> String {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("a bound port has an address").to_string()
}
