//! What an exercise of a plan asks, each kind with its own settings, as they stand in a file. Plain data.

use serde::{Deserialize, Serialize};
use windrow_protocol::messages::GoOn;
use windrow_protocol::note::Note;
use windrow_protocol::score::{Dynamic, PerBeat, Target};
use windrow_protocol::units::{Beats, Bpm, Share};

/// What is played. In a file: an object with the one key that names the kind, such as `{"straight": {"bpm": 60}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Play {
    /// A steady tone.
    Straight(Straight),
    /// Measured pulses, bar by bar or beat by beat.
    Pulses(Pulses),
    /// The same at one metronome mark after another.
    Ladder(Ladder),
    /// Straight, growing, full, fading, straight.
    Ease(Ease),
    /// Loudness, depth and rate grow and shrink together.
    Hairpin(Hairpin),
    /// A line of long notes with a pulse value over each.
    Music(Music),
    /// Vibrato without a measure.
    Free(Free),
}

/// How long one pulse lasts, where a beat is a quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum PulseValue {
    Straight,
    Quarters,
    Eighths,
    Triplets,
    Sixteenths,
    Quintuplets,
    Sextuplets,
    /// Vibrato without a measure.
    Free,
    /// Silence.
    Rest,
}

impl PulseValue {
    /// What it asks in a score.
    pub(crate) fn target(self) -> Target {
        let pulses = |n| Target::Pulses { per_beat: PerBeat::new(n).expect("from 1 to 8") };
        match self {
            PulseValue::Straight => Target::Straight,
            PulseValue::Quarters => pulses(1),
            PulseValue::Eighths => pulses(2),
            PulseValue::Triplets => pulses(3),
            PulseValue::Sixteenths => pulses(4),
            PulseValue::Quintuplets => pulses(5),
            PulseValue::Sextuplets => pulses(6),
            PulseValue::Free => Target::Free,
            PulseValue::Rest => Target::Rest,
        }
    }
}

/// A steady tone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Straight {
    /// Tempo of the bars.
    pub(crate) bpm: Bpm,
    /// Length, 1 to 64; absent: until it is stopped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) bars: Option<u16>,
    /// How loud.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) dynamic: Option<Dynamic>,
}

/// Measured pulses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pulses {
    /// Tempo.
    pub(crate) bpm: Bpm,
    /// Tempo at the end, where it changes evenly on the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) bpm_to: Option<Bpm>,
    /// In playing order, 1 to 32.
    pub(crate) values: Vec<PulseValue>,
    /// How long each lasts.
    #[serde(default)]
    pub(crate) each: Each,
    /// How often the order is played, 1 to 64; absent: for one value until it is stopped, for several once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) times: Option<u16>,
    /// How loud.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) dynamic: Option<Dynamic>,
}

/// How long each value lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Each {
    /// A bar.
    #[default]
    Bar,
    /// A beat.
    Beat,
}

/// The same at one metronome mark after another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Ladder {
    /// The first rung, a metronome mark.
    pub(crate) from_bpm: Bpm,
    /// The last rung, a faster mark.
    pub(crate) to_bpm: Bpm,
    /// What is played on each.
    pub(crate) value: PulseValue,
    /// Length of a rung, 1 to 32.
    pub(crate) bars_per_rung: u16,
    /// Rest between rungs, 0 to 8.
    #[serde(default)]
    pub(crate) rest_bars: u16,
    /// When the next rung comes.
    #[serde(default)]
    pub(crate) go_on: GoOn,
    /// For "when-matched": this share of those who can be judged is matched.
    #[serde(default = "three_quarters")]
    pub(crate) matched: Share,
    /// Go one rung back when the section falls apart.
    #[serde(default)]
    pub(crate) step_back: bool,
}

fn three_quarters() -> Share {
    Share::clamped(0.75).expect("a number")
}

/// Straight, growing, full, fading, straight; lengths in beats, 0 to 64 each, at least one above 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Ease {
    /// Tempo.
    pub(crate) bpm: Bpm,
    /// What is played while there is vibrato.
    pub(crate) value: PulseValue,
    /// Straight before it.
    pub(crate) straight: Beats,
    /// Growing.
    pub(crate) growing: Beats,
    /// Full.
    pub(crate) full: Beats,
    /// Fading.
    pub(crate) fading: Beats,
    /// Straight after it.
    pub(crate) straight_after: Beats,
    /// How often, 1 to 16.
    #[serde(default = "once")]
    pub(crate) times: u16,
    /// Rest between two times, 0 to 32 beats.
    #[serde(default = "no_beats")]
    pub(crate) rest: Beats,
}

fn once() -> u16 {
    1
}

fn no_beats() -> Beats {
    Beats::clamped(0.0).expect("a number")
}

/// Loudness, depth and rate grow and shrink together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Hairpin {
    /// Tempo.
    pub(crate) bpm: Bpm,
    /// What is played on the way up, in equal shares of it, and back again on the way down; `["free"]` leaves it free.
    pub(crate) values: Vec<PulseValue>,
    /// Loudness at both ends.
    pub(crate) from: Dynamic,
    /// Loudness at the turn.
    pub(crate) to: Dynamic,
    /// Up, beats, above 0 to 64.
    pub(crate) growing: Beats,
    /// Down, beats, above 0 to 64.
    pub(crate) fading: Beats,
    /// How often, 1 to 16.
    #[serde(default = "once")]
    pub(crate) times: u16,
    /// Rest between two times, 0 to 32 beats.
    #[serde(default = "no_beats")]
    pub(crate) rest: Beats,
}

/// A line of long notes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Music {
    /// Tempo.
    pub(crate) bpm: Bpm,
    /// The line, 1 to 200 notes.
    pub(crate) notes: Vec<Written>,
    /// How it is played, time after time; at least once, at most eight times.
    #[serde(default = "as_measured")]
    pub(crate) passes: Vec<Pass>,
    /// Rest between two passes, 0 to 32 beats.
    #[serde(default = "no_beats")]
    pub(crate) rest: Beats,
}

fn as_measured() -> Vec<Pass> {
    vec![Pass::Measured]
}

/// How a line is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Pass {
    /// Each pulse on its tick.
    Measured,
    /// The measure is felt, not kept.
    LessMeasured,
    /// Without a measure.
    Free,
}

/// A note of a line, as it is written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Written {
    /// Sounding note; absent: a rest. Each instrument plays it in the octave that lies on its staff.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// Length, above 0 to 64.
    pub(crate) beats: Beats,
    /// The pulse value over it; absent: straight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) value: Option<PulseValue>,
    /// Loudness at its beginning; absent: as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) dynamic: Option<Dynamic>,
    /// Loudness at its end, where it changes on the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) dynamic_to: Option<Dynamic>,
    /// Tied to the next one, which is the same note.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub(crate) tied: bool,
}

/// Vibrato without a measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Free {
    /// Tempo of the bars.
    pub(crate) bpm: Bpm,
    /// Length, 1 to 64; absent: until it is stopped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) bars: Option<u16>,
    /// How loud.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) dynamic: Option<Dynamic>,
}
