//! Coarse pitch: the period at which the sound is most like itself. Good to a few cents and robust against weak
//! fundamentals; the harmonics' demodulation makes it exact. Knows one window of samples and nothing of notes.
//!
//! The measure is the normalised cross-correlation of the window with itself at each lag, peaks picked between zero
//! crossings as in McLeod & Wyvill, "A smarter way to find pitch" (ICMC 2005). Unlike their NSDF the normalisation is
//! by the geometric mean of the two energies, so that a tone whose level rises or falls keeps a correlation of one:
//! deep vibrato on a low note would otherwise favour short lags and read an octave too high.

use crate::framing::{dot, sinc, sum};
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
/// Pieces with less than this share of the energy (squared) are not compared.
const NORMAL_MIN: f32 = 1e-20;
/// Most peaks considered.
const MAX_PEAKS: usize = 64;
/// Pitch that still counts as the one asked about, cents.
const LIKELY_CENTS: f64 = 80.0;
/// Between the lags the correlation is interpolated at this many places a lag, from this many lags to each side.
const PLACES: usize = 8;
const REACH: usize = 12;
/// Shortest lags that are interpolated; beyond, a parabola is as good.
const INTERPOLATED_BELOW: usize = 64;
/// Lags under nought that are kept, so that the shortest ones can be interpolated.
const BEFORE: usize = REACH + 4;

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
    /// Energy of the first and of the last samples, as many as the index says, as shares of the whole.
    energy_of_first: Vec<f64>,
    energy_of_last: Vec<f64>,
    /// The lag nought is at [`BEFORE`].
    correlation: Vec<f32>,
    /// A windowed sinc at each place between two lags.
    between: [[f32; 2 * REACH]; PLACES],
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
            energy_of_first: vec![0.0; max_lag + 1],
            energy_of_last: vec![0.0; max_lag + 1],
            correlation: vec![0.0; BEFORE + max_lag + 1],
            between: std::array::from_fn(|place| windowed_sinc(place as f64 / PLACES as f64)),
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
        let likely_lag = likely_hz.map_or(f64::INFINITY, |hz| self.rate_hz / hz);
        let aside = (LIKELY_CENTS / 1200.0).exp2();
        let likely = likely_lag / aside..likely_lag * aside;
        let at_likely = peaks.iter().filter(|p| likely.contains(&p.0)).map(|p| p.1).fold(0f32, f32::max);
        let clarity = |height: f32| f64::from(height.clamp(0.0, 1.0));
        Some(Found {
            f0_hz: self.rate_hz / lag,
            clarity: clarity(height),
            clarity_at_likely: clarity(at_likely),
        })
    }

    /// Fills `correlation` with the normalised correlation for lags up to `max_lag`; false where the band holds nothing.
    fn correlate(&mut self, samples: &[f32]) -> bool {
        let n = samples.len();
        let mean = sum(samples) / n as f32;
        for (slot, &sample) in self.time.iter_mut().zip(samples) {
            *slot = sample - mean;
        }
        self.time[n..].fill(0.0);
        let total = self.measure_energies(n);
        self.transform.forward(&mut self.time, &mut self.spectrum);
        // What lies near half the rate cannot be interpolated between lags, and no player is heard by it.
        let (kept, lost) = self.spectrum.split_at_mut((KEPT_BAND * self.time.len() as f64) as usize + 1);
        for bin in kept {
            *bin = Complex32::new(bin.norm_sqr(), 0.0);
        }
        lost.fill(Complex32::default());
        self.transform.back(&mut self.spectrum, &mut self.time);
        let in_band = f64::from(self.time[0]) / self.time.len() as f64;
        if in_band <= IN_BAND_MIN * total {
            return false;
        }
        let scale = 1.0 / self.time[0];
        let energies = self.energy_of_first.iter().zip(&self.energy_of_last);
        let slots = self.correlation[BEFORE..].iter_mut().zip(&self.time);
        for ((slot, &product), (first, last)) in slots.zip(energies) {
            // Energies of the two pieces compared: without the last samples, and without the first.
            let normal = ((1.0 - last) * (1.0 - first)) as f32;
            *slot = if normal > NORMAL_MIN { product * scale / normal.sqrt() } else { 0.0 };
        }
        // The correlation is even in the lag.
        for lag in 1..=BEFORE {
            self.correlation[BEFORE - lag] = self.correlation[BEFORE + lag];
        }
        true
    }

    /// Energy of the first `n` of `time`, and the shares that its first and its last samples have in it.
    fn measure_energies(&mut self, n: usize) -> f64 {
        let samples = &self.time[..n];
        let total = f64::from(dot(samples, samples));
        let share = 1.0 / total.max(f64::MIN_POSITIVE);
        let (mut first, mut last) = (0f64, 0f64);
        let ends = samples.iter().zip(samples.iter().rev());
        let slots = self.energy_of_first.iter_mut().zip(&mut self.energy_of_last);
        for ((of_first, of_last), (a, b)) in slots.zip(ends) {
            (*of_first, *of_last) = (first * share, last * share);
            first += f64::from(a * a);
            last += f64::from(b * b);
        }
        total
    }

    /// Refined peaks (lag, height), one between each pair of zero crossings, shortest lag first.
    fn peaks(&self, out: &mut [(f64, f32); MAX_PEAKS]) -> usize {
        let r = &self.correlation[BEFORE..];
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
        if lag >= INTERPOLATED_BELOW {
            let around = &self.correlation[BEFORE + lag - 1..];
            let (x, y) = parabola(around[0], around[1], around[2]);
            return (lag as f64 + f64::from(x), y);
        }
        let middle = lag * PLACES;
        let mut best = (middle, f32::MIN);
        for place in middle - PLACES..=middle + PLACES {
            let y = self.interpolate(place);
            if y > best.1 {
                best = (place, y);
            }
        }
        let (x, y) = parabola(self.interpolate(best.0 - 1), best.1, self.interpolate(best.0 + 1));
        ((best.0 as f64 + f64::from(x)) / PLACES as f64, y)
    }

    /// The correlation at a lag given in `PLACES` parts of one.
    fn interpolate(&self, place: usize) -> f32 {
        let first = BEFORE + place / PLACES + 1 - REACH;
        dot(&self.correlation[first..first + 2 * REACH], &self.between[place % PLACES])
    }
}

/// Weights of the values from `REACH - 1` before a point to `REACH` after it, for a place `after` the point (0 to 1).
fn windowed_sinc(after: f64) -> [f32; 2 * REACH] {
    std::array::from_fn(|i| {
        let distance = after + (REACH - 1) as f64 - i as f64;
        let window = 0.5 + 0.5 * (std::f64::consts::PI * distance / (REACH as f64 + 0.5)).cos();
        (sinc(distance) * window) as f32
    })
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
