//! The usual metronome marks and the step from one to the next. Pure.

use crate::units::Bpm;

/// The marks as they stand on metronomes, in beats per minute. Common practice.
const MARKS_BPM: [f64; 39] = [
    40.0, 42.0, 44.0, 46.0, 48.0, 50.0, 52.0, 54.0, 56.0, 58.0, 60.0, 63.0, 66.0, 69.0, 72.0, 76.0, 80.0,
    84.0, 88.0, 92.0, 96.0, 100.0, 104.0, 108.0, 112.0, 116.0, 120.0, 126.0, 132.0, 138.0, 144.0, 152.0,
    160.0, 168.0, 176.0, 184.0, 192.0, 200.0, 208.0,
];

impl Bpm {
    /// Whole marks read as a metronome writes them; others keep one decimal.
    pub fn mark(self) -> String {
        let bpm = self.get();
        if bpm.fract() == 0.0 { format!("{bpm:.0}") } else { format!("{bpm:.1}") }
    }
}

/// A step along the marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// To the next slower mark.
    Slower,
    /// To the next faster one.
    Faster,
}

impl Step {
    /// The next mark that way, also from a tempo that is none; `None` past the last.
    pub fn from(self, bpm: Bpm) -> Option<Bpm> {
        let next = match self {
            Step::Slower => MARKS_BPM.iter().rev().find(|&&mark| mark < bpm.get()),
            Step::Faster => MARKS_BPM.iter().find(|&&mark| mark > bpm.get()),
        };
        next.and_then(|&mark| Bpm::new(mark).ok())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_goes_to_the_next_mark_on_a_metronome() {
        let step = |step: Step, bpm| step.from(Bpm::new(bpm).unwrap()).map(Bpm::get);
        assert_eq!((step(Step::Faster, 60.0), step(Step::Slower, 60.0)), (Some(63.0), Some(58.0)));
        assert_eq!((step(Step::Faster, 72.5), step(Step::Slower, 72.5)), (Some(76.0), Some(72.0)));
        assert_eq!((step(Step::Faster, 208.0), step(Step::Slower, 40.0)), (None, None));
        assert_eq!((step(Step::Faster, 30.0), step(Step::Slower, 300.0)), (Some(40.0), Some(208.0)));
    }
}
