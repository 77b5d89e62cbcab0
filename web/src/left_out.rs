//! Stretches of a device's sound whose place in time is not to be trusted, since its clock fell behind while the sound was
//! taken in. Must not know sound, scores or pages.

/// A stretch reaches so much further to both sides, s: devices look at their clocks a few times a second only.
const MARGIN_S: f64 = 0.25;
/// Stretches kept; older ones have long been told of.
const KEPT: usize = 32;

/// In seconds from the first sample, in order of their beginning as it was told.
#[derive(Debug, Clone, Default)]
pub(crate) struct LeftOut {
    stretches: Vec<(f64, f64)>,
}

impl LeftOut {
    /// Takes in a stretch; one without an end after its beginning is passed over.
    pub(crate) fn add(&mut self, from_s: f64, to_s: f64) {
        let (from_s, to_s) = (from_s - MARGIN_S, to_s + MARGIN_S);
        if !(from_s.is_finite() && to_s >= from_s + 2.0 * MARGIN_S) {
            return;
        }
        match self.stretches.last_mut().filter(|last| from_s <= last.1) {
            Some(last) => *last = (last.0.min(from_s), last.1.max(to_s)),
            None => {
                if self.stretches.len() == KEPT {
                    self.stretches.remove(0);
                }
                self.stretches.push((from_s, to_s));
            }
        }
    }

    /// Whether a moment lies in one.
    pub(crate) fn holds(&self, time_s: f64) -> bool {
        self.stretches.iter().any(|&(from_s, to_s)| (from_s..=to_s).contains(&time_s))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_reaches_to_the_looks_before_and_after_it() {
        let mut left_out = LeftOut::default();
        left_out.add(10.0, 12.0);
        let held = [9.7, 9.8, 11.0, 12.2, 12.3].map(|time_s| left_out.holds(time_s));
        assert_eq!(held, [false, true, true, true, false]);
    }

    #[test]
    fn stretches_that_touch_become_one_and_none_is_for_ever_in_the_way() {
        let mut left_out = LeftOut::default();
        left_out.add(10.0, 12.0);
        left_out.add(12.4, 13.0);
        assert_eq!(left_out.stretches, [(9.75, 13.25)]);
        for s in 20..120 {
            left_out.add(f64::from(s), f64::from(s));
        }
        assert_eq!(left_out.stretches.len(), KEPT);
        assert!(!left_out.holds(11.0) && left_out.holds(119.0));
        let mut nonsense = LeftOut::default();
        for (from_s, to_s) in [(f64::NAN, 5.0), (5.0, f64::NAN), (5.0, 4.0)] {
            nonsense.add(from_s, to_s);
        }
        assert!(nonsense.stretches.is_empty());
    }
}
