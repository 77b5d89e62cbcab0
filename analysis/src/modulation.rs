//! The last seconds of one tone as two clean tracks, level in dB and pitch in cents, freed of what the window
//! flattened. Knows frames, not samples; what the tracks mean is for `rhythm` and `pulses` to say.

use crate::unflatten::Unflatten;

/// Frames a modulation can hold: four seconds and a margin at the highest frame rate.
pub(crate) const CAPACITY: usize = 1024;

/// Level under the loudest frame at which the dB track stops falling. Below, the tone has broken, and how far is noise.
const FLOOR_DB: f64 = -45.0;

/// One frame of a tone as kept: level, and pitch where it can be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ToneFrame {
    /// RMS level, linear.
    pub(crate) level: f64,
    /// MIDI note number with fraction; `None` while the tone is broken.
    pub(crate) midi: Option<f64>,
}

/// Two tracks over the same frames.
pub(crate) struct Modulation {
    n: usize,
    first_frame: u64,
    base_midi: f64,
    level_db: Vec<f64>,
    cents: Vec<f64>,
    voiced: Vec<bool>,
    raw: Vec<f64>,
    clean: Vec<f64>,
}

impl Modulation {
    pub(crate) fn new() -> Self {
        let track = || vec![0.0; CAPACITY];
        Self {
            n: 0,
            first_frame: 0,
            base_midi: 0.0,
            level_db: track(),
            cents: track(),
            voiced: vec![false; CAPACITY],
            raw: track(),
            clean: track(),
        }
    }

    /// Fills the tracks from frames (at most [`CAPACITY`], else the last ones).
    pub(crate) fn fill(
        &mut self,
        frames: &[ToneFrame],
        first_frame: u64,
        level: &Unflatten,
        pitch: &Unflatten,
    ) {
        let skip = frames.len().saturating_sub(CAPACITY);
        let frames = &frames[skip..];
        self.n = frames.len();
        self.first_frame = first_frame + skip as u64;
        if frames.is_empty() {
            return;
        }
        let n = self.n;
        for (slot, frame) in self.raw.iter_mut().zip(frames) {
            *slot = frame.level;
        }
        level.apply(&self.raw[..n], &mut self.clean);
        let loudest = self.clean[..n].iter().copied().fold(1e-9, f64::max);
        let floor = loudest * 10f64.powf(FLOOR_DB / 20.0);
        for (slot, &level) in self.level_db.iter_mut().zip(&self.clean[..n]) {
            *slot = 20.0 * level.max(floor).log10();
        }
        self.bridge_pitch(frames);
        pitch.apply(&self.raw[..n], &mut self.cents);
    }

    /// Pitch in cents from the mean, gaps bridged by straight lines; remembers where there was a pitch.
    fn bridge_pitch(&mut self, frames: &[ToneFrame]) {
        let (sum, count) =
            frames.iter().filter_map(|f| f.midi).fold((0.0, 0usize), |(s, c), m| (s + m, c + 1));
        self.base_midi = if count > 0 { sum / count as f64 } else { 0.0 };
        let mut last: Option<(usize, f64)> = None;
        for (i, frame) in frames.iter().enumerate() {
            self.voiced[i] = frame.midi.is_some();
            let Some(midi) = frame.midi else { continue };
            let cents = 100.0 * (midi - self.base_midi);
            let (from, start) = last.map_or((0, cents), |(j, c)| (j + 1, c));
            let steps = (i + 1 - from) as f64;
            for (k, slot) in self.raw[from..=i].iter_mut().enumerate() {
                *slot = start + (cents - start) * (k + 1) as f64 / steps;
            }
            last = Some((i, cents));
        }
        let (from, value) = last.map_or((0, 0.0), |(j, c)| (j + 1, c));
        self.raw[from..frames.len()].fill(value);
    }

    pub(crate) fn len(&self) -> usize {
        self.n
    }

    /// Number of the first frame.
    pub(crate) fn first_frame(&self) -> u64 {
        self.first_frame
    }

    /// Pitch that `cents` counts from, as MIDI note number.
    pub(crate) fn base_midi(&self) -> f64 {
        self.base_midi
    }

    pub(crate) fn level_db(&self) -> &[f64] {
        &self.level_db[..self.n]
    }

    pub(crate) fn cents(&self) -> &[f64] {
        &self.cents[..self.n]
    }

    pub(crate) fn voiced(&self) -> &[bool] {
        &self.voiced[..self.n]
    }

    /// How much level (dB) and pitch (cents) waver over the newest `n` frames: standard deviations about their trends.
    pub(crate) fn waver(&self, n: usize) -> (f64, f64) {
        let start = self.n - n.min(self.n);
        (deviation(&self.level_db()[start..]), deviation(&self.cents()[start..]))
    }

    /// [`Modulation::mean_cents`] as a pitch: MIDI note number with fraction.
    pub(crate) fn mean_midi(&self, from: f64, to: f64) -> Option<f64> {
        self.mean_cents(from, to).map(|cents| self.base_midi + cents / 100.0)
    }

    /// Mean of the cents over frames `from..to` (fractions of frames count) where the tone sounded; `None` where it
    /// sounded for less than half of them.
    pub(crate) fn mean_cents(&self, from: f64, to: f64) -> Option<f64> {
        let (from, to) = (from.max(0.0), to.min(self.n as f64 - 1.0));
        let (mut sum, mut weight) = (0.0, 0.0);
        let first = from.floor() as usize;
        for i in first..=(to.ceil() as usize).min(self.n.saturating_sub(1)) {
            // Trapezoid rule with a fractional first and last cell: each frame stands for half a frame to each side.
            let cell = ((i as f64 + 0.5).min(to) - (i as f64 - 0.5).max(from)).max(0.0);
            if self.voiced[i] {
                sum += cell * self.cents[i];
                weight += cell;
            }
        }
        (weight > 0.0 && weight >= 0.5 * (to - from)).then(|| sum / weight)
    }
}

/// Standard deviation about the straight line through the values.
fn deviation(x: &[f64]) -> f64 {
    let n = x.len() as f64;
    if n < 3.0 {
        return f64::INFINITY;
    }
    let mean = x.iter().sum::<f64>() / n;
    let middle = (n - 1.0) / 2.0;
    let slope_top: f64 = x.iter().enumerate().map(|(i, v)| (i as f64 - middle) * (v - mean)).sum();
    let slope = slope_top / (n * (n * n - 1.0) / 12.0);
    let squares: f64 =
        x.iter().enumerate().map(|(i, v)| (v - mean - slope * (i as f64 - middle)).powi(2)).sum();
    (squares / n).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_over_whole_cycles_does_not_see_the_swing() {
        let mut modulation = Modulation::new();
        let frames: Vec<ToneFrame> = (0..300)
            .map(|i| ToneFrame {
                level: 0.1,
                midi: Some(60.0 + 0.2 * (f64::from(i) * std::f64::consts::TAU / 43.7).sin()),
            })
            .collect();
        let filter = Unflatten::for_level(0.005, 0.04);
        modulation.fill(&frames, 0, &filter, &filter);
        let mean = modulation.mean_cents(60.3, 60.3 + 3.0 * 43.7).unwrap();
        let midi = modulation.base_midi() + mean / 100.0;
        assert!((midi - 60.0).abs() < 0.001, "{midi}");
    }

    #[test]
    fn a_broken_tone_has_no_mean_where_it_is_silent() {
        let mut modulation = Modulation::new();
        let frames: Vec<ToneFrame> =
            (0..100).map(|i| ToneFrame { level: 0.1, midi: (i < 40).then_some(60.0) }).collect();
        let filter = Unflatten::for_level(0.005, 0.04);
        modulation.fill(&frames, 0, &filter, &filter);
        assert!(modulation.mean_cents(50.0, 90.0).is_none());
        assert!(modulation.mean_cents(0.0, 39.0).is_some());
    }
}
