//! What several stretches come to together. Times are sums; the share matched is a share of judged time, so the stretches
//! weigh by that; all measures are medians that weigh by judged time, since two minutes tell more than ten seconds and a
//! single wild stretch must not move a week. Pure arithmetic.

use super::played::{Asked, Played};
use super::rung::Rung;

/// A pitch, while pulsing or while straight, cents from the note.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Pitch {
    pub(crate) centre_cents: Option<f64>,
    /// The end of a stretch minus its beginning.
    pub(crate) drift_cents: Option<f64>,
}

/// What some stretches come to.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Figures {
    /// How long was to be played.
    pub(crate) asked_s: f64,
    /// How much of that was heard well enough to be judged.
    pub(crate) judged_s: f64,
    /// Share of the judged time, 0 to 1.
    pub(crate) matched: Option<f64>,
    /// The highest rung held.
    pub(crate) held: Option<Rung>,
    /// The highest rung tried, held or not.
    pub(crate) tried: Option<Rung>,
    /// By what share pulses were faster than asked; negative where slower.
    pub(crate) rate_off: Option<f64>,
    /// Coefficient of variation of the intervals between pulses.
    pub(crate) evenness_cv: Option<f64>,
    /// Pulse minus tick; negative is early. Only of calibrated devices.
    pub(crate) timing_ms: Option<f64>,
    /// Standard deviation of pulse minus tick, the constant offset left out.
    pub(crate) timing_spread_ms: Option<f64>,
    pub(crate) depth_db_pp: Option<f64>,
    pub(crate) swing_cents_pp: Option<f64>,
    pub(crate) pulsing: Pitch,
    pub(crate) straight: Pitch,
    /// Pitch while pulsing minus that of the player's own straight tone before.
    pub(crate) from_straight_cents: Option<f64>,
}

impl Figures {
    /// Of these stretches.
    pub(crate) fn of(stretches: &[&Played]) -> Self {
        let sum = |value: fn(&Played) -> f64| stretches.iter().map(|p| value(p)).sum::<f64>();
        let middle = |counts: fn(&Played) -> bool, value: fn(&Played) -> Option<f64>| {
            let counted = stretches.iter().filter(|p| counts(p));
            weighted_median(counted.filter_map(|p| Some((value(p)?, p.judged_s))).collect())
        };
        let in_measure = |p: &Played| p.is_steady && p.per_beat().is_some();
        let pulsing = |p: &Played| p.asked != Asked::Straight;
        let straight = |p: &Played| p.asked == Asked::Straight;
        let matched: Vec<(f64, f64)> =
            stretches.iter().filter_map(|p| Some((p.matched?, p.judged_s))).collect();
        Self {
            asked_s: sum(|p| p.asked_s),
            judged_s: sum(|p| p.judged_s),
            matched: weighted_mean(&matched),
            held: stretches.iter().filter_map(|p| p.rung_held()).max(),
            tried: stretches.iter().filter_map(|p| p.rung()).max(),
            rate_off: middle(in_measure, Played::rate_off),
            evenness_cv: middle(in_measure, |p| p.evenness_cv),
            timing_ms: middle(in_measure, |p| p.timing_ms),
            timing_spread_ms: middle(in_measure, |p| p.timing_spread_ms),
            depth_db_pp: middle(pulsing, |p| p.depth_db_pp),
            swing_cents_pp: middle(pulsing, |p| p.swing_cents_pp),
            pulsing: Pitch {
                centre_cents: middle(pulsing, |p| p.centre_cents),
                drift_cents: middle(pulsing, |p| p.drift_cents),
            },
            straight: Pitch {
                centre_cents: middle(straight, |p| p.centre_cents),
                drift_cents: middle(straight, |p| p.drift_cents),
            },
            from_straight_cents: middle(pulsing, |p| p.from_straight_cents),
        }
    }
}

/// The least value up to which at least half of all weight lies (the inverse of the weighted distribution at a half);
/// values without weight count for nothing.
pub(crate) fn weighted_median(mut values: Vec<(f64, f64)>) -> Option<f64> {
    values.retain(|(value, weight)| value.is_finite() && *weight > 0.0);
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let half = values.iter().map(|(_, weight)| weight).sum::<f64>() / 2.0;
    let mut so_far = 0.0;
    values
        .iter()
        .find(|(_, weight)| {
            so_far += weight;
            so_far >= half
        })
        .map(|(value, _)| *value)
}

fn weighted_mean(values: &[(f64, f64)]) -> Option<f64> {
    let weight: f64 = values.iter().map(|(_, weight)| weight).sum();
    (weight > 0.0).then(|| values.iter().map(|(value, weight)| value * weight).sum::<f64>() / weight)
}

#[cfg(test)]
#[path = "figures_tests.rs"]
mod tests;
