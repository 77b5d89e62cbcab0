//! Coarse pitch: the period at which the sound is most like itself. Good to a few cents and robust against weak
//! fundamentals; the harmonics' demodulation makes it exact. Knows one window of samples and nothing of notes.
//!
//! The measure is the normalised cross-correlation of the window with itself at each lag, peaks picked between zero
//! crossings as in McLeod & Wyvill, "A smarter way to find pitch" (ICMC 2005). Unlike their NSDF the normalisation is
//! by the geometric mean of the two energies, so that a tone whose level rises or falls keeps a correlation of one:
//! deep vibrato on a low note would otherwise favour short lags and read an octave too high.

use crate::framing::sinc;
use crate::transform::RealTransform;
use rustfft::num_complex::Complex32;

/// Lowest pitch searched: a quarter tone under the contrabassoon's B flat (29.14 Hz).
const LOWEST_HZ: f64 = 28.0;
/// Highest pitch searched: a quarter tone above the piccolo's C (4186 Hz).
const HIGHEST_HZ: f64 = 4320.0;
/// Length of the window: nearly two and a half periods of the lowest pitch.
const WINDOW_S: f64 = 0.085;
/// Share of the sample rate up to which the spectrum counts.
const KEPT_BAND: f64 = 0.46;
/// Sound with less than this share of its energy in that band has its tone above it.
const IN_BAND_MIN: f64 = 0.05;
/// Most peaks considered.
const MAX_PEAKS: usize = 64;

/// What the finder found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Found {
    pub(crate) f0_hz: f64,
    /// Correlation at the period: 1 for a clean tone, about s/(s+n) in noise.
    pub(crate) clarity: f64,
    /// Correlation at the period of the pitch asked about; 0 where there was no peak.
    pub(crate) clarity_at_likely: f64,
}

/// Finds the period of a window of samples.
pub(crate) struct PitchFinder {
    rate_hz: f64,
    window: usize,
    max_lag: usize,
    transform: RealTransform,
    time: Vec<f32>,
    spectrum: Vec<Complex32>,
    energy: Vec<f64>,
    correlation: Vec<f32>,
}

impl PitchFinder {
    pub(crate) fn new(rate_hz: f64) -> Self {
        let window = (WINDOW_S * rate_hz).round() as usize;
        let max_lag = (rate_hz / LOWEST_HZ).ceil() as usize + 1;
        let size = (window + max_lag).next_power_of_two();
        Self {
            rate_hz,
            window,
            max_lag,
            transform: RealTransform::new(size),
            time: vec![0.0; size],
            spectrum: vec![Complex32::default(); size / 2 + 1],
            energy: vec![0.0; window + 1],
            correlation: vec![0.0; max_lag + 1],
        }
    }

    /// Samples it looks at.
    pub(crate) fn window(&self) -> usize {
        self.window
    }

    /// The pitch of `samples` (exactly [`PitchFinder::window`] of them), if there is one. `likely_hz` is a pitch to
    /// look at besides, whether or not it is the one found.
    pub(crate) fn find(&mut self, samples: &[f32], likely_hz: Option<f64>) -> Option<Found> {
        if !self.correlate(samples) {
            return None;
        }
        let mut peaks = [(0f64, 0f32); MAX_PEAKS];
        let n = self.peaks(&mut peaks);
        let peaks = &peaks[..n];
        let best = peaks.iter().map(|p| p.1).fold(0f32, f32::max);
        if best < 0.4 {
            return None;
        }
        // A tone's correlation is as high at every multiple of its period: the shortest lag of the best is the period.
        // A strong overtone comes close too, noise scatters all of them; the margin lies between.
        let margin = 0.012 + 0.35 * (1.0 - best);
        let (lag, height) = peaks.iter().find(|p| p.1 >= best - margin).copied()?;
        let near =
            |lag: f64| likely_hz.is_some_and(|hz| (1200.0 * (self.rate_hz / lag / hz).log2()).abs() < 80.0);
        let at_likely = peaks.iter().filter(|p| near(p.0)).map(|p| p.1).fold(0f32, f32::max);
        let clarity = |height: f32| f64::from(height.clamp(0.0, 1.0));
        Some(Found {
            f0_hz: self.rate_hz / lag,
            clarity: clarity(height),
            clarity_at_likely: clarity(at_likely),
        })
    }

    /// Fills `correlation` with the normalised correlation for lags 0 to `max_lag`; false where the band holds nothing.
    fn correlate(&mut self, samples: &[f32]) -> bool {
        let mean = samples.iter().sum::<f32>() / samples.len() as f32;
        for (slot, &sample) in self.time.iter_mut().zip(samples) {
            *slot = sample - mean;
        }
        self.time[samples.len()..].fill(0.0);
        for i in 0..samples.len() {
            self.energy[i + 1] = self.energy[i] + f64::from(self.time[i] * self.time[i]);
        }
        self.transform.forward(&mut self.time, &mut self.spectrum);
        // What lies near half the rate cannot be interpolated between lags, and no player is heard by it.
        let band = (KEPT_BAND * self.time.len() as f64) as usize;
        for (k, bin) in self.spectrum.iter_mut().enumerate() {
            *bin = if k <= band { Complex32::new(bin.norm_sqr(), 0.0) } else { Complex32::default() };
        }
        self.transform.back(&mut self.spectrum, &mut self.time);
        let n = samples.len();
        let total = self.energy[n];
        let in_band = f64::from(self.time[0]) / self.time.len() as f64;
        if in_band <= IN_BAND_MIN * total {
            return false;
        }
        let scale = total / in_band / self.time.len() as f64;
        for lag in 0..=self.max_lag {
            let product = self.energy[n - lag] * (total - self.energy[lag]);
            let normal = product.max(0.0).sqrt();
            self.correlation[lag] = if normal > 1e-12 * total.max(1e-12) {
                (f64::from(self.time[lag]) * scale / normal) as f32
            } else {
                0.0
            };
        }
        true
    }

    /// Refined peaks (lag, height), one between each pair of zero crossings, shortest lag first.
    fn peaks(&self, out: &mut [(f64, f32); MAX_PEAKS]) -> usize {
        let r = &self.correlation;
        let min_lag = ((self.rate_hz / HIGHEST_HZ).floor() as usize).max(2);
        let mut n = 0;
        let mut lag = 1;
        while lag < self.max_lag && r[lag] > 0.0 {
            lag += 1;
        }
        let mut top: Option<usize> = None;
        while lag < self.max_lag && n < MAX_PEAKS {
            if r[lag] > 0.0 {
                let is_peak = r[lag] >= r[lag - 1] && r[lag] >= r[lag + 1];
                if is_peak && lag >= min_lag && top.is_none_or(|t| r[lag] > r[t]) {
                    top = Some(lag);
                }
            } else if let Some(t) = top.take() {
                out[n] = self.refine(t);
                n += 1;
            }
            lag += 1;
        }
        if let (Some(t), true) = (top, n < MAX_PEAKS) {
            out[n] = self.refine(t);
            n += 1;
        }
        n
    }

    /// Peak between the lags. Short lags have few points a period, so there the correlation is interpolated by a
    /// windowed sinc before the parabola; a parabola alone would underrate the piccolo's peaks by several per cent.
    fn refine(&self, lag: usize) -> (f64, f32) {
        if lag >= 64 {
            let (x, y) =
                parabola(self.correlation[lag - 1], self.correlation[lag], self.correlation[lag + 1]);
            return (lag as f64 + f64::from(x), y);
        }
        const STEP: f64 = 0.125;
        let mut best = (lag as f64, f32::MIN);
        for k in -8i32..=8 {
            let x = lag as f64 + f64::from(k) * STEP;
            let y = self.interpolate(x);
            if y > best.1 {
                best = (x, y);
            }
        }
        let (x, y) = parabola(self.interpolate(best.0 - STEP), best.1, self.interpolate(best.0 + STEP));
        (best.0 + f64::from(x) * STEP, y)
    }

    fn interpolate(&self, x: f64) -> f32 {
        const HALF: i64 = 12;
        let middle = x.floor() as i64;
        let mut sum = 0.0;
        for i in middle - HALF + 1..=middle + HALF {
            let distance = x - i as f64;
            // The correlation is even in the lag.
            let idx = (i.unsigned_abs() as usize).min(self.max_lag);
            let window = 0.5 + 0.5 * (std::f64::consts::PI * distance / (HALF as f64 + 0.5)).cos();
            sum += f64::from(self.correlation[idx]) * sinc(distance) * window;
        }
        sum as f32
    }
}

/// Offset (-0.5 to 0.5) and height of the top of a parabola through three equidistant points.
pub(crate) fn parabola(left: f32, middle: f32, right: f32) -> (f32, f32) {
    let curve = left - 2.0 * middle + right;
    if curve >= -1e-12 {
        return (0.0, middle);
    }
    let x = (0.5 * (left - right) / curve).clamp(-0.5, 0.5);
    (x, middle - 0.25 * (left - right) * x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signals::{Moment, Timbre, render};
    use crate::tuning::{cents_between, midi_to_hz};

    fn check(f0_hz: f64, timbre: Timbre, noise_db: f64) {
        let rate = 24_000.0;
        let mut finder = PitchFinder::new(rate);
        let sound = render(rate, timbre, noise_db, 7, 0.2, |_| Moment { f0_hz, gain: 0.3 });
        let found = finder.find(&sound[500..500 + finder.window()], None).expect("a tone is a tone");
        let error = cents_between(f0_hz, found.f0_hz);
        assert!(error.abs() < 20.0, "{f0_hz} Hz found at {} Hz: {error} cents", found.f0_hz);
    }

    #[test]
    fn no_octave_error_from_contrabassoon_to_piccolo() {
        for midi in 22..=108 {
            let f0 = midi_to_hz(f64::from(midi), 440.0);
            check(f0, Timbre::falling(12), -200.0);
            check(f0, Timbre::sine(), -200.0);
            check(f0, Timbre::odd(9), -200.0);
            check(f0, Timbre::falling(8), -40.0);
            if f0 < 300.0 {
                check(f0, Timbre::formant(f0, 500.0, 150.0), -200.0);
            }
        }
    }

    #[test]
    fn noise_is_no_tone() {
        let mut finder = PitchFinder::new(24_000.0);
        let noise = render(24_000.0, Timbre::sine(), -20.0, 3, 0.2, |_| Moment { f0_hz: 440.0, gain: 0.0 });
        assert!(finder.find(&noise[..finder.window()], None).is_none_or(|f| f.clarity < 0.6));
        let silence = vec![0.0; finder.window()];
        assert_eq!(finder.find(&silence, None), None);
    }
}
