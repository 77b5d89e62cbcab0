//! What a room's rules cost for each thing that happens in it: a whole section plays on, tells readings and pulses as devices
//! do, and is looked at five times a second. Time is that of a virtual clock, so a rehearsal is as long as it is asked to be.
//!
//! `cargo bench -p windrow-room -- PLAYERS MINUTES`; on a busy machine, instructions instead of time:
//! `valgrind --tool=callgrind --toggle-collect='*Room*apply*' TARGET PLAYERS MINUTES`

use std::hint::black_box;
use std::time::{Duration, Instant};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorSays, Hearing, Hello, Moment, PlayerHears, Pulse, PulseBatch, Reading, RoomChange, Snapshot,
    SpanResult,
};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros, Name, Ratio, Share};
use windrow_room::{ConnectionId, Effect, Event, FreshIds, Joining, Kept, KnownDevice, Room, Told};

/// Quarters, as a room begins with, at this tempo in three to the beat: a pulse every 303 ms.
const BPM: f64 = 66.0;
const PER_BEAT: u8 = 3;
/// The server looks at a room, and devices tell readings, this often.
const LOOK_US: f64 = 2e5;
const READING_US: f64 = 1e5;

/// What happened, how often and for how long.
#[derive(Default)]
struct Cost {
    n: u32,
    took: Duration,
    longest: Duration,
}

impl Cost {
    fn of<T>(&mut self, act: impl FnOnce() -> T) -> T {
        let began = Instant::now();
        let done = black_box(act());
        let took = began.elapsed();
        self.n += 1;
        self.took += took;
        self.longest = self.longest.max(took);
        done
    }

    fn tell(&self, what: &str, seconds: f64) {
        let us = |d: Duration| d.as_secs_f64() * 1e6;
        let (each, share) = (us(self.took) / f64::from(self.n.max(1)), us(self.took) / seconds / 1e4);
        let longest = us(self.longest);
        println!(
            "{what:>9}: {:7} times, {each:8.2} µs each, longest {longest:8.0} µs, {share:.3} % of a core",
            self.n
        );
    }
}

struct Rehearsal {
    room: Room,
    now_us: f64,
    players: Vec<ConnectionId>,
    stored: Cost,
    kept: (u32, usize),
    told: u32,
}

impl Rehearsal {
    fn of(n_players: usize) -> Self {
        let section = Name::new("Larkmoor").expect("a name");
        let room = Room::new("KF3M7P".to_owned(), section, Hertz::new(440.0).expect("a pitch"));
        let players = (1..=n_players as u64).map(ConnectionId).collect();
        let mut rehearsal =
            Self { room, now_us: 1e6, players, stored: Cost::default(), kept: (0, 0), told: 0 };
        for i in 0..n_players {
            let instrument = Instrument::ALL[i / 5 % Instrument::ALL.len()];
            let name = Name::new(&format!("Player {i}")).expect("a name");
            let hello = Hello { calibrated: i % 2 == 0, ..Hello::new("KF3M7P", name, instrument) };
            let fresh =
                FreshIds { player_id: format!("0193c0de-0000-7000-8000-{i:012}"), token: format!("t{i}") };
            let connection = rehearsal.players[i];
            let device = KnownDevice::default();
            rehearsal.happen(Event::Joined(Box::new(Joining {
                connection,
                hello,
                fresh,
                device,
                is_imaginary: false,
            })));
        }
        for command in [
            ConductorSays::SetTempo { bpm: Bpm::new(BPM).expect("a tempo"), at: Moment::Bar },
            ConductorSays::SetSubdivision { per_beat: PER_BEAT, at: Moment::Bar },
            ConductorSays::Start,
        ] {
            rehearsal.happen(Event::Commanded(command));
        }
        rehearsal
    }

    fn happen(&mut self, event: Event) {
        let effects = self.room.apply(event, self.now_us);
        for effect in effects {
            match effect {
                Effect::Keep(Kept::Pulses { player_id, seq, .. }) => self.store(player_id, seq),
                Effect::Keep(Kept::Span { player_id, result, .. }) => self.store(player_id, result.seq),
                Effect::Keep(kept @ Kept::Run(_)) => {
                    let n_bytes = serde_json::to_string(&kept).expect("plain data").len();
                    self.kept = (self.kept.0 + 1, self.kept.1.max(n_bytes));
                }
                Effect::Send { message: PlayerHears::You(_), .. } => self.told += 1,
                _ => {}
            }
        }
    }

    fn store(&mut self, player_id: String, seq: u32) {
        let Self { room, stored, now_us, .. } = self;
        stored.of(|| room.apply(Event::Stored { player_id, seq }, *now_us));
    }
}

fn reading(i: usize, seq: u32, time_us: f64) -> Reading {
    let seed = (i * 7 + seq as usize * 13) % 29;
    Reading {
        seq,
        time_us: Micros::new(time_us).expect("a time"),
        hearing: Hearing::Pulsed,
        level_db: Decibels::new(-20.0 - seed as f64 / 10.0).expect("a level"),
        note: None,
        cents: None,
        centre_cents: Some(Cents::new(seed as f64 / 4.0).expect("cents")),
        // Every seventh player is too fast.
        pulse_rate_hz: Some(Hertz::new(if i % 7 == 6 { 3.6 } else { 3.3 }).expect("a rate")),
        n_pulses: 8,
        depth_db_pp: Some(Decibels::new(6.0 + seed as f64 / 20.0).expect("a depth")),
        swing_cents_pp: Some(Cents::new(10.0).expect("cents")),
        evenness_cv: Some(Ratio::new(0.02 + seed as f64 / 1000.0).expect("a ratio")),
        drift_cents_per_10s: None,
        straight_reference_cents: None,
        choked_share: None,
        trust: Share::new(0.9).expect("a share"),
        trusted: true,
        capture: None,
    }
}

fn pulse(i: usize, time_us: f64) -> Pulse {
    Pulse {
        time_us: Micros::new(time_us + (i % 11) as f64 * 2e3).expect("a time"),
        depth_db: Decibels::new(6.5).expect("a depth"),
        swing_cents: Cents::new(10.0).expect("cents"),
        mean_cents: Cents::new(2.0).ok(),
        choked: false,
    }
}

fn main() {
    let numbers: Vec<f64> = std::env::args().skip(1).filter_map(|arg| arg.parse().ok()).collect();
    let n_players = numbers.first().map_or(25, |&n| n as usize);
    let minutes = numbers.get(1).copied().unwrap_or(5.0);
    let mut rehearsal = Rehearsal::of(n_players);
    let [mut readings, mut pulses, mut spans, mut looks, mut pictures, mut changes] =
        std::array::from_fn(|_| Cost::default());
    let (start_us, period_us) = (rehearsal.now_us + 6e5, 60e6 / BPM / f64::from(PER_BEAT));
    let (mut seq, mut next_pulse_us) = (0u32, start_us + 4.0 * 60e6 / BPM);
    let mut seen: Option<Snapshot> = None;
    let (mut n_whole_bytes, mut n_change_bytes, mut n_pictures) = (0, 0, 0);
    let end_us = start_us + minutes * 60e6;
    let mut batch = 0u32;
    while rehearsal.now_us < end_us {
        rehearsal.now_us += READING_US;
        seq += 1;
        let now_us = rehearsal.now_us;
        for i in 0..n_players {
            let connection = rehearsal.players[i];
            let what = Told::Reading(Box::new(reading(i, seq, now_us - 5e4)));
            readings.of(|| rehearsal.happen(Event::Told { connection, what }));
        }
        if now_us >= next_pulse_us + 1.5e5 {
            batch += 1;
            for i in 0..n_players {
                let connection = rehearsal.players[i];
                let what = Told::Pulses(PulseBatch { seq: batch, pulses: vec![pulse(i, next_pulse_us)] });
                pulses.of(|| rehearsal.happen(Event::Told { connection, what }));
            }
            next_pulse_us += period_us;
            if batch % 100 == 0 {
                batch += 1;
                for i in 0..n_players {
                    let connection = rehearsal.players[i];
                    let result = SpanResult {
                        seq: batch,
                        score_version: 1,
                        span_idx: 1,
                        n_pulses: 90,
                        pulse_rate_hz: None,
                        depth_db_pp: None,
                        swing_cents_pp: None,
                        centre_cents: None,
                        evenness_cv: None,
                        timing_ms: None,
                    };
                    let what = Told::SpanResult(Box::new(result));
                    spans.of(|| rehearsal.happen(Event::Told { connection, what }));
                }
            }
        }
        if seq % (LOOK_US / READING_US) as u32 != 0 {
            continue;
        }
        looks.of(|| rehearsal.happen(Event::Tick));
        let picture = pictures.of(|| rehearsal.room.picture(now_us));
        n_pictures += 1;
        n_whole_bytes += serde_json::to_string(&picture).expect("plain data").len();
        if let Some(seen) = &seen {
            n_change_bytes += changes
                .of(|| serde_json::to_string(&RoomChange::between(seen, &picture)).expect("plain data"))
                .len();
        }
        seen = Some(picture);
    }
    let seconds = minutes * 60.0;
    println!("{n_players} players, {minutes} minutes of a virtual clock");
    for (what, cost) in [
        ("readings", &readings),
        ("pulses", &pulses),
        ("spans", &spans),
        ("stored", &rehearsal.stored),
        ("looks", &looks),
        ("pictures", &pictures),
        ("changes", &changes),
    ] {
        cost.tell(what, seconds);
    }
    println!(
        "a picture {} B whole, {} B of changes",
        n_whole_bytes / n_pictures,
        n_change_bytes / n_pictures
    );
    println!(
        "runs kept {} times, up to {} B; players told {} times",
        rehearsal.kept.0, rehearsal.kept.1, rehearsal.told
    );
}
