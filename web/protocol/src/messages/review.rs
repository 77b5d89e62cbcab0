//! The rehearsal to look back on: every run at a glance, each run as a raster that can be played again, and who needs what. For
//! the conductor's page. Plain data; how it is found is the room's work.

use crate::judge::State;
use crate::phrase::Phrase;
use crate::score::{PerBeat, Target};
use crate::units::{Bpm, Name};
use serde::{Deserialize, Serialize};

/// All runs at a glance, oldest first, and what comes of them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Review {
    /// That of [`super::Results`].
    pub version: u32,
    /// Time in which runs were played.
    pub played_s: f64,
    /// Time between the first run's beginning and the last one's end that none was played in.
    pub rested_s: f64,
    /// As many as [`super::Results::runs`].
    pub runs: Vec<Glance>,
    /// In chair order; nobody of whom there is nothing to say.
    pub needs: Vec<Need>,
}

/// A run on a thumb's breadth.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Glance {
    /// Of the run.
    pub number: u16,
    /// What its parts asked for, as many as [`super::Run::spans`].
    pub asked: Vec<PartAsked>,
    /// All pulses that may be compared, counted by their offset from the tick: [`Glance::FOLD_STEPS`] steps of
    /// [`Glance::FOLD_STEP_MS`], the middle one about the tick. Empty where there are none.
    pub fold: Vec<u32>,
    /// The bars that lanes show: one, or several where players took turns.
    pub bars: Vec<GlanceBar>,
    /// In chair order.
    pub lanes: Vec<GlanceLane>,
    /// Whether its raster is kept.
    pub has_replay: bool,
}

impl Glance {
    /// Width of a step of the fold.
    pub const FOLD_STEP_MS: f64 = 5.0;
    /// Steps of the fold: 122.5 ms to each side of the tick.
    pub const FOLD_STEPS: usize = 49;
}

/// What one part of a run asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PartAsked {
    /// What was to be played.
    pub target: Target,
    /// At this tempo, or from it on.
    pub bpm: Bpm,
}

/// One bar, in times of its run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GlanceBar {
    /// Its beginning, ms since the run's.
    pub from_ms: f64,
    /// Its end.
    pub to_ms: f64,
    /// Its ticks.
    pub ticks: Vec<ReplayTick>,
}

/// What a player did in a bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GlanceLane {
    /// This player in this room.
    pub player_id: String,
    /// Seat, from 1.
    pub chair: u16,
    /// Place of the bar among [`Glance::bars`].
    pub bar: u16,
    /// Pulses of the bar.
    pub marks: Vec<Mark>,
    /// Moments at which a tone of the player's own was heard, ms since the run's beginning.
    pub heard_ms: Vec<f64>,
}

/// A pulse as it is drawn: time in ms since the run's beginning, depth in dB, swing in cents, and what is special about it
/// ([`Mark::CHOKED`], [`Mark::NOT_OWN`], added).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark(pub f64, pub f64, pub f64, pub u8);

impl Mark {
    /// The tone broke in the valley before it.
    pub const CHOKED: u8 = 1;
    /// It may be somebody else's.
    pub const NOT_OWN: u8 = 2;
}

/// A tick: time in ms since the run's beginning, and its weight (0 first of a bar, 1 on another beat, 2 between).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ReplayTick(pub f64, pub u8);

/// A run's whole raster.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Replay {
    /// Of the run.
    pub number: u16,
    /// The exercise's name.
    pub name: Phrase,
    /// Whether it has ended; what is played still grows.
    pub is_over: bool,
    /// From the first note that was asked for to the end.
    pub lasts_ms: f64,
    /// All of them.
    pub ticks: Vec<ReplayTick>,
    /// Number of the bar that begins with the first tick, or that holds it.
    pub first_bar: i32,
    /// What was asked from when on, in order.
    pub parts: Vec<ReplayPart>,
    /// In chair order.
    pub lanes: Vec<ReplayLane>,
}

/// What was asked from a moment on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReplayPart {
    /// Since when.
    pub from_ms: f64,
    /// Such as "Triplets at 66".
    pub title: Phrase,
    /// Chairs that play; empty for all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub turn: Vec<u16>,
}

/// A player's lane. Times are ms since the run's beginning, in order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReplayLane {
    /// This player in this room.
    pub player_id: String,
    /// Seat, from 1.
    pub chair: u16,
    /// Name.
    pub name: Name,
    /// Such as "flute 2".
    pub part: String,
    /// Pulses, without the constant offset of a device whose delay is not known.
    pub marks: Vec<Mark>,
    /// Pitch centre, cents from the note.
    pub centres: Vec<(f64, f64)>,
    /// From when on which state stood on the conductor's page.
    pub states: Vec<(f64, State)>,
}

/// What a player needs most, after the runs so far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Need {
    /// This player in this room.
    pub player_id: String,
    /// Seat, from 1.
    pub chair: u16,
    /// What stood in the way; "matched" where nothing did, "blended" or "not heard" where too little could be judged.
    pub state: State,
    /// What to practise next.
    pub practise: Practise,
}

/// What to practise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Practise {
    /// In which way.
    pub how: PractiseHow,
    /// Pulses in a beat, where it is about a value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_beat: Option<PerBeat>,
    /// At this tempo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bpm: Option<Bpm>,
    /// And then at this one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub then_bpm: Option<Bpm>,
}

/// Ways to practise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PractiseHow {
    /// The same a little faster: the player is ready for it.
    Faster,
    /// Whatever comes next: the player is ready for it.
    Next,
    /// The same slower, and then as it was.
    SlowerThenBack,
    /// The same, well slower.
    Slower,
    /// The same with the tick heard, a little slower.
    WithTick,
    /// Slow and deep pulses.
    Deep,
    /// The same with half the depth.
    HalfDepth,
    /// A straight tone, then slow pulses of the air.
    StraightThenPulses,
    /// Slow pulses, one on each tick.
    OneOnEachTick,
    /// A straight tone, eased in, and straight again.
    StraightEaseStraight,
    /// A straight note in tune, then the same with pulses.
    TuneThenPulses,
    /// A tone held straight.
    Straight,
    /// Alone, one player after another.
    DownTheLine,
    /// The microphone.
    Microphone,
}

impl PractiseHow {
    /// All of them.
    pub const ALL: [PractiseHow; 14] = [
        PractiseHow::Faster,
        PractiseHow::Next,
        PractiseHow::SlowerThenBack,
        PractiseHow::Slower,
        PractiseHow::WithTick,
        PractiseHow::Deep,
        PractiseHow::HalfDepth,
        PractiseHow::StraightThenPulses,
        PractiseHow::OneOnEachTick,
        PractiseHow::StraightEaseStraight,
        PractiseHow::TuneThenPulses,
        PractiseHow::Straight,
        PractiseHow::DownTheLine,
        PractiseHow::Microphone,
    ];
}
