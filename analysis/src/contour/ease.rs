//! How long a size took from one value to another: the time from 10 % to 90 % of the way, as a transition is measured
//! between two levels (IEEE 181). Knows fitted pieces and single pulses.

use super::pieces::Piece;
use crate::reading::Pulse;

/// Shares of the way between which the time counts.
const FROM: f64 = 0.1;
const TO: f64 = 0.9;

/// Time from 10 % to 90 % of the way between two values along the pieces of a part; `points` are those the pieces were
/// fitted to. `None` where the pieces do not go that way.
pub(super) fn time_of(pieces: &[Piece], points: &[(f64, f64)], from: f64, to: f64) -> Option<f64> {
    let way = to - from;
    let cross = |share: f64| {
        let value = from + share * way;
        let reaches = |p: &&Piece| (p.at(points[p.to - 1].0) - value) * way.signum() >= 0.0;
        // Beyond its ends the part goes on as it began and ended: its smallest pulses are too small to be found.
        let piece = pieces.iter().find(reaches).or(pieces.last())?;
        let t = points[piece.from].0 + (value - piece.at(points[piece.from].0)) / piece.slope;
        t.is_finite().then_some(t)
    };
    Some(cross(TO)? - cross(FROM)?).filter(|s| *s > 0.0)
}

/// The same where a train begins after a straight tone at its full size or soon after, from the rise to and the fall from
/// each peak: a quarter of an interval before and after it. `interval_s` is that of the first pulses, `full` the size
/// they come to. A swing is the same on both sides. `None` where they do not come to it.
pub(super) fn onset_s(pulses: &[Pulse], by: Size, full: f64, interval_s: f64) -> Option<f64> {
    let first_s = pulses.first()?.time_s;
    let points = pulses.iter().flat_map(|p| halves(p, by, interval_s));
    crossing_time(first_s - interval_s / 2.0, points, full)
}

/// The same where it ends before a straight tone.
pub(super) fn offset_s(pulses: &[Pulse], by: Size, full: f64, interval_s: f64) -> Option<f64> {
    let last_s = pulses.last()?.time_s;
    // Backwards in time, so that the size grows.
    let backwards = pulses.iter().rev().flat_map(|p| {
        let [before, after] = halves(p, by, interval_s);
        [(-after.0, after.1), (-before.0, before.1)]
    });
    crossing_time(-last_s - interval_s / 2.0, backwards, full)
}

/// What the size of a pulse is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Size {
    /// The air leads: depth.
    Depth,
    /// The pitch leads: swing.
    Swing,
}

impl Size {
    pub(super) fn of(self, pulse: &Pulse) -> f64 {
        match self {
            Size::Depth => pulse.depth_db,
            Size::Swing => pulse.swing_cents,
        }
    }
}

/// Size before and after a pulse's peak.
fn halves(pulse: &Pulse, by: Size, interval_s: f64) -> [(f64, f64); 2] {
    let size = by.of(pulse);
    let (before, after) = match by {
        // The depth is the mean of both sides, or the smaller where they differ by much.
        Size::Depth if pulse.valley_db < 0.0 && -pulse.valley_db < 2.0 * size => {
            (-pulse.valley_db, 2.0 * size + pulse.valley_db)
        }
        _ => (size, size),
    };
    [(pulse.time_s - interval_s / 4.0, before), (pulse.time_s + interval_s / 4.0, after)]
}

/// Time between the crossings of 10 % and 90 % of `full`, from nothing at `zero_s` on along the points.
fn crossing_time(zero_s: f64, points: impl Iterator<Item = (f64, f64)>, full: f64) -> Option<f64> {
    let mut last = (zero_s, 0.0);
    let mut from_s = None;
    for point in points {
        let cross = |value: f64| last.0 + (point.0 - last.0) * (value - last.1) / (point.1 - last.1);
        if from_s.is_none() && point.1 >= FROM * full {
            from_s = Some(cross(FROM * full));
        }
        if point.1 >= TO * full {
            return Some(cross(TO * full) - from_s?);
        }
        last = point;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulse(time_s: f64, depth_db: f64, valley_db: f64) -> Pulse {
        Pulse {
            time_s,
            depth_db,
            swing_cents: 10.0 * depth_db,
            mean_midi: None,
            top_midi: None,
            valley_db,
            choked: false,
        }
    }

    #[test]
    fn a_switch_from_half_way_by_hand() {
        // Intervals of 0.4 s from a peak at 1 s. The straight tone lies half-way down, so the first pulse rises by 3 dB
        // and falls by 6: nothing at 0.8 s, 3 dB at 0.9, 6 dB at 1.1. 10 % at 0.82, 90 % (5.4 dB) at 1.06.
        let pulses = [pulse(1.0, 4.5, -3.0), pulse(1.4, 6.0, -6.0), pulse(1.8, 6.0, -6.0)];
        let time_s = onset_s(&pulses, Size::Depth, 6.0, 0.4).unwrap();
        assert!((time_s - 0.24).abs() < 1e-9, "{time_s}");
        // By swing: nothing at 0.8, 45 at 0.9 and at 1.1, 60 at 1.3. 10 % at 0.8133, 90 % (54) at 1.22.
        let time_s = onset_s(&pulses, Size::Swing, 60.0, 0.4).unwrap();
        assert!((time_s - (1.22 - 0.813_333_333)).abs() < 1e-6, "{time_s}");
        assert_eq!(onset_s(&pulses, Size::Depth, 20.0, 0.4), None, "never comes to it");
    }

    #[test]
    fn the_end_is_the_beginning_backwards() {
        let forwards = [pulse(1.0, 4.5, -3.0), pulse(1.4, 6.0, -6.0), pulse(1.8, 6.0, -6.0)];
        // The last pulse rises by 6 dB and falls by 3.
        let backwards = [pulse(1.0, 6.0, -6.0), pulse(1.4, 6.0, -6.0), pulse(1.8, 4.5, -6.0)];
        let on_s = onset_s(&forwards, Size::Depth, 6.0, 0.4).unwrap();
        let off_s = offset_s(&backwards, Size::Depth, 6.0, 0.4).unwrap();
        assert!((on_s - off_s).abs() < 1e-9, "{on_s} {off_s}");
    }
}
