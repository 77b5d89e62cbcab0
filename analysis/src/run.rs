//! The pulses of one tone that have become certain, and what they come to: rate, evenness, medians. Times in seconds;
//! knows no frames.

use crate::reading::Pulse;

/// Pulses looked back on for the measures of "now".
const RECENT: usize = 9;
/// Pulses that make the upper envelope, as many as make the centre.
const UPPER: usize = 4;
/// Pulses kept.
const CAPACITY: usize = 16;
/// An interval longer than this many periods is a pause, not a slow pulse.
const PAUSE_PERIODS: f64 = 1.7;

/// A train of pulses without a pause.
pub(crate) struct PulseRun {
    pulses: Vec<Pulse>,
    sorted: Vec<f64>,
}

impl PulseRun {
    pub(crate) fn new() -> Self {
        Self { pulses: Vec::with_capacity(CAPACITY), sorted: Vec::with_capacity(CAPACITY) }
    }

    /// Forgets the train.
    pub(crate) fn clear(&mut self) {
        self.pulses.clear();
    }

    /// Adds a pulse; one after a pause starts a new train.
    pub(crate) fn push(&mut self, pulse: Pulse, period_s: f64) {
        if self.last_time_s().is_some_and(|t| pulse.time_s - t > PAUSE_PERIODS * period_s) {
            self.pulses.clear();
        }
        if self.pulses.len() == CAPACITY {
            self.pulses.remove(0);
        }
        self.pulses.push(pulse);
    }

    /// Time of the last pulse.
    pub(crate) fn last_time_s(&self) -> Option<f64> {
        self.pulses.last().map(|p| p.time_s)
    }

    fn recent(&self) -> &[Pulse] {
        &self.pulses[self.pulses.len().saturating_sub(RECENT)..]
    }

    /// Pulses that the measures rest on.
    pub(crate) fn len(&self) -> usize {
        self.recent().len()
    }

    /// First and last time of the pulses that the measures rest on.
    pub(crate) fn ends_s(&self) -> Option<(f64, f64)> {
        let recent = self.recent();
        (recent.len() >= 2).then(|| (recent[0].time_s, recent[recent.len() - 1].time_s))
    }

    /// Intervals counted over the time they took; `None` under three pulses.
    pub(crate) fn rate_hz(&self) -> Option<f64> {
        let (first, last) = self.ends_s().filter(|_| self.len() >= 3)?;
        Some((self.len() - 1) as f64 / (last - first))
    }

    /// Coefficient of variation of the intervals; `None` under four pulses.
    pub(crate) fn evenness_cv(&self) -> Option<f64> {
        let recent = self.recent();
        if recent.len() < 4 {
            return None;
        }
        let n = (recent.len() - 1) as f64;
        let mean = (recent[recent.len() - 1].time_s - recent[0].time_s) / n;
        let variance =
            recent.windows(2).map(|w| (w[1].time_s - w[0].time_s - mean).powi(2)).sum::<f64>() / (n - 1.0);
        Some(variance.sqrt() / mean)
    }

    /// Median depth, dB.
    pub(crate) fn depth_db(&mut self) -> Option<f64> {
        self.median(|p| p.depth_db)
    }

    /// Median swing, cents.
    pub(crate) fn swing_cents(&mut self) -> Option<f64> {
        self.median(|p| p.swing_cents)
    }

    /// Mean of the highest pitch of each of the last pulses that have one, MIDI note number with fraction.
    pub(crate) fn upper_midi(&self) -> Option<f64> {
        let last = &self.pulses[self.pulses.len().saturating_sub(UPPER)..];
        let (sum, n) = last.iter().filter_map(|p| p.top_midi).fold((0.0, 0.0), |(s, n), m| (s + m, n + 1.0));
        (n > 0.0).then(|| sum / n)
    }

    /// Share of the valleys between the pulses in which the tone broke; `None` without a valley.
    pub(crate) fn choked_share(&self) -> Option<f64> {
        let valleys = self.recent().get(1..).filter(|v| !v.is_empty())?;
        Some(valleys.iter().filter(|p| p.choked).count() as f64 / valleys.len() as f64)
    }

    fn median(&mut self, of: impl Fn(&Pulse) -> f64) -> Option<f64> {
        let first = self.pulses.len().saturating_sub(RECENT);
        self.sorted.clear();
        self.sorted.extend(self.pulses[first..].iter().map(of));
        self.sorted.sort_unstable_by(f64::total_cmp);
        let n = self.sorted.len();
        match n {
            0 => None,
            _ if n % 2 == 1 => Some(self.sorted[n / 2]),
            _ => Some((self.sorted[n / 2 - 1] + self.sorted[n / 2]) / 2.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulse(time_s: f64) -> Pulse {
        Pulse {
            time_s,
            depth_db: time_s,
            swing_cents: 0.0,
            mean_midi: None,
            top_midi: Some(60.0 + time_s),
            valley_db: -6.0,
            choked: time_s > 1.0,
        }
    }

    #[test]
    fn rate_evenness_and_shares_by_hand() {
        let mut run = PulseRun::new();
        // Intervals 0.2, 0.3, 0.2, 0.3: mean 0.25, sample standard deviation sqrt(4 * 0.05^2 / 3).
        for t in [0.4, 0.6, 0.9, 1.1, 1.4] {
            run.push(pulse(t), 0.25);
        }
        assert!((run.rate_hz().unwrap() - 4.0).abs() < 1e-9);
        assert!((run.evenness_cv().unwrap() - 0.1 / 3f64.sqrt() / 0.25).abs() < 1e-9);
        assert_eq!(run.depth_db(), Some(0.9));
        assert_eq!(run.choked_share(), Some(0.5));
        // The last four begin at 0.6 s.
        assert!((run.upper_midi().unwrap() - 61.0).abs() < 1e-9);
    }

    #[test]
    fn a_pause_starts_a_new_train() {
        let mut run = PulseRun::new();
        for t in [0.0, 0.25, 0.5, 1.5] {
            run.push(pulse(t), 0.25);
        }
        assert_eq!((run.len(), run.rate_hz()), (1, None));
        run.clear();
        assert_eq!(run.upper_midi(), None);
    }
}
