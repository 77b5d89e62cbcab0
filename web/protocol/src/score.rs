//! The score: what is to be played, as facts with a server time. A score says when its first beat is and what follows;
//! nobody ever sends ticks. Turning beats into times is [`crate::timeline`]'s work.

pub use crate::span::{ChairNote, Dynamic, Dynamics, Ease, PerBeat, Span, Target};
use crate::units::{Beats, Micros};
use serde::{Deserialize, Serialize};

/// Who makes the tick heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TickFrom {
    /// The conductor's device alone: one loud source beats many soft ones.
    #[default]
    Conductor,
    /// Every device, for headphones or a hall too large for one loudspeaker.
    Devices,
    /// Nobody.
    Nobody,
}

/// A score and its place in server time. Beat nought is the first beat of the first span, which usually counts in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// Counts up with every change, so that a device can tell an older message from a newer one.
    pub version: u32,
    /// Server time of beat nought.
    pub start_us: Micros,
    /// Beats in a bar, 1 to 12.
    pub beats_per_bar: u8,
    /// Who makes the tick heard.
    #[serde(default)]
    pub tick: TickFrom,
    /// At least one span, in playing order.
    pub spans: Vec<Span>,
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
    /// A span whose tempo changes has no length to change in; carries its index.
    OpenTempoChange(usize),
    /// Beats in a bar outside 1 to 12.
    BeatsPerBar(u8),
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
            BadScore::OpenTempoChange(i) => {
                write!(f, "span {} changes its tempo, so it needs a length", i + 1)
            }
            BadScore::BeatsPerBar(n) => write!(f, "beats in a bar must be from 1 to 12, but are {n}"),
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
        let has_length = |span: &Span| span.length_beats.is_some_and(|l| l.get() > 0.0);
        if let Some(i) = self.spans[..self.spans.len() - 1].iter().position(|s| s.length_beats.is_none()) {
            return Err(BadScore::OpenSpanBeforeTheEnd(i));
        }
        if let Some(i) = self.spans.iter().position(|s| s.bpm_to.is_some() && !has_length(s)) {
            return Err(BadScore::OpenTempoChange(i));
        }
        if !(1..=12).contains(&self.beats_per_bar) {
            return Err(BadScore::BeatsPerBar(self.beats_per_bar));
        }
        Ok(())
    }

    /// Spans up to a beat, the last of them cut there; a score without end is thereby given one.
    pub fn spans_until(&self, beat: f64) -> Vec<Span> {
        let mut spans = Vec::new();
        let mut first_beat = 0.0;
        for span in &self.spans {
            if first_beat >= beat {
                break;
            }
            spans.push(span.part(0.0, Some(beat - first_beat)));
            first_beat += span.length_beats.map_or(f64::INFINITY, Beats::get);
        }
        spans
    }
}
