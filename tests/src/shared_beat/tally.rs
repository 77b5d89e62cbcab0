//! Figures of how far moments lie apart. Knows no clock.

use std::collections::BTreeMap;

/// The value that a share of all, 0 to 1, do not exceed; NaN of none.
pub fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = (share * sorted.len() as f64).ceil() as usize;
    sorted.get(at.saturating_sub(1)).copied().unwrap_or(f64::NAN)
}

/// Values of each tick, from what every device did of it.
fn of_ticks(deviations_ms: &[(i64, f64)]) -> BTreeMap<i64, Vec<f64>> {
    let mut of_ticks: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for (tick, deviation_ms) in deviations_ms {
        of_ticks.entry(*tick).or_default().push(*deviation_ms);
    }
    of_ticks
}

/// Latest less earliest device of each tick, ms.
pub fn ranges_ms(deviations_ms: &[(i64, f64)]) -> Vec<f64> {
    let range = |values: &Vec<f64>| {
        let (low, high) = values
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(*x), high.max(*x)));
        high - low
    };
    of_ticks(deviations_ms).values().map(range).collect()
}

/// How far each two devices are apart at each tick, ms.
pub fn pair_differences_ms(deviations_ms: &[(i64, f64)]) -> Vec<f64> {
    let mut differences = Vec::new();
    for values in of_ticks(deviations_ms).values() {
        for (i, a) in values.iter().enumerate() {
            differences.extend(values[..i].iter().map(|b| (a - b).abs()));
        }
    }
    differences
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_values_that_occur() {
        let values: Vec<f64> = (1..=100).map(f64::from).collect();
        assert_eq!([0.5, 0.95, 1.0].map(|share| percentile(&values, share)), [50.0, 95.0, 100.0]);
        assert!(percentile(&[], 0.5).is_nan());
    }

    #[test]
    fn devices_are_compared_tick_by_tick() {
        let deviations = [(1, -1.0), (2, 5.0), (1, 2.0), (2, 5.5), (1, 0.0)];
        assert_eq!(ranges_ms(&deviations), [3.0, 0.5]);
        assert_eq!(pair_differences_ms(&deviations), [3.0, 1.0, 2.0, 0.5]);
    }
}
