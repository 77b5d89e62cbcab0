//! Statistics of pulses against textbook examples, formulas and a general-purpose library's values.

use super::*;

/// Triplets at 66: 60000 / 66 / 3 ms.
const PERIOD_MS: f64 = 303.03;

fn offsets(ms: &[f64]) -> Vec<Offset> {
    ms.iter().map(|&offset_ms| Offset { offset_ms, period_ms: PERIOD_MS }).collect()
}

#[test]
fn mean_angle_and_length_of_a_textbook_example() {
    // Zar, Biostatistical Analysis, example 26.4: eight tree-leaning directions; r = 0.82522, mean angle 99 degrees.
    let degrees = [45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0f64];
    let c = Circular::of(degrees.map(f64::to_radians)).unwrap();
    assert!((c.resultant - 0.82522).abs() < 5e-6, "{c:?}");
    assert!((c.mean_rad.to_degrees() - 99.0).abs() < 0.5, "{c:?}");
}

#[test]
fn phases_opposite_each_other_have_no_length() {
    let c = Circular::of([0.0, TAU / 2.0, TAU / 4.0, -TAU / 4.0]).unwrap();
    assert!(c.resultant < 1e-12);
}

#[test]
fn small_spreads_are_the_ordinary_standard_deviation() {
    // For angles far less than a radian the circular deviation tends to the ordinary one: here 10 ms exactly.
    let t = together(&offsets(&[-10.0, 10.0, -10.0, 10.0])).unwrap();
    assert!((t.spread_ms.unwrap() - 10.0).abs() < 0.1, "{t:?}");
    assert!(t.mean_ms.abs() < 1e-9);
}

#[test]
fn a_player_late_by_80_ms_is_late_by_80_ms() {
    let ms = constant_offset_ms(&offsets(&[80.0, 76.0, 84.0, 80.0, 79.0, 83.0, 80.0])).unwrap();
    assert!((ms - 80.0).abs() < 1e-9, "{ms}");
}

#[test]
fn offsets_about_half_a_period_do_not_cancel() {
    // Late by 150 ms with 5 ms of scatter: half of the pulses are nearer to the next tick and look early.
    let wrapped: Vec<f64> = [145.0, 150.0, 155.0, 148.0, 152.0, 156.0, 149.0, 151.0]
        .iter()
        .map(|&ms: &f64| if ms > PERIOD_MS / 2.0 { ms - PERIOD_MS } else { ms })
        .collect();
    let ms = constant_offset_ms(&offsets(&wrapped)).unwrap();
    let from_150 = (ms - 150.5).abs().min((ms + PERIOD_MS - 150.5).abs());
    assert!(from_150 < 1.0, "{ms}");
}

#[test]
fn pulses_that_do_not_keep_to_the_tick_have_no_offset() {
    assert_eq!(constant_offset_ms(&offsets(&[0.0, 75.0, 150.0, -75.0, 0.0, 75.0, 150.0, -75.0])), None);
}

#[test]
fn three_pulses_are_too_few_to_place() {
    assert_eq!(constant_offset_ms(&offsets(&[80.0, 80.0, 80.0])), None);
}

/// A hundred-millionth, for values that a library gives to sixteen digits.
fn assert_near(actual: Option<f64>, expected: f64) {
    assert!(actual.is_some_and(|a| (a - expected).abs() < 1e-8), "{actual:?} instead of {expected}");
}

#[test]
fn wide_angles_are_those_of_scipy() {
    // tests/reference/section_statistics.py, scipy 1.17.1: circmean, circstd, directional_stats. The mean lies near half a
    // turn, where an ordinary mean fails.
    let degrees = [59.7, 172.5, 232.6, 257.8, 143.7, 198.9, 101.9, 275.0, 182.3, 157.7, 194.7, 219.7f64];
    let c = Circular::of(degrees.map(f64::to_radians)).unwrap();
    assert_near(Some(c.mean_rad), -2.9848402191759695);
    assert_near(Some(c.resultant), 0.5768855356949517);
    assert_near(Some(c.deviation_rad()), 1.0489150685337638);
}

#[test]
fn ranks_with_ties_correlate_as_in_scipy() {
    // The same script: spearmanr, ten pairs with ties in both.
    let x = [3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0, 6.0, 5.0, 3.0];
    let y = [2.0, 7.0, 1.0, 8.0, 2.0, 8.0, 1.0, 8.0, 2.0, 8.0];
    assert_near(spearman(&x.into_iter().zip(y).collect::<Vec<_>>()), 0.13471506281091267);
    let level_db = [-31.0, -28.5, -26.0, -22.5, -20.0, -21.0, -24.0, -27.5];
    let depth_db = [2.1, 2.8, 3.9, 5.5, 6.2, 6.9, 4.0, 2.0];
    assert_near(spearman(&level_db.into_iter().zip(depth_db).collect::<Vec<_>>()), 0.9047619047619048);
}

#[test]
fn what_does_not_vary_does_not_correlate() {
    assert_eq!(spearman(&[(1.0, 2.0), (1.0, 3.0), (1.0, 4.0)]), None);
    assert_eq!(spearman(&[]), None);
    assert_eq!(spearman(&[(1.0, 2.0), (2.0, 3.0)]), Some(1.0));
}

#[test]
fn the_variation_of_one_series_is_that_of_scipy() {
    // The same script: variation with one degree of freedom less.
    let intervals = [310.0, 295.0, 305.0, 322.0, 289.0, 301.0];
    assert_near(variation_within([&intervals[..]]), 0.03827163082682809);
}

#[test]
fn the_variation_within_series_does_not_see_their_different_means() {
    // Each series swings by 10 % about its own mean: (4 x 0.1² + 4 x 0.1²) / (3 + 3), by hand.
    let (slow, fast) = ([90.0, 110.0, 90.0, 110.0], [45.0, 55.0, 45.0, 55.0]);
    assert_near(variation_within([&slow[..], &fast[..]]), (0.08f64 / 6.0).sqrt());
    assert_eq!(variation_within([&[300.0][..]]), None);
}

#[test]
fn middles_and_slopes_are_those_of_numpy_and_scipy() {
    // The same script: median, linregress.
    assert_near(median(&mut [4.0, 1.0, 3.0, 2.0]), 2.5);
    assert_near(median(&mut [9.0, -1.0, 4.0]), 4.0);
    assert_eq!(median(&mut []), None);
    assert_near(slope(&[(0.0, 1.0), (1.0, 0.5), (2.5, 3.0), (4.0, 2.0), (7.0, 6.5)]), 0.7880794701986754);
    assert_eq!(slope(&[(1.0, 1.0), (1.0, 2.0)]), None);
}

#[test]
fn spreads_of_two_periods_are_of_their_mean() {
    // A tenth of a turn early and late by turns, at 200 and 400 ms: phases of ±36 degrees, so the resultant is cos 36 degrees and
    // the deviation is told of 300 ms.
    let offset = |offset_ms, period_ms| Offset { offset_ms, period_ms };
    let four = [offset(20.0, 200.0), offset(-20.0, 200.0), offset(40.0, 400.0), offset(-40.0, 400.0)];
    let t = together(&four).unwrap();
    let resultant = 36f64.to_radians().cos();
    assert_near(Some(t.resultant), resultant);
    assert_near(t.spread_ms, (-2.0 * resultant.ln()).sqrt() / TAU * 300.0);
    assert_near(Some(t.mean_ms), 0.0);
}
