//! A tone being followed: how clear it is and whether it is held on to; and how one pitch stands to another. Knows no
//! samples.

use crate::harmonics::{Apart, MAX_FOLLOWED};
use crate::tuning::cents_between;

/// Two searches agree within this, cents.
pub(crate) const SAME_PITCH_CENTS: f64 = 60.0;
/// Further than this from the tone it is another note, cents.
const OTHER_NOTE_CENTS: f64 = 75.0;
/// The expected note is held on to while its harmonics disagree by less and have more of the sound's power than this,
const HELD_SPREAD_CENTS: f64 = 45.0;
const HELD_SHARE: f64 = 0.08;
/// taken over this time, seconds.
pub(crate) const HELD_S: f64 = 0.15;
/// Disagreement and share at which there is no doubt.
const CLEAR_SPREAD_CENTS: f64 = 15.0;
const CLEAR_SHARE: f64 = 0.25;

/// A frame whose pitch waits for the advance to the next.
pub(crate) struct Pending {
    pub(crate) level: f64,
    pub(crate) shared_level: f64,
    /// From the advance to this frame.
    pub(crate) midi: f64,
    pub(crate) apart: [Apart; MAX_FOLLOWED],
    pub(crate) sounds: bool,
    pub(crate) pitched: bool,
}

/// The tone being followed.
pub(crate) struct Tone {
    /// First frame that belongs to it.
    pub(crate) first_frame: u64,
    /// Frame after the last that sounded.
    pub(crate) sounded_until: u64,
    /// Recent correlation at its period.
    pub(crate) clarity: f64,
    /// Recent disagreement of its harmonics, cents, and their share of the sound's power.
    pub(crate) spread_cents: f64,
    pub(crate) share: f64,
    /// Whether it is the expected note.
    pub(crate) expected: bool,
    pub(crate) next_frame: u64,
    pub(crate) loudness: f64,
    pub(crate) last_midi: f64,
    pub(crate) pending: Option<Pending>,
}

impl Tone {
    /// How clear the tone is: 0.5 hardly, 0.85 fully. Among neighbours on other notes the sound does not repeat itself
    /// after the tone's period, but the harmonics of the expected note can still be clear.
    pub(crate) fn clarity(&self) -> f64 {
        if !self.expected {
            return self.clarity;
        }
        let among = |x: f64, (none, full): (f64, f64)| ((x - none) / (full - none)).clamp(0.0, 1.0);
        let agreement = among(self.spread_cents, (HELD_SPREAD_CENTS, CLEAR_SPREAD_CENTS));
        let share = among(self.share, (HELD_SHARE, CLEAR_SHARE));
        self.clarity.max(0.5 + 0.35 * agreement.min(share))
    }

    pub(crate) fn is_held(&self) -> bool {
        self.expected && self.spread_cents < HELD_SPREAD_CENTS && self.share > HELD_SHARE
    }
}

/// How one pitch stands to another.
pub(crate) enum Relation {
    Same,
    /// A whole multiple.
    Overtone,
    /// A whole fraction.
    Undertone,
    None,
}

pub(crate) fn relation(hz: f64, other_hz: f64) -> Relation {
    if cents_between(hz, other_hz).abs() <= OTHER_NOTE_CENTS {
        return Relation::Same;
    }
    let is_multiple =
        |ratio: f64| ratio > 1.5 && cents_between(ratio.round(), ratio).abs() < SAME_PITCH_CENTS;
    if is_multiple(other_hz / hz) {
        Relation::Overtone
    } else if is_multiple(hz / other_hz) {
        Relation::Undertone
    } else {
        Relation::None
    }
}
