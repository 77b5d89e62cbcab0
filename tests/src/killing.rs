//! A rehearsal whose server is killed in the middle of spans, again and again: devices that note what was acknowledged, a conductor who
//! keeps the music going, and afterwards a look into the records by SQL alone. What the figures mean stands beside them.

mod records;
mod stand;

use crate::Conductor;
use crate::process::Process;
use crate::request::get;
use crate::shared_beat::dice::Dice;
use serde::Serialize;
use stand::Stand;
use std::path::Path;
use std::time::Duration;
use tokio::time::{Instant, sleep, sleep_until};
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::units::Bpm;

/// A server is killed so long after its start, from and to: within the first span, in later ones, before and after a run is told.
const KILLED_AFTER_S: (f64, f64) = (3.0, 18.0);
/// A run is in the records up to so long before the kill: every ten seconds it is told, and the writer takes a moment.
const RUN_KEPT_WITHIN_US: f64 = 11e6;
/// The conductor changes the tempo this often, so that there are spans.
const ANOTHER_TEMPO_EVERY: Duration = Duration::from_millis(2600);
/// Sixteenths of the warm-up that a room begins with.
const SIXTEENTHS: u16 = 5;

/// How it is done.
#[derive(Debug, Clone, Copy)]
pub struct Killing {
    /// Times that the server is killed, at least once.
    pub n_kills: u32,
    /// Devices.
    pub n_players: u16,
    /// When, and how they play.
    pub seed: u64,
}

/// What was found; every list is empty where all is well.
#[derive(Debug, Default, Serialize)]
pub struct Found {
    /// Times that the server was killed.
    pub n_kills: u32,
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
    /// What was acknowledged and is not as it was said.
    pub lost: Vec<String>,
    /// What is there more than once.
    pub doubled: Vec<String>,
    /// What SQLite says of the file, other than "ok".
    pub damaged: Vec<String>,
    /// Runs that are not there as far as they should be, and sessions that were not closed or are of another rehearsal.
    pub wrong: Vec<String>,
}

impl Found {
    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_well(&self) -> bool {
        self.lost.is_empty() && self.doubled.is_empty() && self.damaged.is_empty() && self.wrong.is_empty()
    }
}

/// Plays and kills, in a directory of its own; `show` is told each kill.
///
/// # Panics
/// When the program does not start, or a player is refused.
pub async fn run(program: &Path, data_dir: &Path, killing: Killing, mut show: impl FnMut(u32)) -> Found {
    let mut dice = Dice::new(killing.seed);
    let mut found = Found::default();
    let mut stands: Vec<Stand> = (0..killing.n_players).map(|i| Stand::new(i, killing.seed)).collect();
    for kill in 1..=killing.n_kills {
        let mut server = Process::serve(program, data_dir);
        look_at_what_goes_on(&server, data_dir, &mut found).await;
        let (from_s, to_s) = KILLED_AFTER_S;
        let at = Instant::now() + Duration::from_secs_f64(from_s + (to_s - from_s) * dice.throw());
        let conducting = tokio::spawn(conduct(server.http_addr.clone(), server.key().to_owned(), at));
        let mut playing = Vec::new();
        for mut stand in stands.drain(..) {
            let (addr, code) = (server.http_addr.clone(), server.code.clone());
            playing.push(tokio::spawn(async move {
                stand.play(&addr, &code).await;
                stand
            }));
        }
        sleep_until(at).await;
        server.kill();
        for stand in playing {
            stands.push(stand.await.expect("a player plays until the server is gone"));
        }
        // It ends with the socket.
        let _ = conducting.await;
        found.n_kills += 1;
        records::look(data_dir, &stands, &mut found).await;
        show(kill);
    }
    let mut server = Process::serve(program, data_dir);
    look_at_what_goes_on(&server, data_dir, &mut found).await;
    for stand in &mut stands {
        stand.hand_over(&server.http_addr, &server.code).await;
    }
    server.kill();
    records::look_at_all(data_dir, &stands, &mut found).await;
    for stand in &stands {
        found.n_sent_again += stand.n_sent_again;
        found.n_safe_without_word += stand.n_safe_without_word;
        found.n_pulses_acknowledged += stand.n_pulses_acknowledged();
        found.n_spans_acknowledged += stand.n_spans_acknowledged();
    }
    found
}

/// The runs that the records have are in the room of a server that was started again.
async fn look_at_what_goes_on(server: &Process, data_dir: &Path, found: &mut Found) {
    let addr = server.http_addr.parse().expect("an address");
    let signed_in = get(addr, &format!("/conduct?key={}", server.key()), &[]).await;
    let results = get(addr, "/conduct/results.json", &[("Cookie", &signed_in.cookie())]).await;
    let shown: serde_json::Value = serde_json::from_slice(&results.body).unwrap_or_default();
    let n_shown = shown["runs"].as_array().map_or(0, Vec::len) as u64;
    found.n_runs = records::n_runs(data_dir).await;
    if n_shown != found.n_runs {
        found.wrong.push(format!("{n_shown} runs are shown after a start, but {} are kept", found.n_runs));
    }
}

/// Starts sixteenths and goes from one tempo to another until the server is gone.
async fn conduct(addr: String, key: String, until: Instant) {
    let mut conductor = Conductor::open_at(&format!("ws://{addr}/ws/conductor?key={key}")).await;
    let bpm = |value| Bpm::new(value).expect("a tempo");
    // Everybody is in by then.
    sleep(Duration::from_millis(700)).await;
    conductor.command(ConductorSays::Choose { exercise: SIXTEENTHS, at: Moment::Now }).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(72.0), at: Moment::Now }).await;
    // A tempo changed while counting in would count in anew.
    conductor.command(ConductorSays::SetCountIn { bars: 0 }).await;
    conductor.command(ConductorSays::Start).await;
    let mut tempos = [66.0, 72.0].into_iter().cycle();
    let mut next = Instant::now() + ANOTHER_TEMPO_EVERY;
    loop {
        tokio::select! {
            heard = conductor.hear() => if heard.is_err() { return },
            () = sleep_until(next) => {
                next += ANOTHER_TEMPO_EVERY;
                // Nobody is left to hear it a moment before the end.
                if Instant::now() + Duration::from_millis(50) < until {
                    let tempo = tempos.next().expect("a cycle");
                    conductor.command(ConductorSays::SetTempo { bpm: bpm(tempo), at: Moment::Beat }).await;
                }
            }
        }
    }
}
