//! A value axis: which range it shows and where its figures stand. Must know no unit.

use plotters::coord::ranged1d::Ranged;
use plotters::coord::types::RangedCoordf64;

/// Free room above and below the outermost values, in parts of what lies between them; our own choice.
const ROOM: f64 = 0.08;

/// A range with figures at round steps.
#[derive(Debug, Clone)]
pub(super) struct Scale {
    pub(super) low: f64,
    pub(super) high: f64,
    /// From low to high.
    pub(super) steps: Vec<f64>,
    /// Of the figures.
    pub(super) decimals: usize,
}

/// For these values, with at least `least` between low and high, so that what hardly changes does not look as if it did.
/// It begins at `floor`, such as nought for minutes, unless something lies below. At most so many figures.
pub(super) fn scale(values: impl Iterator<Item = f64>, least: f64, floor: Option<f64>, most: usize) -> Scale {
    let (mut low, mut high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    if low > high {
        (low, high) = (floor.unwrap_or(0.0), floor.unwrap_or(0.0));
    }
    let floor = floor.filter(|&floor| low >= floor);
    low = floor.unwrap_or(low);
    let lacking = (least - (high - low)).max(0.0);
    let room = (high - low) * ROOM;
    (low, high) = match floor {
        Some(floor) => (floor, high + room + lacking),
        None => (low - room - lacking / 2.0, high + room + lacking / 2.0),
    };
    let steps = RangedCoordf64::from(low..high).key_points(most);
    let decimals = steps.windows(2).map(|pair| decimals_of(pair[1] - pair[0])).max().unwrap_or(0);
    Scale { low, high, steps, decimals }
}

/// Decimals that a step needs: 0.25 needs two.
fn decimals_of(step: f64) -> usize {
    (0..4)
        .find(|&n| {
            let scaled = step * 10_f64.powi(n as i32);
            (scaled - scaled.round()).abs() < 1e-6
        })
        .unwrap_or(4)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(values: &[f64], least: f64, floor: Option<f64>, steps: &[f64], decimals: usize) {
        let found = scale(values.iter().copied(), least, floor, 5);
        let shown: Vec<String> = found.steps.iter().map(|s| format!("{s:.3}")).collect();
        let wanted: Vec<String> = steps.iter().map(|s| format!("{s:.3}")).collect();
        assert_eq!((shown, found.decimals), (wanted, decimals), "{values:?}");
        assert!(found.low < found.high, "{found:?}");
        assert!(found.steps.iter().all(|s| (found.low..=found.high).contains(s)), "{found:?}");
    }

    /// Steps of 1, 2 or 5 times a power of ten, as is common practice; worked out by hand for these ranges.
    #[test]
    fn figures_stand_at_round_steps() {
        check(&[-42.0, 38.0], 1.0, None, &[-40.0, -20.0, 0.0, 20.0, 40.0], 0);
        // Steps of 1 would be six figures.
        check(&[3.1, 7.9], 1.0, None, &[4.0, 6.0, 8.0], 0);
        check(&[0.31, 0.49], 0.1, None, &[0.3, 0.35, 0.4, 0.45, 0.5], 2);
        check(&[0.0, 55.0], 1.0, Some(0.0), &[0.0, 20.0, 40.0], 0);
    }

    #[test]
    fn one_value_and_none_have_a_range_all_the_same() {
        check(&[5.0], 4.0, None, &[3.0, 4.0, 5.0, 6.0, 7.0], 0);
        check(&[5.0, 5.0, 5.0], 4.0, None, &[3.0, 4.0, 5.0, 6.0, 7.0], 0);
        check(&[], 10.0, Some(0.0), &[0.0, 5.0, 10.0], 0);
    }

    #[test]
    fn a_step_has_the_decimals_it_needs() {
        for (step, decimals) in [(20.0, 0), (1.0, 0), (0.5, 1), (0.25, 2), (0.1, 1), (0.02, 2)] {
            assert_eq!(decimals_of(step), decimals, "{step}");
        }
    }
}
