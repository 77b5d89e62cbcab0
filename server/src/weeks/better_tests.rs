//! What is said to have got better: statistics against scipy, thresholds by hand, and how often chance is taken for progress.

use super::*;
use crate::weeks::desk::{held, rung, straight, tried, week};
use crate::weeks::{Played, weeks};
use windrow_protocol::judge::State;

/// Drawn once; see `tests/reference/week_statistics.py`.
const BEFORE: [f64; 4] = [31.2, 28.4, 33.0, 29.9];
const NOW: [f64; 4] = [22.1, 24.6, 20.3, 23.8];

#[test]
fn students_t_is_scipys() {
    // scipy 1.17.1, ttest_ind(NOW, BEFORE, equal_var=True).
    assert!((t(&BEFORE, &NOW) - -5.802_125_181_036_29).abs() < 1e-12);
    assert!((t(&BEFORE[..2], &NOW[..2]) - -3.436_641_369_633_675_5).abs() < 1e-12);
    assert_eq!(t(&[1.0, 1.0], &[2.0, 2.0]), f64::INFINITY);
    assert_eq!(t(&[1.0, 1.0], &[1.0, 1.0]), 0.0);
}

fn with_spread(values: &[f64]) -> Vec<Week> {
    let played = values.iter().zip(0..);
    weeks(
        &played.map(|(ms, n)| Played { timing_spread_ms: Some(*ms), ..held(n, 3, 60.0) }).collect::<Vec<_>>(),
    )
}

fn measures(said: Vec<Better>) -> Vec<Better> {
    said.into_iter().filter(|b| matches!(b, Better::Measure { .. })).collect()
}

#[test]
fn a_spread_that_became_smaller_is_told_with_both_numbers() {
    let all = with_spread(&[BEFORE, NOW].concat());
    let said = measures(better(&all, &all));
    // The means by hand: 122.5 / 4 and 90.8 / 4.
    let [Better::Measure { measure: Measure::TimingSpread, before, now, n_weeks: 8 }] = said[..] else {
        panic!("{said:?}");
    };
    assert!((before - 30.625).abs() < 1e-9 && (now - 22.7).abs() < 1e-9);
}

#[test]
fn nothing_is_said_of_what_got_worse_or_may_be_chance() {
    for values in [
        // The other way round.
        [NOW, BEFORE].concat(),
        // Two weeks on either side: t is 3.4, 7.0 would be needed.
        vec![31.2, 28.4, 22.1, 24.6],
        // Certain, but nobody hears 4 ms.
        vec![24.0, 24.1, 23.9, 24.0, 20.0, 20.1, 19.9, 20.0],
        // A large change that is not larger than the spread.
        vec![20.0, 45.0, 15.0, 40.0, 12.0, 38.0, 10.0, 30.0],
        vec![30.0],
        vec![],
    ] {
        let all = with_spread(&values);
        assert_eq!(measures(better(&all, &all)), [], "{values:?}");
    }
}

#[test]
fn weeks_long_ago_say_nothing_of_lately() {
    // Four bad weeks, three months without any, four good ones.
    let early = BEFORE.iter().zip(0..);
    let late = NOW.iter().zip(16..);
    let played = early.chain(late).map(|(ms, n)| Played { timing_spread_ms: Some(*ms), ..held(n, 3, 60.0) });
    let all = weeks(&played.collect::<Vec<_>>());
    assert_eq!(measures(better(&all, &all)), []);
}

#[test]
fn depth_counts_while_pulses_are_small() {
    let deep = |from: f64, to: f64| {
        let played = [from, from + 0.1, from, to, to + 0.1, to].into_iter().zip(0..);
        let of = |(db, n)| Played { depth_db_pp: Some(db), ..held(n, 3, 60.0) };
        let all = weeks(&played.map(of).collect::<Vec<_>>());
        measures(better(&all, &all)).len()
    };
    assert_eq!((deep(3.0, 5.0), deep(7.0, 11.0), deep(5.0, 3.0)), (1, 0, 0));
}

#[test]
fn pitch_gets_better_from_both_sides() {
    let cents = [-14.0, 13.0, -15.0, 3.0, -4.0, 2.0].into_iter().zip(0..);
    let of = |(cents, n)| Played { centre_cents: Some(cents), ..held(n, 3, 60.0) };
    let all = weeks(&cents.map(of).collect::<Vec<_>>());
    let said = measures(better(&all, &[]));
    assert!(matches!(said[..], [Better::Measure { measure: Measure::Centre, .. }]), "{said:?}");
}

#[test]
fn a_rung_that_is_new_is_told_first() {
    let all = weeks(&[held(0, 3, 60.0), held(1, 3, 60.0), held(2, 3, 63.0), tried(3, 3, 66.0, State::Slow)]);
    let new = Better::Rung { to: rung(3, 63.0), since: week(2), before: Some(rung(3, 60.0)) };
    assert_eq!(better(&all, &all)[0], new);
    let first = weeks(&[straight(0), held(1, 2, 60.0)]);
    assert_eq!(better(&first, &first), [Better::Rung { to: rung(2, 60.0), since: week(1), before: None }]);
    let old = weeks(&[held(0, 3, 63.0), held(4, 3, 60.0), held(5, 3, 63.0)]);
    assert_eq!(better(&old, &old), [], "it was reached long ago");
}

#[test]
fn three_things_at_most_the_most_certain_first() {
    let played = (0..8).map(|n| {
        let (is_late, wobble) = (n >= 4, [0.0, 1.0, -1.0, 0.0][n as usize % 4]);
        let pick = |before: f64, now: f64, by: f64| Some(if is_late { now } else { before } + wobble * by);
        Played {
            timing_spread_ms: pick(40.0, 20.0, 5.0),
            evenness_cv: pick(0.2, 0.1, 0.005),
            depth_db_pp: pick(3.0, 5.5, 0.5),
            centre_cents: pick(12.0, 4.0, 0.5),
            ..held(n, 3, 60.0)
        }
    });
    let all = weeks(&played.collect::<Vec<_>>());
    // The spread within each half is the same wobble: evenness and depth and so on changed by 20, 5, 4 and 16 of it.
    let told: Vec<Measure> = better(&all, &all)
        .into_iter()
        .filter_map(|b| if let Better::Measure { measure, .. } = b { Some(measure) } else { None })
        .collect();
    assert_eq!(told, [Measure::Evenness, Measure::Centre, Measure::Depth]);
}

/// A simple generator, so that the test is the same everywhere (Numerical Recipes' linear congruential one, from memory).
fn noise(seed: &mut u64) -> f64 {
    // Twelve uniform numbers have a variance of one.
    (0..12).fold(-6.0, |sum, _| {
        *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        sum + (*seed >> 11) as f64 / (1u64 << 53) as f64
    })
}

#[test]
fn chance_is_hardly_ever_taken_for_progress() {
    // Eight weeks in which nothing changes but by chance, and that by much more than what is worth a word.
    let mut seed = 20_261_126;
    let mut n_said = 0;
    const N_PLAYERS: usize = 2000;
    for _ in 0..N_PLAYERS {
        let values: Vec<f64> = (0..8).map(|_| 100.0 + 30.0 * noise(&mut seed)).collect();
        let all = with_spread(&values);
        n_said += measures(better(&all, &all)).len();
    }
    // One in a hundred by the quantile; three deviations of that count (binomial) are 13.
    let expected = N_PLAYERS as f64 / 100.0;
    assert!((n_said as f64 - expected).abs() < 13.4, "{n_said} of {N_PLAYERS}");
}
