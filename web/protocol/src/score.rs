//! The score: what is to be played, as facts with a server time. A score says when beat nought is and what follows;
//! nobody ever sends ticks. Turning beats into times is [`crate::timeline`]'s work.

use crate::note::Note;
use crate::units::{Beats, Bpm, Micros};
use serde::{Deserialize, Serialize};

/// What a span asks of the players.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Target {
    /// A tone without vibrato.
    Straight,
    /// The same number of pulses on every beat.
    Pulses {
        /// Pulses in a beat, 1 to 8.
        per_beat: PerBeat,
    },
    /// Vibrato without a measure.
    Free,
    /// Silence.
    Rest,
}

/// Pulses in a beat: 1 (quarters) to 8.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct PerBeat(u8);

impl PerBeat {
    /// Checks the range.
    ///
    /// # Errors
    /// A sentence that names the value.
    pub fn new(n: u8) -> Result<Self, String> {
        if (1..=8).contains(&n) {
            Ok(Self(n))
        } else {
            Err(format!("pulses per beat must be from 1 to 8, but is {n}"))
        }
    }

    /// The number.
    pub fn get(self) -> u8 {
        self.0
    }

    /// What the teacher calls it when the beat is a quarter.
    pub fn word(self) -> &'static str {
        match self.0 {
            1 => "Quarters",
            2 => "Eighths",
            3 => "Triplets",
            4 => "Sixteenths",
            5 => "Quintuplets",
            6 => "Sextuplets",
            7 => "Septuplets",
            _ => "Thirty-seconds",
        }
    }
}

impl TryFrom<u8> for PerBeat {
    type Error = String;
    fn try_from(n: u8) -> Result<Self, String> {
        Self::new(n)
    }
}

impl From<PerBeat> for u8 {
    fn from(n: PerBeat) -> u8 {
        n.0
    }
}

/// A stretch of one tempo and one target.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Length in beats; absent in the last span of a score that goes on until it is stopped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_beats: Option<Beats>,
    /// Tempo.
    pub bpm: Bpm,
    /// What is asked.
    pub target: Target,
}

/// A score and its place in server time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// Counts up with every change, so that a device can tell an older message from a newer one.
    pub version: u32,
    /// Server time of beat nought: the first beat after the count-in.
    pub start_us: Micros,
    /// Beats in a bar, 1 to 12.
    pub beats_per_bar: u8,
    /// Bars counted in at the first span's tempo, before beat nought; 0 to 2.
    pub count_in_bars: u8,
    /// At least one span, in playing order.
    pub spans: Vec<Span>,
    /// The sounding note everyone plays, if one is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
}

/// Why a score cannot be played.
#[derive(Debug, Clone, PartialEq)]
pub enum BadScore {
    /// No span at all.
    NoSpan,
    /// More spans than any rehearsal needs.
    TooManySpans(usize),
    /// A span without a length stands before the end; carries its index.
    OpenSpanBeforeTheEnd(usize),
    /// Beats in a bar outside 1 to 12.
    BeatsPerBar(u8),
    /// Count-in outside 0 to 2 bars.
    CountIn(u8),
}

impl std::fmt::Display for BadScore {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            BadScore::NoSpan => write!(f, "the score is empty: it needs at least one span"),
            BadScore::TooManySpans(n) => {
                write!(f, "the score has {n} spans: use at most {}", Score::MAX_SPANS)
            }
            BadScore::OpenSpanBeforeTheEnd(i) => {
                write!(f, "span {} has no length, but only the last may go on without end", i + 1)
            }
            BadScore::BeatsPerBar(n) => write!(f, "beats in a bar must be from 1 to 12, but are {n}"),
            BadScore::CountIn(n) => write!(f, "the count-in must be 0, 1 or 2 bars, but is {n}"),
        }
    }
}

impl std::error::Error for BadScore {}

impl Score {
    /// Most spans a score may have.
    pub const MAX_SPANS: usize = 2000;

    /// Checks what the types alone cannot.
    ///
    /// # Errors
    /// [`BadScore`], naming the place.
    pub fn check(&self) -> Result<(), BadScore> {
        if self.spans.is_empty() {
            return Err(BadScore::NoSpan);
        }
        if self.spans.len() > Self::MAX_SPANS {
            return Err(BadScore::TooManySpans(self.spans.len()));
        }
        if let Some(i) = self.spans[..self.spans.len() - 1].iter().position(|s| s.length_beats.is_none()) {
            return Err(BadScore::OpenSpanBeforeTheEnd(i));
        }
        if !(1..=12).contains(&self.beats_per_bar) {
            return Err(BadScore::BeatsPerBar(self.beats_per_bar));
        }
        if self.count_in_bars > 2 {
            return Err(BadScore::CountIn(self.count_in_bars));
        }
        Ok(())
    }
}
