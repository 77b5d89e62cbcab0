//! What is counted for schools that watch their servers, in the words of OpenMetrics 1.0: how many and how long, never who. A count is a number in
//! memory that costs an addition; the text is put together when somebody asks. It must know no page, no room and no record: they count into it.

mod process;

use crate::version;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::metrics::info::Info;
use prometheus_client::registry::{Registry, Unit};
use std::sync::Arc;
use std::time::Duration;
use windrow_protocol::messages::{PlayerSays, RefusedReason};

/// Upper ends of the histograms' parts, s: from what nobody notices to what a device waits for at most. The usual ones of
/// Prometheus's clients; what Windrow promises (0.05 s, 0.25 s) is among them.
const PARTS_S: [f64; 11] = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0];
/// What players' devices say, as [`kind_of`] counts it.
const KINDS: [&str; 9] =
    ["hello", "clock", "reading", "pulses", "span_result", "microphone", "check", "rest", "timing"];
/// What carries a connection.
const SOCKET: &str = "socket";
const LINE: &str = "line";
/// Why a connection may be ended: each is there from the beginning, at nought.
const REASONS: [RefusedReason; 14] = [
    RefusedReason::Version,
    RefusedReason::Code,
    RefusedReason::Full,
    RefusedReason::Malformed,
    RefusedReason::TooFast,
    RefusedReason::OutOfTurn,
    RefusedReason::Key,
    RefusedReason::Replaced,
    RefusedReason::Closing,
    RefusedReason::RoomClosed,
    RefusedReason::TooManyTries,
    RefusedReason::NameTaken,
    RefusedReason::Erased,
    RefusedReason::NotYou,
];

type One = [(&'static str, &'static str); 1];
type Two = [(&'static str, &'static str); 2];

/// All counts of one server; copies share them.
#[derive(Debug, Clone)]
pub(crate) struct Metrics {
    registry: Arc<Registry>,
    said: [Counter; KINDS.len()],
    commands: Counter,
    refused: Family<One, Counter>,
    connections: Family<Two, Gauge>,
    rooms: Gauge,
    players: Gauge,
    waiting_events: Gauge,
    waiting_records: Gauge,
    ticks: Histogram,
}

/// What the writer of the records counts.
#[derive(Debug, Clone)]
pub(crate) struct RecordCounts {
    /// Safe on the disk.
    pub(crate) written: Counter,
    /// In a transaction that failed; devices send theirs again.
    pub(crate) failed: Counter,
    /// Came while the queue was full.
    pub(crate) turned_away: Counter,
    /// From the queue to the acknowledgement.
    pub(crate) until_safe: Histogram,
}

impl Default for RecordCounts {
    fn default() -> Self {
        let [written, failed, turned_away] = [(); 3].map(|()| Counter::default());
        Self { written, failed, turned_away, until_safe: parts() }
    }
}

/// What is true now, looked up when somebody asks.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Now {
    pub(crate) n_rooms: usize,
    pub(crate) n_players: usize,
    /// Events that wait for their room, in all rooms.
    pub(crate) n_waiting_events: usize,
    /// Records that wait for the disk.
    pub(crate) n_waiting_records: usize,
}

/// Who is at the other end of a connection.
#[derive(Debug, Clone, Copy)]
pub(crate) enum End {
    Player,
    Conductor,
}

impl End {
    fn name(self) -> &'static str {
        match self {
            End::Player => "player",
            End::Conductor => "conductor",
        }
    }
}

/// Held while a connection is open.
#[derive(Debug)]
pub(crate) struct Open(Gauge);

impl Drop for Open {
    fn drop(&mut self) {
        self.0.dec();
    }
}

fn parts() -> Histogram {
    Histogram::new(PARTS_S)
}

/// Which of [`KINDS`].
fn kind_of(says: &PlayerSays) -> usize {
    match says {
        PlayerSays::Hello(_) => 0,
        PlayerSays::Clock(_) => 1,
        PlayerSays::Reading(_) => 2,
        PlayerSays::Pulses(_) => 3,
        PlayerSays::SpanResult(_) => 4,
        PlayerSays::Microphone(_) => 5,
        PlayerSays::Check(_) => 6,
        PlayerSays::Rest { .. } => 7,
        PlayerSays::Timing { .. } => 8,
    }
}

fn name_of(reason: RefusedReason) -> &'static str {
    match reason {
        RefusedReason::Version => "version",
        RefusedReason::Code => "code",
        RefusedReason::Full => "full",
        RefusedReason::Malformed => "malformed",
        RefusedReason::TooFast => "too_fast",
        RefusedReason::OutOfTurn => "out_of_turn",
        RefusedReason::Key => "key",
        RefusedReason::Replaced => "replaced",
        RefusedReason::Closing => "closing",
        RefusedReason::RoomClosed => "room_closed",
        RefusedReason::TooManyTries => "too_many_tries",
        RefusedReason::NameTaken => "name_taken",
        RefusedReason::Erased => "erased",
        RefusedReason::NotYou => "not_you",
    }
}

impl Metrics {
    /// Everything at nought but what the records' writer has counted.
    pub(crate) fn new(records: &RecordCounts) -> Self {
        let mut all = Registry::default();
        all.register_collector(Box::new(process::Process));
        let registry = all.sub_registry_with_prefix("windrow");
        let built = Info::new([("version", version::VERSION), ("commit", version::commit().unwrap_or(""))]);
        registry.register("build", "Which Windrow this is", built);
        let [rooms, players, waiting_events, waiting_records] = [(); 4].map(|()| Gauge::default());
        registry.register("rooms", "Rooms that are open", rooms.clone());
        registry.register("players", "Players who are in, the imaginary ones apart", players.clone());
        let connections = Family::<Two, Gauge>::default();
        for (end, way) in
            [(End::Player, SOCKET), (End::Player, LINE), (End::Conductor, SOCKET), (End::Conductor, LINE)]
        {
            connections.get_or_create_owned(&[("end", end.name()), ("way", way)]);
        }
        registry.register("connections", "Connections that are open", connections.clone());
        let messages = Family::<One, Counter>::default();
        registry.register(
            "player_messages",
            "Messages of players' devices that could be read",
            messages.clone(),
        );
        let commands = Counter::default();
        registry.register(
            "conductor_messages",
            "Messages of conductors' pages that could be read",
            commands.clone(),
        );
        let refused = Family::<One, Counter>::default();
        for reason in REASONS {
            refused.get_or_create_owned(&[("reason", name_of(reason))]);
        }
        registry.register(
            "connections_refused",
            "Connections that were ended with a reason",
            refused.clone(),
        );
        registry.register("waiting_events", "Events that wait for their rooms", waiting_events.clone());
        registry.register("waiting_records", "Records that wait for the disk", waiting_records.clone());
        let RecordCounts { written, failed, turned_away, until_safe } = records;
        registry.register("records_written", "Records that are safe on the disk", written.clone());
        registry.register("records_failed", "Records of transactions that failed", failed.clone());
        registry.register("records_turned_away", "Records that found the queue full", turned_away.clone());
        let help = "From a record's coming to its being safe and acknowledged";
        registry.register_with_unit("acknowledgement", help, Unit::Seconds, until_safe.clone());
        let ticks = parts();
        let help = "How long a room takes, five times a second, to judge its players and draw itself";
        registry.register_with_unit("tick", help, Unit::Seconds, ticks.clone());
        Self {
            registry: Arc::new(all),
            said: KINDS.map(|kind| messages.get_or_create_owned(&[("kind", kind)])),
            commands,
            refused,
            connections,
            rooms,
            players,
            waiting_events,
            waiting_records,
            ticks,
        }
    }

    /// A device has said something that could be read.
    pub(crate) fn player_said(&self, says: &PlayerSays) {
        self.said[kind_of(says)].inc();
    }

    /// A conductor's page has.
    pub(crate) fn conductor_said(&self) {
        self.commands.inc();
    }

    /// A connection is ended with a reason.
    pub(crate) fn refused(&self, reason: RefusedReason) {
        self.refused.get_or_create(&[("reason", name_of(reason))]).inc();
    }

    /// Counts a connection as open until what is given back is let go.
    pub(crate) fn opened(&self, end: End, is_line: bool) -> Open {
        let way = if is_line { LINE } else { SOCKET };
        let gauge = self.connections.get_or_create_owned(&[("end", end.name()), ("way", way)]);
        gauge.inc();
        Open(gauge)
    }

    /// A room has judged and drawn itself.
    pub(crate) fn ticked(&self, took: Duration) {
        self.ticks.observe(took.as_secs_f64());
    }

    /// OpenMetrics text 1.0 of everything.
    pub(crate) fn text(&self, now: Now) -> String {
        let as_gauge = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        self.rooms.set(as_gauge(now.n_rooms));
        self.players.set(as_gauge(now.n_players));
        self.waiting_events.set(as_gauge(now.n_waiting_events));
        self.waiting_records.set(as_gauge(now.n_waiting_records));
        let mut text = String::new();
        encode(&mut text, &self.registry).expect("a string takes what is written to it");
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str, sample: &str) -> Option<f64> {
        let line =
            text.lines().find(|line| line.strip_prefix(sample).is_some_and(|rest| rest.starts_with(' ')))?;
        line.rsplit(' ').next()?.parse().ok()
    }

    #[test]
    fn what_happens_is_counted_under_its_name() {
        let records = RecordCounts::default();
        let metrics = Metrics::new(&records);
        metrics.player_said(&PlayerSays::Rest { resting: true });
        metrics.conductor_said();
        metrics.refused(RefusedReason::TooFast);
        metrics.refused(RefusedReason::TooFast);
        let open = metrics.opened(End::Player, false);
        let closed = metrics.opened(End::Conductor, true);
        drop(closed);
        records.written.inc_by(7);
        records.until_safe.observe(0.06);
        metrics.ticked(Duration::from_millis(3));
        let text = metrics.text(Now { n_rooms: 2, n_players: 9, n_waiting_events: 4, n_waiting_records: 1 });
        for (sample, expected) in [
            ("windrow_rooms", 2.0),
            ("windrow_players", 9.0),
            ("windrow_waiting_events", 4.0),
            ("windrow_waiting_records", 1.0),
            ("windrow_player_messages_total{kind=\"rest\"}", 1.0),
            ("windrow_player_messages_total{kind=\"pulses\"}", 0.0),
            ("windrow_conductor_messages_total", 1.0),
            ("windrow_connections_refused_total{reason=\"too_fast\"}", 2.0),
            ("windrow_connections{end=\"player\",way=\"socket\"}", 1.0),
            ("windrow_connections{end=\"conductor\",way=\"line\"}", 0.0),
            ("windrow_records_written_total", 7.0),
            ("windrow_records_failed_total", 0.0),
            ("windrow_acknowledgement_seconds_bucket{le=\"0.05\"}", 0.0),
            ("windrow_acknowledgement_seconds_bucket{le=\"0.1\"}", 1.0),
            ("windrow_acknowledgement_seconds_count", 1.0),
            ("windrow_tick_seconds_bucket{le=\"0.005\"}", 1.0),
        ] {
            assert_eq!(value(&text, sample), Some(expected), "{sample}\n{text}");
        }
        assert!(text.ends_with("# EOF\n"));
        assert!(text.contains(&format!("windrow_build_info{{version=\"{}\"", version::VERSION)));
        drop(open);
        let text = metrics.text(Now::default());
        assert_eq!(value(&text, "windrow_connections{end=\"player\",way=\"socket\"}"), Some(0.0));
    }

    #[test]
    fn everything_is_there_before_anything_happens() {
        let text = Metrics::new(&RecordCounts::default()).text(Now::default());
        for reason in REASONS {
            let sample = format!("windrow_connections_refused_total{{reason=\"{}\"}}", name_of(reason));
            assert_eq!(value(&text, &sample), Some(0.0), "{sample}");
        }
        assert_eq!(text.matches("windrow_connections{").count(), 4);
        let names: std::collections::BTreeSet<_> = REASONS.into_iter().map(name_of).collect();
        assert_eq!(names.len(), REASONS.len());
        if cfg!(target_os = "linux") {
            assert!(text.contains("\nprocess_cpu_seconds_total "), "{text}");
        }
    }

    #[test]
    fn every_kind_of_message_has_a_name_of_its_own() {
        let names: std::collections::BTreeSet<_> = KINDS.into_iter().collect();
        assert_eq!(names.len(), KINDS.len());
    }
}
