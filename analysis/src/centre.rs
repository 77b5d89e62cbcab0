//! Where the pitch centre goes: its slope, and the player's own straight reference. Times in seconds, pitch as MIDI
//! note number with fraction.

use crate::reading::Hearing;

/// Centres kept, at twenty a second: eight seconds.
const CAPACITY: usize = 160;
/// Shortest stretch a slope is told from.
const SLOPE_MIN_S: f64 = 2.0;
/// How far apart two centres may be and still belong to one note, in semitones.
const SAME_NOTE: f64 = 0.7;
/// Shortest straight tone that makes a reference.
const REFERENCE_MIN_S: f64 = 0.8;

/// Follows the centre of one tone.
pub(crate) struct CentreTrack {
    points: Vec<(f64, f64)>,
    hearing: Hearing,
    straight_reference_midi: Option<f64>,
}

impl CentreTrack {
    pub(crate) fn new() -> Self {
        Self {
            points: Vec::with_capacity(CAPACITY),
            hearing: Hearing::Silence,
            straight_reference_midi: None,
        }
    }

    /// A new tone begins; the straight reference stays, since it is kept for the note.
    pub(crate) fn new_tone(&mut self) {
        self.points.clear();
    }

    /// Takes the centre at a time. A tone that becomes pulsed or straight begins a new slope: a vibrato that stops at its
    /// top has not drifted there.
    pub(crate) fn push(&mut self, time_s: f64, midi: f64, hearing: Hearing) {
        if self.hearing != hearing {
            self.points.clear();
            self.hearing = hearing;
        }
        if self.points.len() == CAPACITY {
            self.points.remove(0);
        }
        self.points.push((time_s, midi));
    }

    /// Takes the centre of a straight tone that has lasted this long.
    pub(crate) fn push_straight(&mut self, midi: f64, lasted_s: f64) {
        if lasted_s >= REFERENCE_MIN_S {
            self.straight_reference_midi = Some(midi);
        }
    }

    /// The reference, if the last straight tone was on the same note as this centre.
    pub(crate) fn straight_reference_midi(&self, centre_midi: f64) -> Option<f64> {
        self.straight_reference_midi.filter(|r| (r - centre_midi).abs() < SAME_NOTE)
    }

    /// Least-squares slope, cents in ten seconds.
    pub(crate) fn drift_cents_per_10s(&self) -> Option<f64> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        if last.0 - first.0 < SLOPE_MIN_S {
            return None;
        }
        let n = self.points.len() as f64;
        let mean_t = self.points.iter().map(|p| p.0).sum::<f64>() / n;
        let mean_m = self.points.iter().map(|p| p.1).sum::<f64>() / n;
        let (top, bottom) = self.points.iter().fold((0.0, 0.0), |(top, bottom), p| {
            (top + (p.0 - mean_t) * (p.1 - mean_m), bottom + (p.0 - mean_t).powi(2))
        });
        Some(1000.0 * top / bottom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slope_in_cents_over_ten_seconds() {
        let mut centre = CentreTrack::new();
        for i in 0..100 {
            let t = f64::from(i) * 0.05;
            centre.push(t, 60.0 + 0.02 * t, Hearing::Pulsed);
        }
        // 2 cents a second.
        assert!((centre.drift_cents_per_10s().unwrap() - 20.0).abs() < 1e-6);
    }

    #[test]
    fn a_vibrato_that_stops_at_its_top_has_not_drifted() {
        let mut centre = CentreTrack::new();
        for i in 0..160 {
            let t = f64::from(i) * 0.05;
            let (midi, hearing) = if t < 4.0 { (60.0, Hearing::Pulsed) } else { (60.06, Hearing::Straight) };
            centre.push(t, midi, hearing);
        }
        assert!(centre.drift_cents_per_10s().unwrap().abs() < 1e-6);
    }

    #[test]
    fn the_reference_belongs_to_its_note() {
        let mut centre = CentreTrack::new();
        centre.push_straight(60.02, 1.0);
        assert_eq!(centre.straight_reference_midi(60.2), Some(60.02));
        assert_eq!(centre.straight_reference_midi(62.0), None);
        centre.push_straight(62.0, 0.3);
        assert_eq!(centre.straight_reference_midi(60.2), Some(60.02), "too short to replace it");
    }
}
