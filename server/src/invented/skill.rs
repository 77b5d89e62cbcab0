//! What an invented player can do in one week, as numbers: the truth that the records of that week are held against. Pure.

/// How somebody plays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skill {
    /// Pulses a second up to which the player keeps with the tick; what is asked beyond is played slower.
    pub ceiling_hz: f64,
    /// Scatter of a pulse around its place, standard deviation, ms.
    pub scatter_ms: f64,
    /// After the tick, ms.
    pub late_ms: f64,
    /// Peak over valley, dB.
    pub depth_db: f64,
    /// Excursion of the pitch, cents peak to peak.
    pub swing_cents: f64,
    /// Share of valleys in which the tone breaks.
    pub choked_share: f64,
    /// Pitch of the straight tone, cents from the note.
    pub straight_cents: f64,
    /// How fast the pitch leaves it while pulsing, cents a second, and how far it goes.
    pub drift_cents_per_s: f64,
    /// The farthest that it goes.
    pub drift_cents: f64,
}

/// Of what is asked beyond the ceiling a player reaches so much. Our own choice: far enough behind to be called slow, near enough
/// to sound like somebody who tries.
const BEYOND: f64 = 0.3;

impl Skill {
    /// Pulses a second that are played where so many are asked.
    pub fn played_hz(&self, asked_hz: f64) -> f64 {
        if self.keeps(asked_hz) { asked_hz } else { self.ceiling_hz + BEYOND * (asked_hz - self.ceiling_hz) }
    }

    /// Whether the player keeps with the tick at this rate.
    pub fn keeps(&self, asked_hz: f64) -> bool {
        asked_hz <= self.ceiling_hz
    }

    /// On the way from this to another.
    #[must_use]
    pub(super) fn towards(&self, end: &Self, share: f64) -> Self {
        let between = |from: f64, to: f64| from + (to - from) * share;
        Self {
            ceiling_hz: between(self.ceiling_hz, end.ceiling_hz),
            scatter_ms: between(self.scatter_ms, end.scatter_ms),
            late_ms: between(self.late_ms, end.late_ms),
            depth_db: between(self.depth_db, end.depth_db),
            swing_cents: between(self.swing_cents, end.swing_cents),
            choked_share: between(self.choked_share, end.choked_share),
            straight_cents: between(self.straight_cents, end.straight_cents),
            drift_cents_per_s: between(self.drift_cents_per_s, end.drift_cents_per_s),
            drift_cents: between(self.drift_cents, end.drift_cents),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented::cast::BEGINNER;

    #[test]
    fn beyond_the_ceiling_it_becomes_slower_than_asked_and_not_slower_than_before() {
        let skill = Skill { ceiling_hz: 4.0, ..BEGINNER };
        assert_eq!((skill.played_hz(3.0), skill.played_hz(4.0)), (3.0, 4.0));
        // 4 + 0.3 * 1.
        assert!((skill.played_hz(5.0) - 4.3).abs() < 1e-12);
    }

    #[test]
    fn halfway_is_the_middle_of_each_number() {
        let end = Skill { ceiling_hz: 6.0, scatter_ms: 10.0, ..BEGINNER };
        let half = Skill { ceiling_hz: 4.0, scatter_ms: 34.0, ..BEGINNER }.towards(&end, 0.5);
        assert_eq!((half.ceiling_hz, half.scatter_ms, half.depth_db), (5.0, 22.0, BEGINNER.depth_db));
    }
}
