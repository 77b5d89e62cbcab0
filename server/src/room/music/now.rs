//! What is asked of the players at one moment. Pure; knows only the protocol.

use windrow_protocol::judge::{Asked, Bands};

/// What is asked of the players at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::room) struct Now {
    pub(in crate::room) asked: Asked,
    pub(in crate::room) beat_us: f64,
    /// Server time since which this has been asked; `None` while nothing is.
    pub(in crate::room) since_us: Option<f64>,
    /// Whether the tempo changes on the way.
    pub(in crate::room) is_gradual: bool,
    /// It is the turn of others.
    pub(in crate::room) waits: bool,
    /// Everybody rests for a bar or longer.
    pub(in crate::room) rests: bool,
    /// How close is close enough.
    pub(in crate::room) bands: Bands,
}

impl Now {
    /// The same as one chair has it, where it is the turn of some: nothing is asked of the others. No chairs are all.
    pub(in crate::room) fn of_chair(self, chair: u16, turn: &[u16]) -> Self {
        if turn.is_empty() || turn.contains(&chair) {
            return self;
        }
        Self { asked: Asked::NOTHING, since_us: None, waits: true, ..self }
    }

    /// Server time from which a pulse belongs to what is asked: half a tick before it begins, since its first pulse may
    /// come early.
    pub(in crate::room) fn first_pulse_us(&self) -> Option<f64> {
        self.since_us.map(|since| since - self.asked.pulse_rate_hz.map_or(0.0, |hz| 0.5e6 / hz))
    }
}
