//! A run as it goes to the records and comes back from there: what it came to, what it looked like, and what each player reached
//! at each tempo and subdivision. Plain data; pure.

use super::super::statistics::together;
use super::heard::Asked;
use super::measures::{Music, Part, offsets, pulses_of};
use super::record::Record;
use super::run::{Player, Run};
use super::{Runs, Settled, account};
use serde::{Deserialize, Serialize};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{self, Glance, Measures, Replay, Results, Review};
use windrow_protocol::score::{Score, Target};
use windrow_protocol::units::{Bpm, Micros};

/// A rung is held when it was matched for so many bars.
const HELD_BARS: f64 = 4.0;
/// Times of spans are whole microseconds.
const BAR_FORGIVEN: f64 = 0.01;
/// Least share of the time asked for that must have a verdict, and of that time which must be "matched": as ladders go on by
/// themselves. Our own choice.
const HELD_JUDGED: f64 = 0.5;
const HELD_MATCHED: f64 = 0.75;

/// A time through an exercise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptRun {
    /// Server time of the first note that was asked for, µs.
    pub began_us: f64,
    /// Server time until which it was played, as far as is known, µs.
    pub ended_us: f64,
    /// What it came to; whether it is over stands there.
    pub told: messages::Run,
    /// The same at a glance.
    pub glance: Glance,
    /// Its part of the music.
    pub score: Score,
    /// What each player did, in chair order.
    pub traces: Vec<KeptTrace>,
    /// What each reached in each part, by chair and part.
    pub stretches: Vec<Stretch>,
}

/// What one player did, as rows of numbers in protocol buffers' way; times are differences from the run's beginning on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptTrace {
    /// Who.
    pub player_id: String,
    /// Constant offset of a device whose delay is not known, ms.
    pub left_out_ms: f64,
    /// A pulse each: time (0.1 ms, signed), depth (0.1 dB), swing (cents) times four plus its kind
    /// ([`messages::Mark::CHOKED`], [`messages::Mark::NOT_OWN`]).
    pub pulses: Vec<u8>,
    /// Time (10 ms, signed) and pitch centre (cents, signed), up to four a second.
    pub centres: Vec<u8>,
    /// Time (10 ms, signed) and the state from then on, by its place in [`State::ALL`].
    pub states: Vec<u8>,
}

/// What one player came to in one part of a run: one tempo and subdivision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// Who.
    pub player_id: String,
    /// Place of the part among [`messages::Run::spans`].
    pub part: u16,
    /// Server time, µs.
    pub began_us: f64,
    /// What was to be played.
    pub target: Target,
    /// At this tempo, or from it on.
    pub bpm: Bpm,
    /// To this one.
    pub bpm_to: Option<Bpm>,
    /// Whether the measure was only felt.
    pub loosely: bool,
    /// Bars in which it was this player's turn.
    pub bars: f64,
    /// Time in which the player was in and did not rest, seconds.
    pub asked_s: f64,
    /// The part of it that a verdict was passed on, seconds.
    pub judged_s: f64,
    /// Whether the rung was held: pulses at a steady tempo, matched for four bars.
    pub held: bool,
    /// Circular standard deviation of the pulses' offsets from the tick, ms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_spread_ms: Option<f64>,
    /// What was measured.
    pub measures: Measures,
}

/// No time and no measure of a run is as large as this, µs, ms or whatever its unit: the most that server time can be.
const POSSIBLE: f64 = Micros::HIGH;

impl KeptRun {
    /// Whether all numbers without a range of their own are such as can have been: what is read from elsewhere may hold any.
    #[must_use]
    pub fn has_possible_numbers(&self) -> bool {
        fn of_measures(measures: &Measures) -> f64 {
            measures.timing_ms.unwrap_or(0.0)
        }
        let is_possible = |number: f64| number.abs() <= POSSIBLE;
        let Self { began_us, ended_us, told, glance, traces, stretches, .. } = self;
        let section = [told.section.spread_ms, told.section.mean_ms].into_iter().flatten();
        let players = told.players.iter().flat_map(|player| {
            let measured = player.spans.iter().flatten().chain([&player.whole]).map(of_measures);
            let hairpin = player.hairpin.iter().flat_map(|fit| [fit.depth, fit.rate]).flatten();
            measured.chain(player.ease_beats).chain(hairpin)
        });
        let bars = glance
            .bars
            .iter()
            .flat_map(|bar| [bar.from_ms, bar.to_ms].into_iter().chain(bar.ticks.iter().map(|tick| tick.0)));
        let lanes = glance.lanes.iter().flat_map(|lane| {
            let marks = lane.marks.iter().flat_map(|mark| [mark.0, mark.1, mark.2]);
            marks.chain(lane.heard_ms.iter().copied())
        });
        let stretches = stretches.iter().flat_map(|stretch| {
            let lengths = [stretch.began_us, stretch.bars, stretch.asked_s, stretch.judged_s];
            let rest = [stretch.timing_spread_ms.unwrap_or(0.0), of_measures(&stretch.measures)];
            lengths.into_iter().chain(rest)
        });
        [*began_us, *ended_us].into_iter().all(is_possible)
            && section.chain(players).all(is_possible)
            && bars.chain(lanes).chain(traces.iter().map(|trace| trace.left_out_ms)).all(is_possible)
            && stretches.into_iter().all(is_possible)
    }

    pub(super) fn of(run: &Run) -> Option<Self> {
        let Settled { told, glance, record, start_us, end_us } = Settled::of(run);
        let record = record?;
        let traces = record.lanes.iter().map(|lane| lane.kept()).collect();
        let stretches = stretches(run, &told);
        Some(Self {
            began_us: start_us,
            ended_us: end_us,
            told,
            glance,
            score: record.timeline.score().clone(),
            traces,
            stretches,
        })
    }

    /// Back from the records, with times moved by so much.
    pub(super) fn settled(self, moved_us: f64) -> Settled {
        let record = Record::kept(&self);
        let mut glance = self.glance;
        glance.has_replay = record.is_some();
        let told = messages::Run { is_over: true, ..self.told };
        let (start_us, end_us) = (self.began_us + moved_us, self.ended_us + moved_us);
        Settled { told, glance, record, start_us, end_us }
    }
}

fn stretches(run: &Run, told: &messages::Run) -> Vec<Stretch> {
    let parts = run.parts();
    let mut stretches = Vec::new();
    for result in &told.players {
        let Some(player) = run.players.get(&result.player_id) else { continue };
        for (place, (part, measures)) in parts.iter().zip(&result.spans).enumerate() {
            let Some(measures) = measures else { continue };
            stretches.extend(stretch(run, player, part, measures).map(|stretch| Stretch {
                player_id: result.player_id.clone(),
                part: u16::try_from(place).unwrap_or(u16::MAX),
                ..stretch
            }));
        }
    }
    stretches
}

fn stretch(run: &Run, player: &Player, part: &Part, measures: &Measures) -> Option<Stretch> {
    let music = run.music();
    let span = music.span(part.spans[0]);
    let asked: Asked = account::of_part(music, part, &player.heard);
    let own: Vec<usize> =
        part.spans.iter().copied().filter(|idx| player.heard.spans.contains_key(idx)).collect();
    let bounds = |idx: usize| {
        let (from_us, to_us) = music.bounds_us(idx);
        (from_us, to_us.min(run.played_until_us()))
    };
    let began_us = bounds(*own.first()?).0;
    let timeline = music.timeline;
    let (mut beats, mut lasted_us) = (0.0, 0.0);
    for (from_us, to_us) in own.iter().map(|&idx| bounds(idx)) {
        beats += (timeline.beat_at(to_us) - timeline.beat_at(from_us)).max(0.0);
        lasted_us += (to_us - from_us).max(0.0);
    }
    let bars = beats / f64::from(timeline.score().beats_per_bar);
    let judged_us = asked.standing.judged_us();
    let is_rung = matches!(span.target, Target::Pulses { .. }) && span.bpm_to.is_none() && !span.loosely;
    let is_matched = measures.state == State::Matched
        && measures.matched.is_some_and(|share| share.get() >= HELD_MATCHED)
        && judged_us >= HELD_JUDGED * lasted_us;
    Some(Stretch {
        player_id: String::new(),
        part: 0,
        began_us,
        target: span.target,
        bpm: span.bpm,
        bpm_to: span.bpm_to,
        loosely: span.loosely,
        bars: (bars * 1000.0).round() / 1000.0,
        asked_s: (asked.asked_us / 1e4).round() / 100.0,
        judged_s: (judged_us / 1e4).round() / 100.0,
        held: is_rung && is_matched && bars >= HELD_BARS - BAR_FORGIVEN,
        timing_spread_ms: spread_ms(music, part, player),
        measures: *measures,
    })
}

fn spread_ms(music: Music<'_>, part: &Part, player: &Player) -> Option<f64> {
    let pulses = pulses_of(music, &[part], &player.heard);
    let spread = together(&offsets(music, &pulses))?.spread_ms?;
    Some((spread * 10.0).round() / 10.0)
}

/// Runs of a rehearsal that is over, from the records.
#[derive(Debug, Clone, Default)]
pub struct PastRuns(Runs);

impl PastRuns {
    /// In the order of playing.
    #[must_use]
    pub fn of(kept: Vec<KeptRun>) -> Self {
        let mut runs = Runs::default();
        runs.take_back(kept, 0.0);
        Self(runs)
    }

    /// What was done.
    #[must_use]
    pub fn results(&self) -> Results {
        self.0.told()
    }

    /// The same to look back on.
    #[must_use]
    pub fn review(&self) -> Review {
        self.0.review()
    }

    /// A run's raster.
    #[must_use]
    pub fn replay(&self, number: u16) -> Option<Replay> {
        self.0.replay(number)
    }
}
