//! What got better: at most three things, the most certain first, and nothing where it may be chance. A rung held is a fact;
//! a measure has to have changed by more than it varies from week to week, and by so much that it can be heard. Pure.

use super::calendar::IsoWeek;
use super::figures::Figures;
use super::rung::Rung;
use super::week::Week;

/// Most that is said.
const MOST: usize = 3;
/// Weeks that are looked at, back from the newest one: a term. Our own choice.
const LOOK_BACK_WEEKS: i64 = 12;
/// A rung counts as new so many weeks after it was first held. Our own choice.
const NEW_WEEKS: i64 = 4;
/// Most weeks on either side of a comparison. Our own choice.
const SIDE: usize = 4;
/// 99 % quantiles of Student's t for 2, 3 and 4 weeks on either side (2, 4 and 6 degrees of freedom; scipy 1.17.1,
/// `tests/reference/week_statistics.py`): chance alone gets so far once in a hundred comparisons. The level is our own choice.
const T_99: [f64; SIDE - 1] = [6.9646, 3.7469, 3.1427];

/// A measure of which it can be said that it got better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measure {
    /// Share of the time that was matched.
    Matched,
    /// Scatter of the pulses around the tick.
    TimingSpread,
    /// How far the rate was from what was asked.
    Rate,
    /// Variation of the intervals between pulses.
    Evenness,
    /// Depth of pulses that were small.
    Depth,
    /// Distance of the pitch from the note while pulsing.
    Centre,
    /// Distance of the pitch while pulsing from that of the straight tone before.
    FromStraight,
}

/// Pulses of less are still small: twice the 3 dB under which they are called shallow. Our own choice.
const SMALL_DB: f64 = 6.0;

impl Measure {
    const ALL: [Self; 7] = [
        Self::Matched,
        Self::TimingSpread,
        Self::Rate,
        Self::Evenness,
        Self::Depth,
        Self::Centre,
        Self::FromStraight,
    ];

    /// Its value in a week.
    fn of(self, figures: &Figures) -> Option<f64> {
        match self {
            Self::Matched => figures.matched,
            Self::TimingSpread => figures.timing_spread_ms,
            Self::Rate => figures.rate_off.map(f64::abs),
            Self::Evenness => figures.evenness_cv,
            Self::Depth => figures.depth_db_pp,
            Self::Centre => figures.pulsing.centre_cents.map(f64::abs),
            Self::FromStraight => figures.from_straight_cents.map(f64::abs),
        }
    }

    /// Which way is better.
    fn grows(self) -> bool {
        matches!(self, Self::Matched | Self::Depth)
    }

    /// The least change worth a sentence. Timing: one displaced tone is heard from 6 ms (Friberg & Sundberg 1995). Rate:
    /// tempo is told apart from 1.5 % at best (Drake & Botte 1993). Depth: about 0.9 dB peak to peak is heard. Pitch: 3
    /// cents, a musician's threshold (2 to 4, from memory). Share and evenness: our own choice.
    fn least(self) -> f64 {
        match self {
            Self::Matched => 0.1,
            Self::TimingSpread => 6.0,
            Self::Rate => 0.015,
            Self::Evenness => 0.02,
            Self::Depth => 1.0,
            Self::Centre | Self::FromStraight => 3.0,
        }
    }
}

/// Something that got better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Better {
    /// A higher rung was held than ever before.
    Rung { to: Rung, since: IsoWeek, before: Option<Rung> },
    /// The mean of a measure over the later weeks against that over the earlier ones.
    Measure { measure: Measure, before: f64, now: f64, n_weeks: i64 },
}

/// What got better in rehearsals. Rungs are looked for in `all` weeks; timing, rate and depth in those `alike`, of one
/// subdivision alone, since they change with it.
pub(crate) fn better(all: &[Week], alike: &[Week]) -> Vec<Better> {
    let mut measures: Vec<(f64, Better)> = Measure::ALL
        .into_iter()
        .filter_map(|measure| {
            let weeks = match measure {
                Measure::Matched | Measure::Centre | Measure::FromStraight => all,
                _ => alike,
            };
            change(measure, weeks)
        })
        .collect();
    measures.sort_by(|a, b| b.0.total_cmp(&a.0));
    rung(all).into_iter().chain(measures.into_iter().map(|(_, better)| better)).take(MOST).collect()
}

/// The highest rung, where it was first held not long ago.
fn rung(weeks: &[Week]) -> Option<Better> {
    let newest = weeks.iter().rev().find(|w| w.rehearsal.is_some())?.week;
    let to = weeks.iter().filter_map(Week::held).max()?;
    let since = weeks.iter().find(|w| w.held() == Some(to))?.week;
    let before = weeks.iter().filter(|w| w.week < since).filter_map(Week::held).max();
    (newest.since(since) < NEW_WEEKS).then_some(Better::Rung { to, since, before })
}

/// A measure that got better, with how many times its change is as large as it has to be.
fn change(measure: Measure, weeks: &[Week]) -> Option<(f64, Better)> {
    let newest = weeks.iter().rev().find(|w| w.rehearsal.is_some())?.week;
    let values: Vec<(IsoWeek, f64)> = weeks
        .iter()
        .filter(|w| newest.since(w.week) < LOOK_BACK_WEEKS)
        .filter_map(|w| Some((w.week, measure.of(w.rehearsal.as_ref()?)?)))
        .collect();
    let side = (values.len() / 2).min(SIDE);
    if side < 2 {
        return None;
    }
    // The newest weeks and as many just before them: in a long history the earliest ones say nothing of lately.
    let values = &values[values.len() - 2 * side..];
    let only = |part: &[(IsoWeek, f64)]| part.iter().map(|v| v.1).collect::<Vec<f64>>();
    let (before, now) = (only(&values[..side]), only(&values[side..]));
    let (mean_before, mean_now) = (mean(&before), mean(&now));
    let gain = if measure.grows() { mean_now - mean_before } else { mean_before - mean_now };
    let is_small = measure != Measure::Depth || mean_before < SMALL_DB;
    let certainty = t(&before, &now).abs() / T_99[side - 2];
    let n_weeks = values[values.len() - 1].0.since(values[0].0) + 1;
    let better = Better::Measure { measure, before: mean_before, now: mean_now, n_weeks };
    (gain >= measure.least() && is_small && certainty >= 1.0).then_some((certainty, better))
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Student's t of two groups that are taken to vary alike; infinite where they differ and nothing varies.
fn t(a: &[f64], b: &[f64]) -> f64 {
    let squares = |values: &[f64]| {
        let middle = mean(values);
        values.iter().map(|v| (v - middle).powi(2)).sum::<f64>()
    };
    let (n_a, n_b) = (a.len() as f64, b.len() as f64);
    let variance = (squares(a) + squares(b)) / (n_a + n_b - 2.0);
    let difference = mean(b) - mean(a);
    // Neither is worth a word: no difference, whatever its spread.
    if difference == 0.0 { 0.0 } else { difference / (variance * (1.0 / n_a + 1.0 / n_b)).sqrt() }
}

#[cfg(test)]
#[path = "better_tests.rs"]
mod tests;
