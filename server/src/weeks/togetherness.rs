//! How together a section was, week by week: of all its runs in a rehearsal. Togetherness and spread are middles over the runs, each
//! weighing as many players as were judged in it; the share matched is one of time, so a run weighs by its players and its
//! length. A week without a rehearsal is not there. Pure arithmetic.

use super::calendar::IsoWeek;
use std::collections::BTreeMap;

/// One time through an exercise in a rehearsal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SectionRun {
    pub(crate) began_unix_ms: i64,
    pub(crate) ended_unix_ms: i64,
    /// Players who could be judged.
    pub(crate) n_judged: i64,
    /// Share of the judged time that was matched, 0 to 1.
    pub(crate) matched: Option<f64>,
    /// Resultant length of the pulses' phases, 0 to 1.
    pub(crate) together: Option<f64>,
    /// Circular standard deviation of the same.
    pub(crate) spread_ms: Option<f64>,
}

/// A middle with the quarters beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Quarters {
    pub(crate) lower: f64,
    pub(crate) middle: f64,
    pub(crate) upper: f64,
}

/// What the runs of one week came to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SectionWeek {
    pub(crate) week: IsoWeek,
    pub(crate) n_runs: usize,
    pub(crate) together: Option<Quarters>,
    pub(crate) spread_ms: Option<f64>,
    pub(crate) matched: Option<f64>,
}

/// The weeks in which there was a run, the oldest first.
pub(crate) fn section_weeks(runs: &[SectionRun]) -> Vec<SectionWeek> {
    let mut by_week: BTreeMap<IsoWeek, Vec<&SectionRun>> = BTreeMap::new();
    for run in runs {
        by_week.entry(IsoWeek::of_unix_ms(run.began_unix_ms)).or_default().push(run);
    }
    by_week.into_iter().map(|(week, runs)| of(week, &runs)).collect()
}

fn of(week: IsoWeek, runs: &[&SectionRun]) -> SectionWeek {
    let players = |run: &SectionRun| run.n_judged.max(0) as f64;
    let weighed = |value: fn(&SectionRun) -> Option<f64>| -> Vec<(f64, f64)> {
        runs.iter().filter_map(|run| Some((value(run)?, players(run)))).collect()
    };
    let together = weighed(|run| run.together);
    let at = |share| weighted_quantile(&together, share);
    let seconds = |run: &SectionRun| (run.ended_unix_ms - run.began_unix_ms).max(0) as f64 / 1000.0;
    let timed = runs.iter().filter_map(|run| Some((run.matched?, players(run) * seconds(run))));
    let (sum, weight) =
        timed.fold((0.0, 0.0), |(sum, all), (value, weight)| (sum + value * weight, all + weight));
    SectionWeek {
        week,
        n_runs: runs.len(),
        together: at(0.25).zip(at(0.5)).zip(at(0.75)).map(|((lower, middle), upper)| Quarters {
            lower,
            middle,
            upper,
        }),
        spread_ms: weighted_quantile(&weighed(|run| run.spread_ms), 0.5),
        matched: (weight > 0.0).then(|| sum / weight),
    }
}

/// The least value up to which at least this share of all weight lies: the inverse of the weighted distribution.
fn weighted_quantile(values: &[(f64, f64)], share: f64) -> Option<f64> {
    let mut values: Vec<(f64, f64)> =
        values.iter().copied().filter(|(value, weight)| value.is_finite() && *weight > 0.0).collect();
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let wanted = share * values.iter().map(|(_, weight)| weight).sum::<f64>();
    let mut so_far = 0.0;
    let found = values.iter().find(|(_, weight)| {
        so_far += weight;
        so_far >= wanted
    });
    found.map(|(value, _)| *value)
}

#[cfg(test)]
#[path = "togetherness_tests.rs"]
mod tests;
