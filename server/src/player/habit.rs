//! How a simulated player plays: what is wrong with the pulses, as numbers. Only the sound is made from it; it never
//! goes over a socket.

use windrow_protocol::judge::State;

/// A way of playing vibrato.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Habit {
    /// With the beat, deep enough, in tune.
    Matched,
    /// More pulses than asked for.
    Fast,
    /// Fewer pulses than asked for.
    Slow,
    /// The pitch rises while vibrating.
    DriftingSharp,
    /// Pulses too small to be heard in a hall.
    Shallow,
    /// The air stops in the valleys.
    ChokedValleys,
    /// The jaw moves the pitch instead of the air.
    PitchLed,
    /// After the tick.
    Late,
    /// The same vibrato whatever is asked for: there at once where it should grow, no larger in a crescendo.
    Unvarying,
}

/// What a player does where the music asks vibrato to grow and to fade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Follows {
    /// As it is written.
    TheMusic,
    /// It is always there, and always the same.
    Nothing,
}

/// The numbers of a habit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Manner {
    /// Pulses played for each one asked for.
    pub(super) rate_ratio: f64,
    /// Peak over valley, dB.
    pub(super) depth_db: f64,
    /// Excursion of the pitch, cents peak to peak.
    pub(super) swing_cents: f64,
    /// Whether the pitch only falls from the note, as with the jaw, instead of going to both sides.
    pub(super) falls_only: bool,
    /// Valleys lower than this below the peak are silent, dB.
    pub(super) breaks_below_db: f64,
    /// After the tick, ms, and never more than this share of the time between ticks: at half of it, late would be early.
    pub(super) late_ms: f64,
    pub(super) late_of_period: f64,
    /// Rise of the pitch while vibrating, cents a second, and where it ends.
    pub(super) drift_cents_per_s: f64,
    pub(super) drift_up_to_cents: f64,
    /// Where vibrato is to grow and to fade.
    pub(super) follows: Follows,
}

/// A good student vibrato: 6 dB, a little pitch with it.
const GOOD: Manner = Manner {
    rate_ratio: 1.0,
    depth_db: 6.5,
    swing_cents: 12.0,
    falls_only: false,
    breaks_below_db: f64::INFINITY,
    late_ms: 0.0,
    late_of_period: 0.0,
    drift_cents_per_s: 0.0,
    drift_up_to_cents: 0.0,
    follows: Follows::TheMusic,
};

impl Habit {
    /// The state a listener should find. Vibrato that does not grow is no fault of the moment: what became of an ease or a
    /// hairpin is told afterwards.
    pub fn intended(self) -> State {
        match self {
            Habit::Matched | Habit::Unvarying => State::Matched,
            Habit::Fast => State::Fast,
            Habit::Slow => State::Slow,
            Habit::DriftingSharp => State::DriftingSharp,
            Habit::Shallow => State::Shallow,
            Habit::ChokedValleys => State::ChokedValleys,
            Habit::PitchLed => State::PitchLed,
            Habit::Late => State::Late,
        }
    }

    /// Each lies well beyond the default bands, and within what players do.
    pub(super) fn manner(self) -> Manner {
        match self {
            Habit::Matched => GOOD,
            Habit::Fast => Manner { rate_ratio: 1.09, ..GOOD },
            Habit::Slow => Manner { rate_ratio: 0.91, ..GOOD },
            // Just over a quarter tone, where a player would notice at last.
            Habit::DriftingSharp => Manner { drift_cents_per_s: 1.4, drift_up_to_cents: 56.0, ..GOOD },
            Habit::Shallow => Manner { depth_db: 1.8, swing_cents: 6.0, ..GOOD },
            Habit::ChokedValleys => Manner { depth_db: 36.0, breaks_below_db: 30.0, ..GOOD },
            Habit::PitchLed => Manner { depth_db: 1.5, swing_cents: 60.0, falls_only: true, ..GOOD },
            Habit::Late => Manner { late_ms: 90.0, late_of_period: 0.3, ..GOOD },
            Habit::Unvarying => Manner { follows: Follows::Nothing, ..GOOD },
        }
    }
}
