//! What a plan gives a room to play. Plain data; knows only the protocol. Who writes plans makes it, the room plays it.

use windrow_protocol::judge::Bands;
use windrow_protocol::messages::{Brief, GoOn, Turns};
use windrow_protocol::note::Note;
use windrow_protocol::score::Span;
use windrow_protocol::units::Share;
use windrow_protocol::voicing::{Tuning, Voicing};

/// A plan, ready to be played.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Lesson {
    /// As people read it.
    pub(crate) title: String,
    /// 1 to 12.
    pub(crate) beats_per_bar: u8,
    /// At least one, in playing order.
    pub(crate) pieces: Vec<Piece>,
}

/// An exercise, ready to be played.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    /// What the players are told; its name is never empty.
    pub(crate) brief: Brief,
    /// At least one, in playing order; the last may be without end. A span's note is the sounding one that everybody's is
    /// made from; absent: that of the room.
    pub(crate) spans: Vec<Span>,
    /// What the conductor's settings become when it begins; absent: they stay.
    pub(crate) wishes: Wishes,
    /// What its players are judged by.
    pub(crate) bands: Bands,
    /// Silence after it, seconds.
    pub(crate) rest_s: u16,
    /// Where it is a ladder.
    pub(crate) ladder: Option<Climb>,
}

/// Settings that an exercise brings with it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Wishes {
    pub(crate) note: Option<Note>,
    pub(crate) voicing: Option<Voicing>,
    pub(crate) tuning: Option<Tuning>,
    pub(crate) turns: Option<Turns>,
}

/// How a ladder is climbed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Climb {
    /// The span of each rung, by its place among the piece's spans.
    pub(crate) rungs: Vec<usize>,
    pub(crate) go_on: GoOn,
    /// For "when matched": this share of those who can be judged is matched.
    pub(crate) matched: Share,
    /// Go one rung back when the section falls apart.
    pub(crate) step_back: bool,
}
