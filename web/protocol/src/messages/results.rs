//! What the section did: for each time an exercise was played, what every player and the section came to, whole and span by
//! span. For the conductor's page. Plain data; how it is found is the room's work.

use crate::judge::State;
use crate::phrase::Phrase;
use crate::units::{Cents, Decibels, Hertz, Name, Ratio, Share};
use serde::de::{Error, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::marker::PhantomData;

/// Everything played in this rehearsal, oldest first.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Results {
    /// Counts up with every change.
    pub version: u32,
    /// Each time an exercise was begun.
    pub runs: Vec<Run>,
}

/// One time through an exercise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// From 1, in the order of playing.
    pub number: u16,
    /// Place of the exercise in its plan, from 1.
    pub exercise: u16,
    /// Its name.
    pub name: Phrase,
    /// Whether it has ended; what is played still changes.
    pub is_over: bool,
    /// Whether the imaginary section played it; it goes when that section goes.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub imaginary: bool,
    /// Titles of its spans that were asked of somebody, such as "Triplets at 66", in playing order; at most [`Run::MAX_PARTS`].
    #[serde(deserialize_with = "parts")]
    pub spans: Vec<Phrase>,
    /// The section as one, over the whole run.
    pub section: SectionResult,
    /// Everybody who was in, in chair order.
    pub players: Vec<PlayerResult>,
}

impl Run {
    /// Most parts that are told of.
    pub const MAX_PARTS: usize = 64;
}

/// A list with something for each part and no more: what is measured of a part takes forty times the memory of the word
/// `null`, which says that there is nothing.
fn parts<'de, T: Deserialize<'de>, D: Deserializer<'de>>(decoder: D) -> Result<Vec<T>, D::Error> {
    struct Parts<T>(PhantomData<T>);

    impl<'de, T: Deserialize<'de>> Visitor<'de> for Parts<T> {
        type Value = Vec<T>;

        fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            write!(f, "at most {} parts", Run::MAX_PARTS)
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Vec<T>, A::Error> {
            let mut parts = Vec::new();
            while let Some(part) = list.next_element()? {
                if parts.len() == Run::MAX_PARTS {
                    return Err(A::Error::invalid_length(parts.len() + 1, &self));
                }
                parts.push(part);
            }
            Ok(parts)
        }
    }

    decoder.deserialize_seq(Parts(PhantomData))
}

/// What the section came to.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SectionResult {
    /// Players who could be judged.
    pub n_judged: u16,
    /// Players who were matched in the end.
    pub n_matched: u16,
    /// Share of the judged time, over all players, in which they were matched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub matched: Option<Share>,
    /// Resultant length of the pulses' phases against the tick, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub together: Option<Share>,
    /// Circular standard deviation of the same, ms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread_ms: Option<f64>,
    /// Mean of the same, ms; negative is early.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_ms: Option<f64>,
    /// Chairs that were out for the larger part of what could be judged, worst first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub out: Vec<u16>,
}

/// What one player came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlayerResult {
    /// This player in this room.
    pub player_id: String,
    /// Seat, from 1.
    pub chair: u16,
    /// Name.
    pub name: Name,
    /// Such as "flute 2".
    pub part: String,
    /// Over the whole run.
    pub whole: Measures,
    /// Span by span, as many as [`Run::spans`]; `None` where it was not this player's turn or nothing was heard.
    #[serde(deserialize_with = "parts")]
    pub spans: Vec<Option<Measures>>,
    /// Beats in which the depth grew from 10 to 90 % of its full value, where a span asked for growing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ease_beats: Option<f64>,
    /// How well rate and depth followed the loudness, where the dynamics change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hairpin: Option<HairpinFit>,
}

/// What was measured of one player over some time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Measures {
    /// The state that stood longest among those that pass a verdict; "blended" or "not heard" where none did.
    pub state: State,
    /// Share of the time asked for in which the readings could be judged by.
    pub trusted: Share,
    /// Share of the judged time in which the state was "matched".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub matched: Option<Share>,
    /// Pulses found.
    pub n_pulses: u32,
    /// Pulses a second.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulse_rate_hz: Option<Hertz>,
    /// Pulses a beat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulses_per_beat: Option<Ratio>,
    /// Median of pulse time minus tick; only of a calibrated device.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_ms: Option<f64>,
    /// Median depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_db_pp: Option<Decibels>,
    /// Median swing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swing_cents_pp: Option<Cents>,
    /// Pitch centre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_cents: Option<Cents>,
    /// Pitch centre at the end minus at the beginning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drift_cents: Option<Cents>,
    /// Pitch centre while pulsing minus that of the player's own straight tone before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_straight_cents: Option<Cents>,
    /// Coefficient of variation of the intervals between pulses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evenness_cv: Option<Ratio>,
}

/// How well a player's vibrato followed the loudness: rank correlations (Spearman), -1 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HairpinFit {
    /// Of depth with level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
    /// Of rate with level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<f64>,
    /// Where the level was highest, as a share of the exercise; the written turn-round lies at `peak_asked`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peak: Option<Share>,
    /// The same as written.
    pub peak_asked: Share,
}
