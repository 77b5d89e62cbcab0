//! A section's weeks: quarters and means against numpy, everything else by hand.

use super::super::desk::week;
use super::*;

/// Drawn once; see `tests/reference/section_weeks_statistics.py`.
const TOGETHER: [f64; 7] = [0.91, 0.62, 0.78, 0.85, 0.44, 0.97, 0.70];
const MATCHED: [f64; 7] = [0.80, 0.35, 0.55, 0.72, 0.20, 0.95, 0.50];
const JUDGED: [i64; 7] = [11, 9, 12, 7, 10, 3, 12];
const SECONDS: [f64; 7] = [64.0, 42.5, 60.0, 31.0, 55.5, 20.0, 48.0];

fn run(n_week: i64, idx: usize) -> SectionRun {
    let began_unix_ms = week(n_week).begins_unix_ms() + 1000 * idx as i64;
    SectionRun {
        began_unix_ms,
        ended_unix_ms: began_unix_ms + (1000.0 * SECONDS[idx]) as i64,
        n_judged: JUDGED[idx],
        matched: Some(MATCHED[idx]),
        together: Some(TOGETHER[idx]),
        spread_ms: Some(100.0 * (1.0 - TOGETHER[idx])),
    }
}

#[test]
fn quarters_and_means_are_numpys() {
    let runs: Vec<SectionRun> = (0..7).map(|idx| run(0, idx)).collect();
    let weeks = section_weeks(&runs);
    let [only] = &weeks[..] else { panic!("{weeks:?}") };
    // numpy 2.4.6, quantile(weights, method="inverted_cdf") and average.
    assert_eq!(only.together, Some(Quarters { lower: 0.62, middle: 0.78, upper: 0.85 }));
    assert!((only.matched.unwrap() - 0.530_507_077_305_957_4).abs() < 1e-12);
    assert_eq!((only.n_runs, only.week), (7, week(0)));
}

#[test]
fn a_week_without_a_rehearsal_is_not_there_and_one_without_a_verdict_tells_nothing() {
    let unheard = SectionRun { n_judged: 0, matched: None, together: None, spread_ms: None, ..run(2, 0) };
    let weeks = section_weeks(&[run(0, 0), unheard]);
    let told: Vec<_> = weeks.iter().map(|w| (w.week, w.matched, w.together.map(|q| q.middle))).collect();
    assert_eq!(told, [(week(0), Some(0.80), Some(0.91)), (week(2), None, None)]);
}
