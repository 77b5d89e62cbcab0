//! What one player came to in one stretch: one tempo and one subdivision of one run. Plain data with the few questions
//! that every week asks of it. It must know no table and no page.

use super::rung::Rung;
use windrow_protocol::judge::State;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

/// Bars a steady stretch has to have before a rung counts as tried: as many as are needed to hold one. A hundredth of a bar
/// is forgiven, since lengths are sums of beats.
pub(crate) const TRIED_BARS: f64 = 3.99;

/// Where something was played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Where {
    /// In a rehearsal.
    Rehearsal,
    /// Elsewhere: practice, or a recording that was measured later.
    Home,
}

/// What was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asked {
    Straight,
    Pulses(PerBeat),
    Free,
}

/// One stretch of one player. Measures are absent where there was nothing to measure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Played {
    pub(crate) began_unix_ms: i64,
    pub(crate) place: Where,
    /// Whether it was made up for a demonstration.
    pub(crate) invented: bool,
    /// Slug.
    pub(crate) instrument: String,
    pub(crate) asked: Asked,
    pub(crate) bpm: Bpm,
    /// Whether the tempo stood still and the measure was kept, not felt.
    pub(crate) is_steady: bool,
    pub(crate) bars: f64,
    /// How long it was to be played.
    pub(crate) asked_s: f64,
    /// How much of that there was a verdict on.
    pub(crate) judged_s: f64,
    /// Whether a rung was held here.
    pub(crate) held: bool,
    pub(crate) state: State,
    /// Share of the judged time that was matched, 0 to 1.
    pub(crate) matched: Option<f64>,
    pub(crate) pulse_rate_hz: Option<f64>,
    pub(crate) timing_ms: Option<f64>,
    pub(crate) timing_spread_ms: Option<f64>,
    pub(crate) depth_db_pp: Option<f64>,
    pub(crate) swing_cents_pp: Option<f64>,
    pub(crate) centre_cents: Option<f64>,
    pub(crate) drift_cents: Option<f64>,
    pub(crate) from_straight_cents: Option<f64>,
    pub(crate) evenness_cv: Option<f64>,
}

impl Played {
    /// Pulses in a beat, where pulses in a measure were asked for.
    pub(crate) fn per_beat(&self) -> Option<PerBeat> {
        match self.asked {
            Asked::Pulses(per_beat) => Some(per_beat),
            Asked::Straight | Asked::Free => None,
        }
    }

    /// The rung that was tried: pulses at a steady tempo, long enough to be held, of which something was heard.
    pub(crate) fn rung(&self) -> Option<Rung> {
        let per_beat = self.per_beat()?;
        (self.is_steady && self.bars >= TRIED_BARS && self.judged_s > 0.0)
            .then_some(Rung { per_beat, bpm: self.bpm })
    }

    /// The rung that was held.
    pub(crate) fn rung_held(&self) -> Option<Rung> {
        self.rung().filter(|_| self.held)
    }

    /// By what share the pulses were faster than asked; negative where slower.
    pub(crate) fn rate_off(&self) -> Option<f64> {
        let asked = self.per_beat().filter(|_| self.is_steady)?;
        let asked_hz = Rung { per_beat: asked, bpm: self.bpm }.rate_hz();
        Some(self.pulse_rate_hz? / asked_hz - 1.0)
    }
}
