//! Figures of several stretches: medians against numpy, everything else by hand.

use super::*;
use crate::weeks::desk::{held, rung, straight, tried};
use windrow_protocol::judge::State;

/// Drawn once; see `tests/reference/week_statistics.py`.
const VALUES: [f64; 8] = [6.1, 4.8, 7.3, 5.2, 3.9, 6.6, 5.2, 8.0];
const WEIGHTS: [f64; 8] = [24.0, 10.5, 33.0, 6.2, 41.0, 12.0, 18.5, 2.0];

fn pairs(n: usize) -> Vec<(f64, f64)> {
    VALUES.into_iter().zip(WEIGHTS).take(n).collect()
}

#[test]
fn weighted_medians_and_means_are_numpys() {
    // numpy 2.4.6, quantile(0.5, weights, method="inverted_cdf") and average.
    assert_eq!((weighted_median(pairs(8)), weighted_median(pairs(3))), (Some(5.2), Some(6.1)));
    assert!((weighted_mean(&pairs(8)).unwrap() - 5.579_076_086_956_523).abs() < 1e-12);
    assert_eq!((weighted_median(vec![]), weighted_mean(&[])), (None, None));
}

#[test]
fn what_weighs_nothing_counts_for_nothing() {
    assert_eq!(weighted_median(vec![(1.0, 0.0), (9.0, 2.0), (f64::NAN, 5.0)]), Some(9.0));
    assert_eq!(weighted_median(vec![(1.0, 0.0)]), None);
}

#[test]
fn times_add_up_and_shares_weigh_by_judged_time() {
    // 24 s of 32 at 90 %, 20 s of 26.7 (72 to the minute) at 30 %.
    let (a, b) = (held(0, 3, 60.0), tried(0, 3, 72.0, State::Slow));
    let figures = Figures::of(&[&a, &b]);
    assert!((figures.asked_s - (32.0 + 32.0 / 1.2)).abs() < 1e-9);
    assert!((figures.judged_s - 44.0).abs() < 1e-9);
    assert!((figures.matched.unwrap() - (0.9 * 24.0 + 0.3 * 20.0) / 44.0).abs() < 1e-12);
    assert_eq!((figures.held, figures.tried), (Some(rung(3, 60.0)), Some(rung(3, 72.0))));
}

#[test]
fn the_rate_is_told_against_what_was_asked() {
    // Triplets at 60 are 3 a second; 3.15 are 5 % more. Sixteenths at 60, 3.8 of 4: 5 % less, for a shorter time.
    let fast = Played { pulse_rate_hz: Some(3.15), ..held(0, 3, 60.0) };
    let slow = Played { pulse_rate_hz: Some(3.8), judged_s: 8.0, ..held(0, 4, 60.0) };
    assert!((fast.rate_off().unwrap() - 0.05).abs() < 1e-12);
    assert!((Figures::of(&[&fast, &slow]).rate_off.unwrap() - 0.05).abs() < 1e-12);
    let moving = Played { is_steady: false, ..fast };
    assert_eq!((moving.rate_off(), Figures::of(&[&moving]).rate_off), (None, None));
}

#[test]
fn pitch_with_and_without_vibrato_stays_apart() {
    let pulsing = Played { centre_cents: Some(8.0), drift_cents: Some(4.0), ..held(0, 3, 60.0) };
    let without = Played { centre_cents: Some(-1.0), drift_cents: Some(0.5), ..straight(0) };
    let figures = Figures::of(&[&pulsing, &without]);
    assert_eq!(figures.pulsing, Pitch { centre_cents: Some(8.0), drift_cents: Some(4.0) });
    assert_eq!(figures.straight, Pitch { centre_cents: Some(-1.0), drift_cents: Some(0.5) });
    assert_eq!(figures.depth_db_pp, Some(6.0));
}

#[test]
fn nothing_played_is_nothing() {
    assert_eq!(Figures::of(&[]), Figures::default());
}
