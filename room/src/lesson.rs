//! What a plan gives a room to play. Plain data; knows only the protocol. Who writes plans makes it, the room plays it.

use serde::{Deserialize, Serialize};
use windrow_protocol::judge::Bands;
use windrow_protocol::messages::{Brief, GoOn, Turns};
use windrow_protocol::note::Note;
use windrow_protocol::score::{Score, Span, TickFrom};
use windrow_protocol::units::{Micros, Share};
use windrow_protocol::voicing::{Tuning, Voicing};

/// A plan, ready to be played.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// As people read it.
    pub title: String,
    /// As its file has it, to be kept with what was played of it; empty where it has none.
    pub text: String,
    /// 1 to 12.
    pub beats_per_bar: u8,
    /// At least one, in playing order.
    pub pieces: Vec<Piece>,
}

/// Most spans of an exercise: turns make more of them, and a score has an end.
const MAX_SPANS: usize = 1000;

impl Lesson {
    /// Whether a room can play it. What is compiled from a plan always can be; what comes as text may be anything.
    #[must_use]
    pub fn can_be_played(&self) -> bool {
        let is_good = |piece: &Piece| {
            let score = Score {
                version: 1,
                start_us: Micros::clamped(0.0).expect("a number"),
                beats_per_bar: self.beats_per_bar,
                tick: TickFrom::default(),
                spans: piece.spans.clone(),
            };
            let is_climbed = |climb: &Climb| {
                !climb.rungs.is_empty() && climb.rungs.iter().all(|&rung| rung < piece.spans.len())
            };
            piece.spans.len() <= MAX_SPANS && score.check().is_ok() && piece.ladder.iter().all(is_climbed)
        };
        !self.pieces.is_empty() && self.pieces.iter().all(is_good)
    }
}

/// An exercise, ready to be played.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// What the players are told; its name is never empty.
    pub brief: Brief,
    /// At least one, in playing order; the last may be without end. A span's note is the sounding one that everybody's is
    /// made from; absent: that of the room.
    pub spans: Vec<Span>,
    /// What the conductor's settings become when it begins; absent: they stay.
    pub wishes: Wishes,
    /// What its players are judged by.
    pub bands: Bands,
    /// Silence after it, seconds.
    pub rest_s: u16,
    /// Where it is a ladder.
    pub ladder: Option<Climb>,
}

/// Settings that an exercise brings with it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Wishes {
    /// Everybody's.
    pub note: Option<Note>,
    /// How it is spread over the chairs.
    pub voicing: Option<Voicing>,
    /// Where a chord lies.
    pub tuning: Option<Tuning>,
    /// Who plays when.
    pub turns: Option<Turns>,
}

/// How a ladder is climbed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Climb {
    /// The span of each rung, by its place among the piece's spans.
    pub rungs: Vec<usize>,
    /// When it goes on to the next rung.
    pub go_on: GoOn,
    /// For "when matched": this share of those who can be judged is matched.
    pub matched: Share,
    /// Go one rung back when the section falls apart.
    pub step_back: bool,
}
