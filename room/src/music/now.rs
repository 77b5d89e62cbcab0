//! What is asked of the players at one moment. Pure; knows only the protocol.

use windrow_protocol::judge::{Asked, Bands};

/// What is asked of the players at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Now {
    pub(crate) asked: Asked,
    pub(crate) beat_us: f64,
    /// Server time since which this has been asked; `None` while nothing is.
    pub(crate) since_us: Option<f64>,
    /// Whether the tempo changes on the way.
    pub(crate) is_gradual: bool,
    /// It is the turn of others.
    pub(crate) waits: bool,
    /// Everybody rests for a bar or longer.
    pub(crate) rests: bool,
    /// How close is close enough.
    pub(crate) bands: Bands,
}

impl Now {
    /// The same as one chair has it, where it is the turn of some: nothing is asked of the others. No chairs are all.
    pub(crate) fn of_chair(self, chair: u16, turn: &[u16]) -> Self {
        if turn.is_empty() || turn.contains(&chair) {
            return self;
        }
        Self { asked: Asked::NOTHING, since_us: None, waits: true, ..self }
    }

    /// Server time from which a pulse belongs to what is asked: half a tick before it begins, since its first pulse may
    /// come early.
    pub(crate) fn first_pulse_us(&self) -> Option<f64> {
        self.since_us.map(|since| since - self.asked.pulse_rate_hz.map_or(0.0, |hz| 0.5e6 / hz))
    }
}
