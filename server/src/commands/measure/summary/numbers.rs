//! The arithmetic of a summary: medians, intervals between pulses, slopes, phases against a tick. Pure; knows nothing
//! of readings. Values that are not finite are left out, so none comes back.

use std::f64::consts::TAU;
use windrow_analysis::Pulse;

/// A gap longer than this many median intervals is a breath, not a slow pulse.
const GAP_INTERVALS: f64 = 1.8;
/// Points a slope is taken from at most; more are averaged in groups, since every pair of points is looked at.
const SLOPE_MAX_POINTS: usize = 400;
/// Fewest pulses a timing is told from: with four even the same place each time is not one chance in a hundred.
const TIMING_MIN_PULSES: usize = 5;

pub(super) fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (n, sum) = values.filter(|v| v.is_finite()).fold((0u32, 0.0), |(n, sum), v| (n + 1, sum + v));
    (n > 0).then(|| sum / f64::from(n))
}

pub(super) fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let mid = sorted.len() / 2;
    match sorted.len() {
        0 => None,
        n if n % 2 == 1 => Some(sorted[mid]),
        _ => Some((sorted[mid - 1] + sorted[mid]) / 2.0),
    }
}

/// Pulses as trains without a gap.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Runs {
    /// Intervals within the trains, seconds.
    intervals_s: Vec<f64>,
    /// Whether each pulse follows another without a gap.
    follows: Vec<bool>,
}

/// Cuts pulses, given by their times in order, into trains.
pub(super) fn run_lengths(times_s: &[f64]) -> Runs {
    let all: Vec<f64> = times_s.windows(2).map(|w| w[1] - w[0]).collect();
    let longest = GAP_INTERVALS * median(all.iter().copied()).unwrap_or(0.0);
    let follows = times_s.iter().enumerate().map(|(i, _)| i > 0 && all[i - 1] <= longest).collect();
    Runs { intervals_s: all.into_iter().filter(|&interval| interval <= longest).collect(), follows }
}

impl Runs {
    /// Intervals counted over the time they took; `None` under two.
    pub(super) fn rate_hz(&self) -> Option<f64> {
        let took_s: f64 = self.intervals_s.iter().sum();
        (self.intervals_s.len() >= 2 && took_s > 0.0).then(|| self.intervals_s.len() as f64 / took_s)
    }

    /// Coefficient of variation of the intervals (standard deviation of a sample over the mean).
    pub(super) fn evenness_cv(&self, min_intervals: usize) -> Option<f64> {
        let n = self.intervals_s.len();
        if n < min_intervals.max(2) {
            return None;
        }
        let mean_s = self.intervals_s.iter().sum::<f64>() / n as f64;
        let squares: f64 = self.intervals_s.iter().map(|i| (i - mean_s).powi(2)).sum();
        Some((squares / (n as f64 - 1.0)).sqrt() / mean_s).filter(|cv| cv.is_finite())
    }

    /// Share of the valleys between pulses of a train in which the tone broke; `None` without a valley.
    pub(super) fn choked_share(&self, pulses: &[Pulse]) -> Option<f64> {
        let valleys = pulses.iter().zip(&self.follows).filter(|(_, follows)| **follows);
        mean(valleys.map(|(pulse, _)| if pulse.choked { 1.0 } else { 0.0 }))
    }
}

/// Slope of points (seconds, value) in value a second: the median of the slopes between all pairs, which single wrong
/// points do not move (Theil 1950, Sen 1968). `None` where they span less than `min_s` or are fewer than `min_points`.
pub(super) fn slope(points: &[(f64, f64)], min_s: f64, min_points: usize) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    if last.0 - first.0 < min_s || points.len() < min_points {
        return None;
    }
    let group = points.len().div_ceil(SLOPE_MAX_POINTS);
    let averaged: Vec<(f64, f64)> = points
        .chunks(group)
        .filter_map(|chunk| Some((mean(chunk.iter().map(|p| p.0))?, mean(chunk.iter().map(|p| p.1))?)))
        .collect();
    let pairs = averaged.iter().enumerate().flat_map(|(i, a)| {
        averaged[i + 1..].iter().filter(|b| b.0 > a.0).map(move |b| (b.1 - a.1) / (b.0 - a.0))
    });
    median(pairs)
}

/// Pulses against the tick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Timing {
    /// Median of pulse minus tick, each tick being the one nearest to the pulses' mean phase; negative is early. `None`
    /// where the pulses do not keep to the tick.
    pub(super) offset_ms: Option<f64>,
    /// Circular standard deviation of the same; `None` beyond half a period, where it says nothing.
    pub(super) spread_ms: Option<f64>,
}

/// Timing of pulses whose places are given in ticks. Circular statistics (Fisher 1993, section 2.3), since a pulse late
/// by half a tick is early for the next: resultant R, standard deviation the square root of -2 ln R; the offset is told
/// where a resultant that long is one in a hundred by chance (Rayleigh: exp(-n R²)). `None` of fewer than five.
pub(super) fn timing_of(ticks: impl Iterator<Item = f64>, period_ms: f64) -> Option<Timing> {
    let phases: Vec<f64> = ticks.filter(|t| t.is_finite()).map(|t| t - t.round()).collect();
    if phases.len() < TIMING_MIN_PULSES {
        return None;
    }
    let n = phases.len() as f64;
    let x = phases.iter().map(|p| (TAU * p).cos()).sum::<f64>() / n;
    let y = phases.iter().map(|p| (TAU * p).sin()).sum::<f64>() / n;
    let resultant = x.hypot(y).min(1.0);
    let mean_phase = y.atan2(x) / TAU;
    let is_placed = (-n * resultant * resultant).exp() <= 0.01;
    let unwrapped = phases.iter().map(|p| p + (mean_phase - p).round());
    let spread_ticks = (-2.0 * resultant.ln()).max(0.0).sqrt() / TAU;
    Some(Timing {
        offset_ms: median(unwrapped).filter(|_| is_placed).map(|p| p * period_ms),
        spread_ms: (spread_ticks < 0.5).then_some(spread_ticks * period_ms),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_breath_does_not_slow_the_rate() {
        let runs = run_lengths(&[0.0, 0.2, 0.4, 0.6, 2.0, 2.2, 2.4]);
        assert!((runs.rate_hz().unwrap() - 5.0).abs() < 1e-9);
        assert!(runs.evenness_cv(3).unwrap() < 1e-9);
        assert_eq!(run_lengths(&[0.0, 0.2]).rate_hz(), None);
        assert_eq!(run_lengths(&[]).rate_hz(), None);
    }

    #[test]
    fn unevenness_is_the_deviation_over_the_mean() {
        // Intervals 0.2 and 0.3 in turn: mean 0.25, deviation of the sample of four sqrt(4 * 0.05² / 3) = 0.05774.
        let cv = run_lengths(&[0.0, 0.2, 0.5, 0.7, 1.0]).evenness_cv(3).unwrap();
        assert!((cv - 0.057_735 / 0.25).abs() < 1e-5, "{cv}");
    }

    #[test]
    fn one_wrong_point_does_not_bend_the_slope() {
        let mut points: Vec<(f64, f64)> =
            (0..1000).map(|i| (f64::from(i) * 0.01, f64::from(i) * 0.02)).collect();
        points[500].1 = 900.0;
        assert!((slope(&points, 1.5, 4).unwrap() - 2.0).abs() < 0.02);
        assert_eq!(slope(&points[..100], 1.5, 4), None);
    }

    #[test]
    fn timing_counts_from_the_nearest_tick_and_survives_half_a_period() {
        let check = |ticks: &[f64], offset_ms: f64, within_ms: f64| {
            let timing = timing_of(ticks.iter().copied(), 200.0).unwrap();
            assert!((timing.offset_ms.unwrap() - offset_ms).abs() < within_ms, "{ticks:?}: {timing:?}");
        };
        check(&[0.1, 1.1, 2.1, 3.1, 4.1], 20.0, 1e-9);
        check(&[-0.1, 0.9, 1.9, 2.9, 3.9], -20.0, 1e-9);
        let half = timing_of([0.49, 1.51, 2.49, 3.51, 4.49].into_iter(), 200.0).unwrap();
        assert!((half.offset_ms.unwrap().abs() - 98.0).abs() < 3.0, "{half:?}");
        assert!(half.spread_ms.unwrap() < 3.0, "{half:?}");
    }

    #[test]
    fn pulses_all_over_the_beat_have_no_timing() {
        let timing = timing_of((0..40).map(|i| f64::from(i) * 1.1), 200.0).unwrap();
        assert_eq!(timing, Timing { offset_ms: None, spread_ms: None });
        assert_eq!(timing_of([0.1, 1.1, f64::NAN].into_iter(), 200.0), None);
    }
}
