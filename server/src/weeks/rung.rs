//! A rung: a subdivision at a tempo. Rungs are ordered by pulses a second, since that is what the air has to do; of two
//! with the same rate the one with the faster beat is the higher, only so that the order is whole: nothing says which of both
//! is harder. What comes after a rung follows one way through all subdivisions. Pure.

use std::cmp::Ordering;
use windrow_protocol::metronome::Step;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

/// Nobody is led to a faster vibrato. Recorded players stay at 5 to 8 Hz, pulses of the abdomen hand over to the larynx at 5
/// to 6 (Gärtner 1981, as quoted by Billington; Garrison 2012); 7 is where a teacher's ladder ends. Our own choice.
const CEILING_HZ: f64 = 7.0;
/// The tempo at which every subdivision begins. Common practice.
const FIRST_BPM: f64 = 60.0;
/// The finest subdivision a ladder leads to by itself: finer ones are vibrato only at tempos nobody pulses in.
const FINEST: u8 = 4;

/// A subdivision at a tempo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rung {
    pub(crate) per_beat: PerBeat,
    pub(crate) bpm: Bpm,
}

impl Rung {
    /// Where everything begins: one pulse on each beat, at 60.
    pub(crate) fn first() -> Self {
        let (per_beat, bpm) = (PerBeat::new(1), Bpm::new(FIRST_BPM));
        Self { per_beat: per_beat.expect("in range"), bpm: bpm.expect("in range") }
    }

    fn pulses_a_minute(self) -> f64 {
        self.bpm.get() * f64::from(self.per_beat.get())
    }

    /// Pulses a second.
    pub(crate) fn rate_hz(self) -> f64 {
        self.pulses_a_minute() / 60.0
    }

    /// The next one: a metronome mark faster; or the next subdivision at 60, where that is no faster than the mark would be.
    /// `None` where it would go over the ceiling.
    pub(crate) fn next(self) -> Option<Self> {
        let faster = Step::Faster.from(self.bpm).map(|bpm| Self { bpm, ..self });
        let finer = (self.per_beat.get() < FINEST)
            .then(|| PerBeat::new(self.per_beat.get() + 1).ok().zip(Bpm::new(FIRST_BPM).ok()))
            .flatten()
            .map(|(per_beat, bpm)| Self { per_beat, bpm })
            .filter(|finer| finer.pulses_a_minute() > self.pulses_a_minute());
        let next = match (faster, finer) {
            (Some(faster), Some(finer)) if finer.pulses_a_minute() <= faster.pulses_a_minute() => finer,
            (Some(faster), _) => faster,
            (None, finer) => finer?,
        };
        (next.rate_hz() <= CEILING_HZ).then_some(next)
    }

    /// A metronome mark slower in the same subdivision; itself where there is none.
    pub(crate) fn slower(self) -> Self {
        Step::Slower.from(self.bpm).map_or(self, |bpm| Self { bpm, ..self })
    }
}

impl Eq for Rung {}

impl PartialOrd for Rung {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Rung {
    fn cmp(&self, other: &Self) -> Ordering {
        self.pulses_a_minute()
            .total_cmp(&other.pulses_a_minute())
            .then(self.bpm.get().total_cmp(&other.bpm.get()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rung(per_beat: u8, bpm: f64) -> Rung {
        Rung { per_beat: PerBeat::new(per_beat).unwrap(), bpm: Bpm::new(bpm).unwrap() }
    }

    #[test]
    fn rungs_are_ordered_by_pulses_a_second_and_then_by_tempo() {
        // bpm / 60 x pulses a beat, by hand: 1, 2, 2.2, 3, 3.3, 4 (three times, slowest beat first), 5 Hz.
        let ascending = [
            (1, 60.0),
            (2, 60.0),
            (2, 66.0),
            (3, 60.0),
            (3, 66.0),
            (4, 60.0),
            (3, 80.0),
            (2, 120.0),
            (3, 100.0),
        ];
        for pair in ascending.windows(2) {
            let (low, high) = (rung(pair[0].0, pair[0].1), rung(pair[1].0, pair[1].1));
            assert!(low < high, "{low:?} {high:?}");
        }
        assert!((rung(3, 66.0).rate_hz() - 3.3).abs() < 1e-12);
    }

    #[test]
    fn what_comes_next_is_a_mark_faster_or_a_finer_subdivision_of_the_same_rate() {
        for (from, to) in [
            ((1, 60.0), (1, 63.0)),
            // 120 a minute either way.
            ((1, 116.0), (2, 60.0)),
            ((2, 60.0), (2, 63.0)),
            // A mark on would be 184 a minute, triplets at 60 are 180.
            ((2, 88.0), (3, 60.0)),
            ((3, 63.0), (3, 66.0)),
            ((3, 76.0), (4, 60.0)),
            // Past that place a ladder of one subdivision simply goes on.
            ((2, 100.0), (2, 104.0)),
            ((4, 63.0), (4, 66.0)),
            ((4, 61.5), (4, 63.0)),
        ] {
            assert_eq!(rung(from.0, from.1).next(), Some(rung(to.0, to.1)), "{from:?}");
        }
    }

    #[test]
    fn nobody_is_led_over_seven_pulses_a_second() {
        // Sixteenths at 104 are 6.93 Hz, at 108 7.2; triplets at 138 are 6.9, at 144 7.2.
        assert_eq!(rung(4, 100.0).next(), Some(rung(4, 104.0)));
        assert_eq!((rung(4, 104.0).next(), rung(3, 138.0).next(), rung(4, 160.0).next()), (None, None, None));
    }

    #[test]
    fn the_whole_way_rises_by_a_mark_at_most_and_ends_under_the_ceiling() {
        let way: Vec<Rung> = std::iter::successors(Some(Rung::first()), |r| r.next()).collect();
        assert!(way.iter().any(|r| *r == rung(2, 60.0)) && way.iter().any(|r| *r == rung(3, 60.0)));
        assert_eq!(way.last(), Some(&rung(4, 104.0)));
        for pair in way.windows(2) {
            let share = pair[1].rate_hz() / pair[0].rate_hz();
            // From 72 to 76 the marks are widest: 5.6 %.
            assert!(share > 1.0 && share < 1.06, "{pair:?}");
        }
    }

    #[test]
    fn slower_stays_in_the_subdivision() {
        assert_eq!((rung(3, 66.0).slower(), rung(3, 40.0).slower()), (rung(3, 63.0), rung(3, 40.0)));
    }
}
