//! The figures of a run and what each of them means. Pure.

use super::Load;
use super::conductor::ConductorTaken;
use super::performer::Marker;
use super::player::PlayerTaken;
use super::records::Kept;
use super::session::Taken;
use crate::shared_beat::percentile;
use serde::Serialize;
use std::collections::BTreeMap;
use std::time::Duration;
use tokio::time::Instant;

/// A value that no picture showed within this is counted with it, ms: by then the marker has gone round.
const UNSEEN_MS: f64 = 9000.0;
/// A value is in a player's readings for so long.
const STANDS_FOR: Duration = Duration::from_secs(1);

/// What came out. Times are in milliseconds, from the moment at which something was to be sent, not from that at which this program
/// came to send it; percentiles are values that occurred (nearest rank).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figures {
    /// Players who spoke, and rooms.
    pub players: u32,
    /// See `players`.
    pub rooms: u32,
    /// Measured seconds.
    pub seconds: f64,
    /// As asked.
    pub seed: u64,
    /// Whether over https.
    pub tls: bool,
    /// From a conductor's tempo to the score with it at a player, over all pairs of players and changes.
    pub tempo_p50_ms: f64,
    /// See `tempo_p50_ms`.
    pub tempo_p99_ms: f64,
    /// The same at the last player of the room, over all changes.
    pub tempo_last_p50_ms: f64,
    /// See `tempo_last_p50_ms`.
    pub tempo_last_p99_ms: f64,
    /// Pairs of players and changes.
    pub tempo_pairs: u64,
    /// Pairs where no score came, which are in no percentile.
    pub tempo_missed: u64,
    /// As `tempo_p50_ms`, at the bare relay: the same bytes over as many sockets, and no rules. Its figures are absent where it was not asked.
    pub bare_relay_p50_ms: f64,
    /// See `bare_relay_p50_ms`.
    pub bare_relay_p99_ms: f64,
    /// As `tempo_last_p99_ms`, at the bare relay.
    pub bare_relay_last_p99_ms: f64,
    /// `tempo_p99_ms` over `bare_relay_p99_ms`.
    pub ratio: f64,
    /// From a reading with a new value to the first picture at the conductor's that shows it. Pictures are made five times a
    /// second, so a server that takes no time has a median of 100 and a 99th percentile of 198.
    pub reading_to_page_p50_ms: f64,
    /// See `reading_to_page_p50_ms`.
    pub reading_to_page_p99_ms: f64,
    /// Values that were followed.
    pub readings_followed: u64,
    /// From before the TCP connection to the welcome.
    pub join_p50_ms: f64,
    /// See `join_p50_ms`.
    pub join_p99_ms: f64,
    /// The same at the bare relay.
    pub bare_relay_join_p99_ms: f64,
    /// Time on the processors of the server, as a share of one core: 1 is one core, 2 is all of two.
    pub server_cpu_share: f64,
    /// The same of the bare relay, and of this program beside each of them.
    pub bare_relay_cpu_share: f64,
    /// See `bare_relay_cpu_share`.
    pub players_cpu_share: f64,
    /// See `bare_relay_cpu_share`.
    pub players_cpu_share_at_relay: f64,
    /// Processor cores of this computer, which server and players share.
    pub cores: usize,
    /// 99th percentile of how late this program itself looked whether somebody is to speak.
    pub players_late_p99_ms: f64,
    /// Resident memory of the server with all in at the end of the music less that before anybody came, by players and idle ones.
    pub rss_per_player_kb: f64,
    /// The same with all in and before any music.
    pub rss_per_silent_player_kb: f64,
    /// As `rss_per_player_kb`, of the bare relay.
    pub bare_relay_rss_per_player_kb: f64,
    /// Resident memory of the server in the end.
    pub rss_kb: f64,
    /// Messages that players and conductors sent and got, from the first to the last.
    pub messages_in: u64,
    /// See `messages_in`.
    pub messages_out: u64,
    /// Bytes of the texts that came out; the relay's are to be about as many.
    pub bytes_out: u64,
    /// See `bytes_out`.
    pub bare_relay_bytes_out: u64,
    /// Mean length of a picture, bytes.
    pub picture_bytes: u64,
    /// Mean length of a score, bytes.
    pub score_bytes: u64,
    /// Batches of pulses and results of spans that were acknowledged.
    pub acknowledged: u64,
    /// Acknowledged, and not in the records afterwards; or said, and not acknowledged in the end.
    pub lost: u64,
    /// Of `lost`, what was acknowledged and is not in the records: this must be nought whatever the load.
    pub lost_acknowledged: u64,
    /// Players who never came in; connections that broke; commands that were not carried out.
    pub not_in: u64,
    /// See `not_in`.
    pub broken: u64,
    /// See `not_in`.
    pub cannot: u64,
    /// Idle players that were asked for, that came in, and that were in to the end.
    pub idle: u32,
    /// See `idle`.
    pub idle_in: u32,
    /// See `idle`.
    pub idle_stayed: u32,
    /// Why the server refused players or closed connections, and how often.
    pub refusals: BTreeMap<String, u32>,
}

impl Figures {
    pub(super) fn new(load: Load, taken: &Taken, kept: &Kept, beside: Option<&Taken>) -> Self {
        let (tempo, bare) = (Tempo::of(taken), beside.map(Tempo::of).unwrap_or_default());
        let pages = reading_to_page_ms(taken);
        let late: Vec<f64> = taken.players.iter().flat_map(|player| player.late_ms.iter().copied()).collect();
        let (joins, bare_joins) = (joins_ms(taken), beside.map(joins_ms).unwrap_or_default());
        let n_all = f64::from(load.n_players + load.n_idle).max(1.0);
        let more_kb = |taken: &Taken| taken.to.rss_kb - taken.before.rss_kb;
        let of_relay = |figure: fn(&Taken) -> f64| beside.map_or(f64::NAN, figure);
        let (heard, watched, said) =
            (taken.heard_by_players(), taken.heard_by_conductors(), taken.said_by_players());
        let n_asks: u64 = taken.players.iter().map(|player| player.n_asks).sum();
        let n_commands: u64 = taken.conductors.iter().map(|conductor| conductor.n_said).sum();
        let mean = |kind: super::traffic::Kind| kind.bytes.checked_div(kind.n).unwrap_or(0);
        let mut refusals = BTreeMap::new();
        for (reason, n) in taken.players.iter().flat_map(|player| &player.refusals) {
            *refusals.entry(reason.clone()).or_default() += n;
        }
        let (tempo_p99_ms, bare_relay_p99_ms) =
            (percentile(&tempo.pairs_ms, 0.99), percentile(&bare.pairs_ms, 0.99));
        Self {
            players: load.n_players,
            rooms: load.n_rooms,
            seconds: load.seconds,
            seed: load.seed,
            tls: load.tls,
            tempo_p50_ms: percentile(&tempo.pairs_ms, 0.5),
            tempo_p99_ms,
            tempo_last_p50_ms: percentile(&tempo.last_ms, 0.5),
            tempo_last_p99_ms: percentile(&tempo.last_ms, 0.99),
            tempo_pairs: tempo.pairs_ms.len() as u64,
            tempo_missed: tempo.n_missed,
            bare_relay_p50_ms: percentile(&bare.pairs_ms, 0.5),
            bare_relay_p99_ms,
            bare_relay_last_p99_ms: percentile(&bare.last_ms, 0.99),
            ratio: tempo_p99_ms / bare_relay_p99_ms,
            reading_to_page_p50_ms: percentile(&pages, 0.5),
            reading_to_page_p99_ms: percentile(&pages, 0.99),
            readings_followed: pages.len() as u64,
            join_p50_ms: percentile(&joins, 0.5),
            join_p99_ms: percentile(&joins, 0.99),
            bare_relay_join_p99_ms: percentile(&bare_joins, 0.99),
            server_cpu_share: taken.to.share_since(&taken.from),
            bare_relay_cpu_share: of_relay(|beside| beside.to.share_since(&beside.from)),
            players_cpu_share: taken.own_to.share_since(&taken.own_from),
            players_cpu_share_at_relay: of_relay(|beside| beside.own_to.share_since(&beside.own_from)),
            cores: std::thread::available_parallelism().map_or(1, std::num::NonZero::get),
            players_late_p99_ms: percentile(&late, 0.99),
            rss_per_player_kb: more_kb(taken) / n_all,
            rss_per_silent_player_kb: (taken.all_in.rss_kb - taken.before.rss_kb) / n_all,
            bare_relay_rss_per_player_kb: of_relay(more_kb) / n_all,
            rss_kb: taken.to.rss_kb,
            messages_in: said.n() + n_asks + n_commands,
            messages_out: heard.n() + watched.n(),
            bytes_out: taken.bytes_out(),
            bare_relay_bytes_out: beside.map_or(0, Taken::bytes_out),
            picture_bytes: mean(watched.of("picture")),
            score_bytes: mean(heard.of("score")),
            acknowledged: kept.n_acknowledged,
            lost: kept.n_missing + kept.n_unanswered,
            lost_acknowledged: kept.n_missing,
            not_in: taken.players.iter().filter(|player| player.join_ms.is_none()).count() as u64,
            broken: taken.players.iter().map(|player| u64::from(player.n_broken)).sum::<u64>()
                + taken.conductors.iter().filter(|conductor| !conductor.stayed).count() as u64,
            cannot: taken.conductors.iter().map(|conductor| conductor.n_cannot).sum(),
            idle: load.n_idle,
            idle_in: taken.n_idle_in,
            idle_stayed: taken.n_idle_stayed,
            refusals,
        }
    }
}

fn joins_ms(taken: &Taken) -> Vec<f64> {
    taken.players.iter().filter_map(|player| player.join_ms).collect()
}

fn ms_between(from: Instant, to: Instant) -> f64 {
    to.saturating_duration_since(from).as_secs_f64() * 1e3
}

/// Changes of tempo.
#[derive(Debug, Default)]
struct Tempo {
    pairs_ms: Vec<f64>,
    last_ms: Vec<f64>,
    n_missed: u64,
}

impl Tempo {
    fn of(taken: &Taken) -> Self {
        let mut tempo = Self::default();
        for (room, conductor) in taken.conductors.iter().enumerate() {
            let players: Vec<&PlayerTaken> =
                taken.players.iter().filter(|player| player.room == room).collect();
            for &(bpm, sent) in &conductor.changes {
                tempo.add(bpm, sent, &players);
            }
        }
        tempo
    }

    fn add(&mut self, bpm: u32, sent: Instant, players: &[&PlayerTaken]) {
        let mut last_ms: Option<f64> = None;
        for player in players {
            let came = player.performer.tempos.iter().find(|(other, at)| *other == bpm && *at >= sent);
            match came {
                Some((_, at)) => {
                    let ms = ms_between(sent, *at);
                    self.pairs_ms.push(ms);
                    last_ms = Some(last_ms.map_or(ms, |last| last.max(ms)));
                }
                None => self.n_missed += 1,
            }
        }
        self.last_ms.extend(last_ms);
    }
}

fn reading_to_page_ms(taken: &Taken) -> Vec<f64> {
    let (from, to) = taken.measured;
    // The last ones would be shown when there is no music any more.
    let to = to.checked_sub(STANDS_FOR).unwrap_or(to);
    let mut found = Vec::new();
    for player in &taken.players {
        let conductor: &ConductorTaken = &taken.conductors[player.room];
        let none = Vec::new();
        let shown = conductor.shown.get(&player.performer.chair()).unwrap_or(&none);
        let measured =
            player.performer.markers.iter().filter(|marker| from <= marker.since && marker.since < to);
        found.extend(measured.map(|marker| shown_after_ms(marker, shown)));
    }
    found
}

/// From a marker's first reading to the first picture that showed it.
fn shown_after_ms(marker: &Marker, shown: &[(u32, Instant)]) -> f64 {
    let from = shown.partition_point(|(_, at)| *at < marker.since);
    let first = shown[from..].iter().find(|(value, _)| *value == marker.value);
    first.map_or(UNSEEN_MS, |(_, at)| ms_between(marker.since, *at).min(UNSEEN_MS))
}

/// The same for a person.
#[must_use]
pub fn shown(f: &Figures) -> String {
    let none = || "-".to_owned();
    let ms = |value: f64| format!("{value:.1}");
    let rows = [
        ("tempo at a player, median (ms)", ms(f.tempo_p50_ms), ms(f.bare_relay_p50_ms)),
        ("tempo at a player, 99 % (ms)", ms(f.tempo_p99_ms), ms(f.bare_relay_p99_ms)),
        ("tempo at a room's last player, 99 % (ms)", ms(f.tempo_last_p99_ms), ms(f.bare_relay_last_p99_ms)),
        ("reading on the page, median (ms)", ms(f.reading_to_page_p50_ms), none()),
        ("reading on the page, 99 % (ms)", ms(f.reading_to_page_p99_ms), none()),
        ("join, 99 % (ms)", ms(f.join_p99_ms), ms(f.bare_relay_join_p99_ms)),
        (
            "server, share of one core",
            format!("{:.2}", f.server_cpu_share),
            format!("{:.2}", f.bare_relay_cpu_share),
        ),
        (
            "players, share of one core",
            format!("{:.2}", f.players_cpu_share),
            format!("{:.2}", f.players_cpu_share_at_relay),
        ),
        ("memory per player (kB)", ms(f.rss_per_player_kb), ms(f.bare_relay_rss_per_player_kb)),
        ("acknowledged", f.acknowledged.to_string(), none()),
        ("lost, or not acknowledged in time", f.lost.to_string(), none()),
        ("of these acknowledged before", f.lost_acknowledged.to_string(), none()),
    ];
    let mut text = format!(
        "{} players and {} idle ones in {} rooms for {} s, seed {}, on {} cores that server and players share{}\n",
        f.players,
        f.idle_in,
        f.rooms,
        f.seconds,
        f.seed,
        f.cores,
        if f.tls { ", over https" } else { "" },
    );
    text.push_str(&format!("{:42}{:>12}{:>12}\n", "", "windrow", "bare relay"));
    for (name, own, bare) in rows {
        text.push_str(&format!("{name:42}{own:>12}{bare:>12}\n"));
    }
    text.push_str(&format!(
        "99th percentile of the tempo against the relay: {:.2}; {} changes at players, {} values on pages\n",
        f.ratio, f.tempo_pairs, f.readings_followed
    ));
    text.push_str(&format!(
        "this program was late by {:.1} ms at 99 % of its own moments; {} messages in, {} out; pictures of {} bytes, scores of {}\n",
        f.players_late_p99_ms, f.messages_in, f.messages_out, f.picture_bytes, f.score_bytes
    ));
    for (n, what) in [
        (f.tempo_missed, "changes did not come to a player"),
        (f.not_in, "players did not come in"),
        (f.broken, "connections broke"),
        (f.cannot, "commands were not carried out"),
        (u64::from(f.idle - f.idle_stayed), "idle players were not there in the end"),
    ] {
        if n > 0 {
            text.push_str(&format!("{n} {what}\n"));
        }
    }
    for (reason, n) in &f.refusals {
        text.push_str(&format!("by the server, {n} times: {reason}\n"));
    }
    text
}
