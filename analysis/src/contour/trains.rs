//! The pulses of a tone as trains without a pause. A missed pulse is no pause; where the tone went straight for a while,
//! there is one. Knows the times of pulses alone.

use super::pieces::median;
use crate::reading::Pulse;

/// An interval longer than this many of those around it may be a pause. Between the slowest plausible hesitation and a
/// whole pulse left out (2), our own choice.
const PAUSE_INTERVALS: f64 = 1.8;
/// A pause leaves at least this much time without pulses: a shorter one is a missed pulse, seconds.
pub(super) const SHORTEST_STRAIGHT_S: f64 = 0.4;
/// Longer than this it is a pause whatever lies around it, seconds: slower pulses are not looked for.
const LONGEST_INTERVAL_S: f64 = 2.0;
/// Intervals on each side that an interval is held against.
const NEIGHBOURS: usize = 3;
/// Fewest pulses that make a train.
const FEWEST: usize = 2;

/// A train: pulses `from` to before `to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Train {
    pub(super) from: usize,
    pub(super) to: usize,
}

/// Cuts pulses into trains; single pulses belong to none.
pub(super) fn trains(pulses: &[Pulse], out: &mut Vec<Train>) {
    out.clear();
    let mut from = 0;
    for i in 1..=pulses.len() {
        if i < pulses.len() && !is_pause(pulses, from, i) {
            continue;
        }
        if i - from >= FEWEST {
            out.push(Train { from, to: i });
        }
        from = i;
    }
}

/// Whether there is a pause before pulse `i` of the train that begins with pulse `from`.
fn is_pause(pulses: &[Pulse], from: usize, i: usize) -> bool {
    let interval_s = pulses[i].time_s - pulses[i - 1].time_s;
    if interval_s > LONGEST_INTERVAL_S {
        return true;
    }
    let before = typical_interval_s(&pulses[from.max((i - 1).saturating_sub(NEIGHBOURS))..i]);
    let after = typical_interval_s(&pulses[i..(i + 1 + NEIGHBOURS).min(pulses.len())]);
    // The one before it, which was no pause, may be the first of a slower rate.
    let last = (i - 1 > from).then(|| pulses[i - 1].time_s - pulses[i - 2].time_s);
    let Some(longest) = before.into_iter().chain(last).chain(after).reduce(f64::max) else { return false };
    let (before, after) = (before.unwrap_or(longest), after.unwrap_or(longest));
    interval_s > PAUSE_INTERVALS * longest && interval_s - (before + after) / 2.0 > SHORTEST_STRAIGHT_S
}

/// Median interval of a few pulses; `None` under two.
pub(super) fn typical_interval_s(pulses: &[Pulse]) -> Option<f64> {
    let mut intervals = [0.0; NEIGHBOURS];
    let n = pulses.len().saturating_sub(1).min(NEIGHBOURS);
    for (slot, pair) in intervals.iter_mut().zip(pulses.windows(2)) {
        *slot = pair[1].time_s - pair[0].time_s;
    }
    median(&mut intervals[..n])
}

impl Train {
    /// Pulses of the train.
    pub(super) fn of<'a>(&self, pulses: &'a [Pulse]) -> &'a [Pulse] {
        &pulses[self.from..self.to]
    }

    /// Intervals at its beginning and at its end, seconds.
    pub(super) fn end_intervals_s(&self, pulses: &[Pulse]) -> (f64, f64) {
        let own = self.of(pulses);
        let last = &own[own.len().saturating_sub(NEIGHBOURS + 1)..];
        (typical_interval_s(own).unwrap_or(0.0), typical_interval_s(last).unwrap_or(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(times_s: &[f64], expected: &[(usize, usize)]) {
        let pulse = |&time_s: &f64| Pulse {
            time_s,
            depth_db: 6.0,
            swing_cents: 0.0,
            mean_midi: None,
            top_midi: None,
            valley_db: -6.0,
            choked: false,
        };
        let pulses: Vec<Pulse> = times_s.iter().map(pulse).collect();
        let mut found = Vec::new();
        trains(&pulses, &mut found);
        let found: Vec<(usize, usize)> = found.iter().map(|t| (t.from, t.to)).collect();
        assert_eq!(found, expected, "{times_s:?}");
    }

    #[test]
    fn a_straight_stretch_separates_trains_and_a_missed_pulse_does_not() {
        check(&[0.0, 0.2, 0.4, 0.6, 1.6, 1.8, 2.0], &[(0, 4), (4, 7)]);
        check(&[0.0, 0.2, 0.4, 0.8, 1.0, 1.2], &[(0, 6)]);
        // Quarters, then eighths, then triplets: the longer interval is not a pause.
        check(&[0.0, 1.0, 2.0, 3.0, 3.5, 4.0, 4.333, 4.667], &[(0, 8)]);
        check(&[0.0, 0.333, 0.667, 1.0, 2.0, 3.0], &[(0, 6)]);
    }

    #[test]
    fn single_pulses_are_no_train() {
        check(&[], &[]);
        check(&[1.0], &[]);
        check(&[1.0, 2.0], &[(0, 2)]);
        check(&[1.0, 3.5], &[]);
        check(&[0.0, 0.2, 0.4, 2.0], &[(0, 3)]);
    }
}
