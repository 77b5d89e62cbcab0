//! From sound to the word on the conductor's page, without sockets and faster than time: synthesised players, the ear
//! every device has, and the room's rules. Whatever the room says of them must be what their sound was made to be.

use crate::room::Told;
use crate::room::desk::Desk;
use std::f64::consts::TAU;
use windrow_analysis::Config;
use windrow_analysis::signals::{Moment, Timbre, Voice};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{self, ConductorSays, PlayerSays, Snapshot};
use windrow_protocol::score::Target;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Bpm;
use windrow_web::{Listener, TimeMap};

const SAMPLE_RATE_HZ: f64 = 24_000.0;
/// Sound comes in blocks of 20 ms, the room is looked at five times a second.
const BLOCK_SAMPLES: usize = 480;
const BLOCKS_PER_LOOK: u32 = 10;

/// How a player plays.
#[derive(Clone, Copy)]
struct Manner {
    f0_hz: f64,
    rate_share: f64,
    late_s: f64,
    depth_db: f64,
    swing_cents: f64,
    drift_cents_per_s: f64,
}

/// On the beat, with the air.
const GOOD: Manner = Manner {
    f0_hz: 440.0,
    rate_share: 1.0,
    late_s: 0.0,
    depth_db: 7.0,
    swing_cents: 12.0,
    drift_cents_per_s: 0.0,
};

impl Manner {
    /// Sound at a server time: silence before the music and while it is counted in.
    fn at(&self, timeline: &Timeline, time_us: f64) -> Moment {
        let silence = Moment { f0_hz: self.f0_hz, gain: 0.0 };
        let beat = timeline.beat_at(time_us - self.late_s * 1e6);
        let Some(span_idx) = timeline.span_index_at(beat) else { return silence };
        if !timeline.score().spans[span_idx].target.sounds() {
            return silence;
        }
        let first_beat = timeline.span_start(span_idx).unwrap();
        let wave = match timeline.score().spans[span_idx].target {
            Target::Pulses { per_beat } => {
                (TAU * f64::from(per_beat.get()) * self.rate_share * (beat - first_beat)).cos()
            }
            _ => 1.0,
        };
        let since_start_s = (time_us - timeline.score().start_us.get()) / 1e6;
        let cents = self.swing_cents / 2.0 * wave + self.drift_cents_per_s * since_start_s;
        let level_db = self.depth_db / 2.0 * (wave - 1.0);
        Moment { f0_hz: self.f0_hz * (cents / 1200.0).exp2(), gain: 0.3 * 10f64.powf(level_db / 20.0) }
    }
}

/// Lets the players play for a while; `look` gets a picture five times a second with the time since the first sample.
fn rehearse(
    desk: &mut Desk,
    players: &[(&str, Manner)],
    seconds: f64,
    commands: &[(f64, ConductorSays)],
    mut look: impl FnMut(f64, &Snapshot),
) {
    let begin_us = desk.now_us;
    let mut devices: Vec<_> = players
        .iter()
        .map(|(name, manner)| {
            let config = Config { sample_rate_hz: SAMPLE_RATE_HZ, a4_hz: 440.0, expected_midi: None };
            let mut listener = Listener::new(config).unwrap();
            listener.set_time_map(TimeMap::new(begin_us, 1e6).unwrap());
            (desk.join(name), listener, Voice::new(SAMPLE_RATE_HZ, Timbre::falling(8), -75.0, 7), manner)
        })
        .collect();
    let mut commands = commands.iter().peekable();
    let mut samples = [0.0; BLOCK_SAMPLES];
    let mut version = 0;
    for block in 0..(seconds * SAMPLE_RATE_HZ) as u32 / BLOCK_SAMPLES as u32 {
        let heard_s = f64::from(block + 1) * BLOCK_SAMPLES as f64 / SAMPLE_RATE_HZ;
        desk.now_us = begin_us + heard_s * 1e6;
        while let Some((_, command)) = commands.next_if(|(at_s, _)| *at_s <= heard_s) {
            desk.command(command.clone());
        }
        let timeline = desk.timeline();
        let now_version = timeline.as_ref().map_or(0, |t| t.score().version);
        for (connection, listener, voice, manner) in &mut devices {
            if now_version != version {
                listener.set_score(timeline.as_ref().map(|t| t.score().clone())).unwrap();
            }
            voice.fill(&mut samples, |t| match &timeline {
                Some(timeline) => manner.at(timeline, begin_us + t * 1e6),
                None => Moment { f0_hz: manner.f0_hz, gain: 0.0 },
            });
            for message in listener.push(&samples) {
                let what = match message {
                    PlayerSays::Reading(reading) => Told::Reading(Box::new(reading)),
                    PlayerSays::Pulses(batch) => Told::Pulses(batch),
                    PlayerSays::SpanResult(result) => Told::SpanResult(Box::new(result)),
                    other => panic!("a listener says no such thing: {other:?}"),
                };
                desk.tell(*connection, what);
            }
        }
        version = now_version;
        if block % BLOCKS_PER_LOOK == BLOCKS_PER_LOOK - 1 {
            look(heard_s, &desk.look());
        }
    }
}

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

#[test]
fn each_of_eight_players_is_called_what_the_sound_was_made_to_be() {
    let players = [
        ("Imogen", State::Matched, Manner { f0_hz: 349.23, ..GOOD }),
        ("Tobias", State::Fast, Manner { rate_share: 1.09, ..GOOD }),
        ("Wren", State::DriftingSharp, Manner { f0_hz: 523.25, drift_cents_per_s: 2.5, ..GOOD }),
        ("Hadley", State::Shallow, Manner { f0_hz: 587.33, depth_db: 1.8, ..GOOD }),
        ("Callum", State::ChokedValleys, Manner { f0_hz: 146.83, depth_db: 36.0, ..GOOD }),
        ("Piers", State::PitchLed, Manner { f0_hz: 392.0, depth_db: 1.5, swing_cents: 60.0, ..GOOD }),
        ("Anouk", State::Late, Manner { f0_hz: 261.63, late_s: 0.065, ..GOOD }),
        ("Sorrel", State::Matched, Manner { f0_hz: 493.88, ..GOOD }),
    ];
    let mut desk = Desk::new();
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.command(ConductorSays::SetTempo { bpm: bpm(72.0), at: messages::Moment::Bar });
    desk.command(ConductorSays::SetSubdivision { per_beat: 3, at: messages::Moment::Bar });
    let manners = players.map(|(name, _, manner)| (name, manner));
    rehearse(&mut desk, &manners, 22.0, &[(0.1, ConductorSays::Start)], |heard_s, snapshot| {
        for (lane, (name, state, _)) in snapshot.lanes.iter().zip(players) {
            // Ten seconds from the start to the word, and no other word on the way to it; a drift has to have gone some
            // way before it is one.
            let on_the_way = match state {
                State::DriftingSharp => [State::NotHeard, State::Matched].contains(&lane.state),
                _ => lane.state == State::NotHeard,
            };
            let allowed = lane.state == state || (on_the_way && heard_s < 10.0);
            assert!(allowed, "{name} is {:?} ({:?}) at {heard_s:.1} s", lane.state, lane.evidence);
        }
    });
}

#[test]
fn who_follows_every_change_is_never_blamed_for_it() {
    let commands = [
        (1.0, ConductorSays::Start),
        (14.0, ConductorSays::SetTempo { bpm: bpm(80.0), at: messages::Moment::Bar }),
        (24.0, ConductorSays::SetSubdivision { per_beat: 3, at: messages::Moment::Bar }),
        (36.0, ConductorSays::SetTempo { bpm: bpm(60.0), at: messages::Moment::Bar }),
        (46.0, ConductorSays::SetSubdivision { per_beat: 1, at: messages::Moment::Bar }),
        (58.0, ConductorSays::SetSubdivision { per_beat: 4, at: messages::Moment::Bar }),
        (68.0, ConductorSays::SetSubdivision { per_beat: 0, at: messages::Moment::Bar }),
    ];
    let mut desk = Desk::new();
    desk.command(ConductorSays::SetTempo { bpm: bpm(72.0), at: messages::Moment::Bar });
    desk.command(ConductorSays::SetSubdivision { per_beat: 2, at: messages::Moment::Bar });
    let players =
        [("Imogen", Manner { f0_hz: 349.23, ..GOOD }), ("Callum", Manner { f0_hz: 174.61, ..GOOD })];
    rehearse(&mut desk, &players, 78.0, &commands, |heard_s, snapshot| {
        for lane in &snapshot.lanes {
            let allowed = lane.state == State::Matched || (lane.state == State::NotHeard && heard_s < 12.0);
            let (name, title) = (&lane.name, &snapshot.title);
            assert!(allowed, "{name} is {:?} ({:?}) at {heard_s:.1} s, {title:?}", lane.state, lane.evidence);
        }
    });
}
