//! Seeded test tones with known truth: an additive voice whose pitch and level follow a curve the caller gives.
//! Used by tests, benches and the simulated section; never by the analysis itself.

use std::f64::consts::TAU;

/// Seconds between the points at which a curve is asked for its value; linear in between.
const CONTROL_S: f64 = 0.001;

/// Pitch and level at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Fundamental, Hz (above 0).
    pub f0_hz: f64,
    /// Linear gain; 0 is silence.
    pub gain: f64,
}

/// Strengths of the harmonics (linear, the first is the fundamental), scaled to a total power of one half, as a sine of
/// amplitude 1 has.
#[derive(Debug, Clone, PartialEq)]
pub struct Timbre(Vec<f64>);

impl Timbre {
    /// From linear strengths; at least one must be above 0.
    pub fn new(strengths: &[f64]) -> Self {
        let power: f64 = strengths.iter().map(|a| a * a).sum();
        Self(strengths.iter().map(|a| a / power.sqrt()).collect())
    }

    /// A pure sine.
    pub fn sine() -> Self {
        Self::new(&[1.0])
    }

    /// `n` harmonics falling by `1/h`.
    pub fn falling(n: usize) -> Self {
        Self::new(&(1..=n).map(|h| 1.0 / h as f64).collect::<Vec<_>>())
    }

    /// A reed-like spectrum: harmonics shaped by a resonance at `formant_hz` of width `width_hz`, over a weak
    /// fundamental; for a tone of `f0_hz`.
    pub fn formant(f0_hz: f64, formant_hz: f64, width_hz: f64) -> Self {
        let n = ((5.0 * formant_hz / f0_hz) as usize).clamp(3, 60);
        let strength = |h: usize| {
            let f = h as f64 * f0_hz;
            0.08 / h as f64 + 1.0 / (1.0 + ((f - formant_hz) / width_hz).powi(2))
        };
        Self::new(&(1..=n).map(strength).collect::<Vec<_>>())
    }

    /// Odd harmonics strong, even ones weak, as of a stopped cylinder.
    pub fn odd(n: usize) -> Self {
        let strength = |h: usize| if h % 2 == 1 { 1.0 / h as f64 } else { 0.05 / h as f64 };
        Self::new(&(1..=n).map(strength).collect::<Vec<_>>())
    }
}

/// An additive voice with white noise.
#[derive(Debug, Clone)]
pub struct Voice {
    sample_rate_hz: f64,
    timbre: Timbre,
    noise_amplitude: f64,
    cycles: f64,
    samples: u64,
    seed: u64,
}

impl Voice {
    /// A voice at a sample rate with constant white noise of the given level (dB re full scale, RMS; -200 for none).
    pub fn new(sample_rate_hz: f64, timbre: Timbre, noise_db: f64, seed: u64) -> Self {
        // Uniform noise in ±a has RMS a / sqrt(3).
        let noise_amplitude = 10f64.powf(noise_db / 20.0) * 3f64.sqrt();
        Self {
            sample_rate_hz,
            timbre,
            noise_amplitude,
            cycles: 0.0,
            samples: 0,
            seed: seed ^ 0x9e37_79b9_7f4a_7c15,
        }
    }

    /// Time of the next sample, seconds from the first.
    pub fn time_s(&self) -> f64 {
        self.samples as f64 / self.sample_rate_hz
    }

    /// Fills `out`; `curve` gives the moment at a time in seconds from the first sample.
    pub fn fill(&mut self, out: &mut [f32], mut curve: impl FnMut(f64) -> Moment) {
        let step = ((CONTROL_S * self.sample_rate_hz) as usize).max(1);
        for block in out.chunks_mut(step) {
            let t = self.time_s();
            let from = curve(t);
            let to = curve(t + block.len() as f64 / self.sample_rate_hz);
            let n = block.len() as f64;
            for (i, sample) in block.iter_mut().enumerate() {
                let x = i as f64 / n;
                let f0_hz = from.f0_hz + (to.f0_hz - from.f0_hz) * x;
                let gain = from.gain + (to.gain - from.gain) * x;
                let mut sum = 0.0;
                if gain > 0.0 {
                    for (h, strength) in self.timbre.0.iter().enumerate() {
                        let harmonic = (h + 1) as f64;
                        if harmonic * f0_hz < 0.48 * self.sample_rate_hz {
                            sum += strength * (TAU * harmonic * self.cycles).sin();
                        }
                    }
                }
                self.cycles = (self.cycles + f0_hz / self.sample_rate_hz).fract();
                *sample = (gain * sum + self.noise_amplitude * self.noise()) as f32;
            }
            self.samples += block.len() as u64;
        }
    }

    /// Uniform in ±1 (xorshift64*).
    fn noise(&mut self) -> f64 {
        self.seed ^= self.seed >> 12;
        self.seed ^= self.seed << 25;
        self.seed ^= self.seed >> 27;
        (self.seed.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

/// Renders `seconds` of a tone that follows a curve.
pub fn render(
    sample_rate_hz: f64,
    timbre: Timbre,
    noise_db: f64,
    seed: u64,
    seconds: f64,
    curve: impl FnMut(f64) -> Moment,
) -> Vec<f32> {
    let mut out = vec![0.0; (seconds * sample_rate_hz).round() as usize];
    Voice::new(sample_rate_hz, timbre, noise_db, seed).fill(&mut out, curve);
    out
}

/// A pulsed tone that is sinusoidal in dB and in cents, peaks of both together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulsing {
    /// Mean pitch (geometric), Hz.
    pub f0_hz: f64,
    /// Gain at the peaks, linear.
    pub peak_gain: f64,
    /// Pulses a second.
    pub rate_hz: f64,
    /// Peak over valley, dB.
    pub depth_db: f64,
    /// Peak to peak, cents.
    pub swing_cents: f64,
    /// Time of the first peak, seconds.
    pub first_peak_s: f64,
    /// Slope of the pitch, cents a second.
    pub drift_cents_per_s: f64,
}

impl Pulsing {
    /// Pitch and level at a time.
    pub fn at(&self, t: f64) -> Moment {
        let wave = (TAU * self.rate_hz * (t - self.first_peak_s)).cos();
        let cents = self.swing_cents / 2.0 * wave + self.drift_cents_per_s * t;
        let db = self.depth_db / 2.0 * (wave - 1.0);
        Moment { f0_hz: self.f0_hz * (cents / 1200.0).exp2(), gain: self.peak_gain * 10f64.powf(db / 20.0) }
    }
}
