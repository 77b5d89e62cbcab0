//! The band that clicks live in, as a complex signal at a low rate: cheap to search and to fill in. What lies outside the
//! band never comes in, so the strongest harmonics of the winds are never touched. Knows no clicks and no ticks.

use crate::framing::{History, dot, sinc};
use rustfft::num_complex::Complex32;
use std::f64::consts::TAU;

/// The band, Hz: the clicks' own with the edges of their sweeps.
const FROM_HZ: f64 = 2300.0;
const TO_HZ: f64 = 8300.0;
/// About the rate of the band's samples, Hz: the band and the slopes of the filter on both sides, and nothing empty that
/// whitening would blow up.
const BAND_RATE_HZ: f64 = 8000.0;
/// Length of the filter, seconds: with a Blackman window its slopes are about 1.8 kHz wide.
const FILTER_S: f64 = 0.003;

/// Fixed facts of the band at one sample rate.
#[derive(Debug, Clone)]
pub(crate) struct Band {
    /// Samples from one of the band to the next.
    pub(crate) step: usize,
    /// Samples by which the band's signal is late.
    pub(crate) delay: usize,
    /// Real and imaginary taps, oldest sample first.
    re: Vec<f32>,
    im: Vec<f32>,
}

impl Band {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let step = ((sample_rate_hz / BAND_RATE_HZ).round() as usize).max(1);
        let to_hz = TO_HZ.min(0.49 * sample_rate_hz);
        let half_hz = (to_hz - FROM_HZ) / 2.0;
        let band_rate_hz = sample_rate_hz / step as f64;
        // Half-way between the edge of the band and what the low rate can hold, but at least as far as the slope is wide.
        let edge_hz = ((half_hz + band_rate_hz / 2.0) / 2.0).min(half_hz + 900.0);
        let delay = (FILTER_S * sample_rate_hz / 2.0).round() as usize;
        let turns = (FROM_HZ + half_hz) / sample_rate_hz;
        let (mut re, mut im) = (Vec::new(), Vec::new());
        for k in 0..=2 * delay {
            let x = k as f64 - delay as f64;
            let phase = TAU * k as f64 / (2 * delay) as f64;
            let window = 0.42 - 0.5 * phase.cos() + 0.08 * (2.0 * phase).cos();
            let edge = edge_hz / sample_rate_hz;
            let low = 2.0 * edge * sinc(2.0 * edge * x) * window;
            // The newest sample is the last: turned backwards.
            re.push((low * (TAU * turns * x).cos()) as f32);
            im.push((-low * (TAU * turns * x).sin()) as f32);
        }
        Self { step, delay, re, im }
    }

    /// Taps of the filter: how many samples each sample of the band is made of.
    pub(crate) fn n_taps(&self) -> usize {
        self.re.len()
    }

    /// The band's sample whose moment is the middle of these [`Band::n_taps`] samples.
    pub(crate) fn sample(&self, samples: &[f32]) -> Complex32 {
        Complex32::new(dot(samples, &self.re), dot(samples, &self.im))
    }

    /// Adds to `out`, whose first sample lies `offset` samples after the moment of `band[0]` (before, if negative), what
    /// these samples of the band are as sound.
    pub(crate) fn add_sound(&self, band: &[Complex32], offset: i64, gain: f32, out: &mut [f32]) {
        // Half of the spectrum stands for both, and each step has one sample.
        let gain = 2.0 * gain * self.step as f32;
        for (m, value) in band.iter().enumerate().filter(|(_, value)| **value != Complex32::default()) {
            // Place of this sample's first tap in `out`.
            let first = (m * self.step) as i64 - offset - self.delay as i64;
            let from = first.max(0);
            let to = (first + self.n_taps() as i64).min(out.len() as i64);
            for i in from..to {
                let k = (i - first) as usize;
                // The filter turned round is its conjugate.
                out[i as usize] += gain * (value.re * self.re[k] + value.im * self.im[k]);
            }
        }
    }
}

/// The band of a stream.
pub(crate) struct BandStream {
    band: Band,
    recent: History<f32>,
    out: History<Complex32>,
}

impl BandStream {
    /// Keeps at least the last `keep_s` seconds of the band.
    pub(crate) fn new(sample_rate_hz: f64, keep_s: f64) -> Self {
        let band = Band::new(sample_rate_hz);
        let keep = (keep_s * sample_rate_hz / band.step as f64).ceil() as usize;
        Self { recent: History::new(band.n_taps()), out: History::new(keep), band }
    }

    /// Takes a sample. True when it brought one of the band.
    pub(crate) fn push(&mut self, sample: f32) -> bool {
        self.recent.push(sample);
        let n = self.recent.end();
        // Sample m of the band has its moment at sample m * step.
        let due = n > self.band.delay as u64 && (n - 1 - self.band.delay as u64) % self.band.step as u64 == 0;
        if due {
            let recent = self.recent.tail(self.band.n_taps());
            if recent.len() < self.band.n_taps() {
                // Before the first sample there was silence.
                let mut sum = Complex32::default();
                let from = self.band.n_taps() - recent.len();
                for (k, &x) in recent.iter().enumerate() {
                    sum += Complex32::new(self.band.re[from + k], self.band.im[from + k]) * x;
                }
                self.out.push(sum);
            } else {
                self.out.push(self.band.sample(recent));
            }
        }
        due
    }

    /// Forgets everything; the next sample is the first.
    pub(crate) fn restart(&mut self) {
        self.recent.restart_at(0);
        self.out.restart_at(0);
    }

    pub(crate) fn band(&self) -> &Band {
        &self.band
    }

    /// The band's samples, numbered from the first.
    pub(crate) fn samples(&self) -> &History<Complex32> {
        &self.out
    }
}

/// The band of a whole sound that has silence before and after it.
pub(crate) fn band_of(samples: &[f32], sample_rate_hz: f64) -> Vec<Complex32> {
    let mut stream = BandStream::new(sample_rate_hz, samples.len() as f64 / sample_rate_hz);
    let mut out = Vec::new();
    let tail = vec![0.0; 2 * stream.band().delay + 1];
    for &sample in samples.iter().chain(&tail) {
        if stream.push(sample) {
            out.extend_from_slice(stream.samples().tail(1));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sine(hz: f64, rate_hz: f64, n: usize) -> Vec<f32> {
        (0..n).map(|i| (TAU * hz * i as f64 / rate_hz).sin() as f32).collect()
    }

    /// Sound, its band, and the band as sound again.
    fn round_trip(sound: &[f32], rate_hz: f64) -> Vec<f32> {
        let band = band_of(sound, rate_hz);
        let mut out = vec![0.0; sound.len()];
        Band::new(rate_hz).add_sound(&band, 0, 1.0, &mut out);
        out
    }

    #[test]
    fn what_is_in_the_band_comes_back_and_nothing_else_does() {
        for rate_hz in [16_000.0, 22_050.0, 32_000.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            let n = (0.05 * rate_hz) as usize;
            let middle = n / 4..3 * n / 4;
            for hz in [2600.0, 3500.0, 5300.0, 7000.0] {
                let sound = sine(hz, rate_hz, n);
                let back = round_trip(&sound, rate_hz);
                let error = middle.clone().map(|i| (sound[i] - back[i]).abs()).fold(0f32, f32::max);
                assert!(error < 0.05, "{hz} Hz at {rate_hz}: {error}");
            }
            for hz in [100.0, 500.0, 1000.0] {
                let back = round_trip(&sine(hz, rate_hz, n), rate_hz);
                let left = middle.clone().map(|i| back[i].abs()).fold(0f32, f32::max);
                assert!(left < 0.01, "{hz} Hz at {rate_hz}: {left}");
            }
        }
    }
}
