//! A room for tests, with a hand on its clock and ready-made events. Used by tests alone.

#![expect(clippy::unwrap_used, reason = "tests alone use it")]
#![cfg_attr(not(test), expect(dead_code, reason = "tests of other crates use a part of it"))]

use super::event::Effect::{self, Keep, Send};
use super::event::{ConnectionId, Event, FreshIds, Joining, Kept, KnownDevice, Told};
use super::lesson::Lesson;
use super::seat::Seat;
use super::state::Room;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorSays, Hearing, Hello, Lane, Moment, PlayerHears, Pulse, PulseBatch, Reading, RoomCheck,
    Snapshot, Welcome,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros, Name, Share};

/// A room with a hand on its clock.
pub struct Desk {
    pub(super) room: Room,
    /// Server time.
    pub now_us: f64,
    next: u64,
    kept: Vec<Kept>,
}

/// Why a command could not be carried out, if so.
pub(super) fn cannot(effects: &[Effect]) -> Option<Phrase> {
    effects.iter().find_map(|effect| match effect {
        Effect::CannotDo { text } => Some(text.clone()),
        _ => None,
    })
}

impl Desk {
    /// An empty one.
    #[expect(clippy::new_without_default, reason = "a test says where its room comes from")]
    pub fn new() -> Self {
        let a4_hz = Hertz::new(440.0).unwrap();
        let room = Room::new("KF3M7P".to_owned(), Name::new("Larkmoor Youth Winds").unwrap(), a4_hz);
        Self { room, now_us: 1e6, next: 0, kept: Vec::new() }
    }

    /// A room that has been playing triplets at 66 since server time 10 s, without a count-in.
    pub(super) fn playing_triplets() -> Self {
        let mut desk = Self::new();
        desk.command(ConductorSays::SetCountIn { bars: 0 });
        desk.command(ConductorSays::SetTempo { bpm: Bpm::new(66.0).unwrap(), at: Moment::Bar });
        desk.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar });
        desk.now_us = 9.4e6;
        desk.command(ConductorSays::Start);
        assert_eq!(desk.room.music().score().unwrap().start_us.get(), 10e6);
        desk.now_us = 10e6;
        desk
    }

    pub(super) fn apply(&mut self, event: Event) -> Vec<Effect> {
        let effects = self.room.apply(event, self.now_us);
        self.kept.extend(effects.iter().filter_map(|effect| match effect {
            Keep(kept) => Some(kept.clone()),
            _ => None,
        }));
        effects
    }

    /// Gives a command.
    pub fn command(&mut self, command: ConductorSays) -> Vec<Effect> {
        self.apply(Event::Commanded(command))
    }

    /// What is to be kept since this was asked last.
    pub fn take_kept(&mut self) -> Vec<Kept> {
        std::mem::take(&mut self.kept)
    }

    /// Lets the room play from another plan.
    pub fn take_plan(&mut self, lesson: Lesson) {
        self.apply(Event::Plan(Box::new(lesson)));
    }

    pub(super) fn join_with(
        &mut self,
        name: &str,
        change: impl FnOnce(&mut Hello),
    ) -> (ConnectionId, Vec<Effect>) {
        self.come(name, false, change)
    }

    /// The same for a player of the imaginary section.
    pub(super) fn join_imaginary(&mut self, name: &str) -> (ConnectionId, Vec<Effect>) {
        self.come(name, true, |_| {})
    }

    fn come(
        &mut self,
        name: &str,
        is_imaginary: bool,
        change: impl FnOnce(&mut Hello),
    ) -> (ConnectionId, Vec<Effect>) {
        self.next += 1;
        let connection = ConnectionId(self.next);
        let mut hello =
            Hello { calibrated: true, ..Hello::new("KF3M7P", Name::new(name).unwrap(), Instrument::Flute) };
        change(&mut hello);
        let fresh = FreshIds { player_id: format!("p{}", self.next), token: format!("t{}", self.next) };
        let joining = Joining { connection, hello, fresh, device: KnownDevice::default(), is_imaginary };
        (connection, self.apply(Event::Joined(Box::new(joining))))
    }

    /// Lets a player in.
    pub fn join(&mut self, name: &str) -> ConnectionId {
        self.join_with(name, |_| {}).0
    }

    /// Tells what a device says.
    pub fn tell(&mut self, connection: ConnectionId, what: Told) -> Vec<Effect> {
        self.apply(Event::Told { connection, what })
    }

    /// The music now.
    pub fn timeline(&self) -> Option<Timeline> {
        self.room.music().timeline().cloned()
    }

    /// As [`Desk::play_all`] for one player.
    pub(super) fn play(&mut self, connection: ConnectionId, seconds: f64, reading: &Reading) -> Snapshot {
        self.play_all(&[connection], seconds, reading)
    }

    /// Tells a reading of each ten times a second for a while, with a look every fifth of a second, and gives the last
    /// picture.
    pub(super) fn play_all(&mut self, players: &[ConnectionId], seconds: f64, reading: &Reading) -> Snapshot {
        let mut last = None;
        for i in 0..(seconds * 10.0).round() as u32 {
            self.now_us += 1e5;
            let time_us = Micros::new(self.now_us).unwrap();
            let reading = Reading { time_us, seq: (self.now_us / 1e5) as u32, ..reading.clone() };
            for &player in players {
                self.tell(player, Told::Reading(Box::new(reading.clone())));
            }
            if i % 2 == 1 {
                last = Some(self.look());
            }
        }
        last.unwrap()
    }

    /// What the room check has found so far.
    pub fn found(&self) -> RoomCheck {
        let sittings: Vec<_> = self.room.seats().iter().map(Seat::sitting).collect();
        self.room.check().picture(&sittings)
    }

    /// Lets the room look at everybody.
    pub fn look(&mut self) -> Snapshot {
        self.apply(Event::Tick);
        self.room.picture(self.now_us)
    }
}

/// The picture after an event that shows a new one.
pub(super) fn picture(desk: &Desk, effects: &[Effect]) -> Snapshot {
    assert!(effects.contains(&Effect::Publish), "a picture is published");
    desk.room.picture(desk.now_us)
}

pub(super) fn welcome(effects: &[Effect]) -> Option<Welcome> {
    effects.iter().find_map(|e| match e {
        Send { message: PlayerHears::Welcome(welcome), .. } => Some(welcome.clone()),
        _ => None,
    })
}

pub(super) fn acked(effects: &[Effect]) -> Option<u32> {
    effects.iter().find_map(|e| match e {
        Send { message: PlayerHears::Ack { seq }, .. } => Some(*seq),
        _ => None,
    })
}

pub(super) fn is_kept(effects: &[Effect]) -> bool {
    effects.iter().any(|e| matches!(e, Keep(Kept::Pulses { .. } | Kept::Span { .. })))
}

pub(super) fn lane(snapshot: &Snapshot, name: &str) -> Lane {
    snapshot.lanes.iter().find(|l| l.name.as_str() == name).unwrap().clone()
}

/// A good reading of triplets at 66: 3.3 pulses a second.
pub fn pulsed() -> Reading {
    Reading {
        seq: 1,
        time_us: Micros::new(0.0).unwrap(),
        hearing: Hearing::Pulsed,
        level_db: Decibels::new(-20.0).unwrap(),
        note: Some("F4".parse().unwrap()),
        cents: Some(Cents::new(0.0).unwrap()),
        centre_cents: Some(Cents::new(2.0).unwrap()),
        pulse_rate_hz: Some(Hertz::new(3.3).unwrap()),
        n_pulses: 8,
        depth_db_pp: Some(Decibels::new(6.0).unwrap()),
        swing_cents_pp: Some(Cents::new(10.0).unwrap()),
        evenness_cv: None,
        drift_cents_per_10s: None,
        straight_reference_cents: None,
        choked_share: None,
        trust: Share::new(0.9).unwrap(),
        trusted: true,
        capture: None,
    }
}

pub(super) fn pulse(time_us: f64) -> Pulse {
    Pulse {
        time_us: Micros::new(time_us).unwrap(),
        depth_db: Decibels::new(6.0).unwrap(),
        swing_cents: Cents::new(10.0).unwrap(),
        mean_cents: None,
        choked: false,
    }
}

pub(super) fn batch(seq: u32) -> Told {
    Told::Pulses(PulseBatch { seq, pulses: vec![pulse(f64::from(seq) * 3e5)] })
}

/// Twelve pulses of triplets at 66 from server time 10 s, each later than its tick by `late_ms`.
pub(super) fn triplets_late_by(late_ms: f64) -> Told {
    let period_us = 60e6 / 66.0 / 3.0;
    let pulses = (0..12).map(|i| pulse(10e6 + f64::from(i) * period_us + late_ms * 1e3)).collect();
    Told::Pulses(PulseBatch { seq: 1, pulses })
}
