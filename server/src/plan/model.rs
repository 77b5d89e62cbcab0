//! A plan and its exercises, as they stand in a file. Plain data; [`super::play`] has what an exercise asks.

use super::play::Play;
use serde::{Deserialize, Serialize};
use windrow_protocol::messages::Turns;
use windrow_protocol::note::Note;
use windrow_protocol::voicing::{Tuning, Voicing};

/// What a plan's file says that it is.
pub(crate) const FORMAT: &str = "windrow-plan";
/// The version of that format which this program writes, and the newest it reads.
pub(crate) const VERSION: u32 = 1;

/// A plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Plan {
    /// [`FORMAT`].
    pub(crate) format: String,
    /// [`VERSION`].
    pub(crate) version: u32,
    /// Short name for links and commands: small letters, digits and hyphens.
    pub(crate) name: String,
    /// As people read it.
    pub(crate) title: String,
    /// What it is for; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(crate) about: String,
    /// How long it takes in truth, such as "two weeks, ten minutes a day"; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(crate) takes: String,
    /// Beats in a bar, 1 to 12.
    #[serde(default = "four")]
    pub(crate) beats_per_bar: u8,
    /// At least one, in playing order.
    pub(crate) exercises: Vec<Exercise>,
}

fn four() -> u8 {
    4
}

/// An exercise of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Exercise {
    /// Absent: it is called after what it asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) title: Option<String>,
    /// The part of the plan that begins here, such as "Days 1 to 3"; absent: the one before goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) part: Option<String>,
    /// What is played.
    pub(crate) play: Play,
    /// A sentence for the player; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(crate) say: String,
    /// What to reach; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(crate) goal: String,
    /// What to be careful about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) cautions: Vec<String>,
    /// Silence after it, seconds, 0 to 600.
    #[serde(default)]
    pub(crate) rest_s: u16,
    /// Sounding note that everybody's is made from; absent: what the conductor has set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// How it is spread over the chairs; absent: as the conductor has set it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) voicing: Option<Voicing>,
    /// Where the notes of a chord lie; absent: as the conductor has set it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) tuning: Option<Tuning>,
    /// Who plays when; absent: as the conductor has set it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) turns: Option<Turns>,
    /// How close is close enough, where that is not as usual.
    #[serde(default, skip_serializing_if = "Bands::is_usual")]
    pub(crate) bands: Bands,
}

/// How close is close enough; what is absent is as usual (`windrow_protocol::judge::Bands`).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(crate) struct Bands {
    /// Off the pulse rate asked for, per cent, 0.5 to 50.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) rate_percent: Option<f64>,
    /// Off the tick, ms, 5 to 500.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) timing_ms: Option<f64>,
    /// Off the note, cents, 1 to 100.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) centre_cents: Option<f64>,
    /// Least depth, peak over valley, dB, 0 to 30.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) depth_db: Option<f64>,
    /// Most swing of the pitch, peak to peak, cents, 5 to 400.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) swing_cents: Option<f64>,
}

impl Bands {
    fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}
