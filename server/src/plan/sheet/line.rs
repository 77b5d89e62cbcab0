//! What an exercise looks like when it is written down, whatever its kind: tones, what to pulse over them, loudness, and how
//! the vibrato eases. Times are whole ticks from the first beat. Pure; knows no pictures.

use super::staff::Pitch;
use crate::plan::PulseValue;
use windrow_protocol::score::Dynamic;

/// A thirty-second: the shortest note drawn. Other lengths are drawn as the nearest.
pub(super) const TICKS_PER_BEAT: u32 = 8;

/// A line as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    pub(super) beats_per_bar: u8,
    pub(super) tones: Vec<Tone>,
    pub(super) over: Vec<Over>,
    pub(super) loudness: Vec<Loudness>,
    /// How the vibrato comes and goes; empty where it does not.
    pub(super) phases: Vec<Phase>,
    pub(super) ending: Ending,
    /// The note is an example, since the plan leaves it free.
    pub(super) is_example: bool,
}

/// A tone, or a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tone {
    pub(super) from: u32,
    pub(super) ticks: u32,
    pub(super) pitch: Option<Pitch>,
    /// Held on into the next one.
    pub(super) tied: bool,
}

/// What is pulsed over a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Over {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) value: PulseValue,
    /// Whether each beat has its pulses drawn, or the first alone.
    pub(super) drawn: Drawn,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Drawn {
    EveryBeat,
    Once,
}

/// A mark of loudness, and another one that a hairpin leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Loudness {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) start: Dynamic,
    pub(super) end: Dynamic,
}

/// A stretch of the way into vibrato and out again, from one share of the full one to another.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Phase {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) share: (f64, f64),
    /// What it is called, in the reader's language.
    pub(super) word: String,
    pub(super) value: PulseValue,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ending {
    Final,
    Repeat,
    /// It goes on: the last tone is held beyond what is drawn.
    Open,
}

impl Line {
    pub(super) fn new(beats_per_bar: u8) -> Self {
        Self {
            beats_per_bar,
            tones: Vec::new(),
            over: Vec::new(),
            loudness: Vec::new(),
            phases: Vec::new(),
            ending: Ending::Final,
            is_example: false,
        }
    }

    pub(super) fn bar_ticks(&self) -> u32 {
        u32::from(self.beats_per_bar) * TICKS_PER_BEAT
    }

    /// End of the last tone.
    pub(super) fn end(&self) -> u32 {
        self.tones.last().map_or(0, |tone| tone.from + tone.ticks)
    }
}
