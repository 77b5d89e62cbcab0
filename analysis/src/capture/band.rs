//! Whether the spectrum ends like a wall at 4 or 8 kHz, as behind a wireless headset's speech codec (8 and 16 kHz
//! sampling). Knows spectra over a few seconds, no tones.
//!
//! What counts is the noise of room, breath and microphone between the harmonics: below the wall it is there and even,
//! beyond it is gone everywhere. A tone's own harmonics end somewhere too, but they stand apart, and a natural spectrum falls
//! by slopes.

use crate::transform::RealTransform;
use rustfft::num_complex::Complex32;

/// Where such bands end, Hz.
const WALLS_HZ: [f64; 2] = [4_000.0, 8_000.0];
/// At this rate and below the stream itself is a speech band, Hz.
const SPEECH_RATE_HZ: f64 = 16_000.0;
/// The band before a wall and the one beyond it, as shares of the wall's frequency; the codecs' filters begin at 0.85.
const BEFORE: (f64, f64) = (0.66, 0.84);
const BEYOND: (f64, f64) = (1.12, 2.2);
/// Share of the sample rate up to which the spectrum counts.
const KEPT_BAND: f64 = 0.45;
/// What is beyond must be this much weaker, dB: twice what the steepest noise of a room falls (18 dB an octave) over the
/// half octave between the two bands.
const DROP_DB: f32 = 20.0;
/// Noise before the wall must be as even as this from the tenth to the ninetieth percentile, dB,
const EVENNESS_DB: f32 = 15.0;
/// and above the rounding to 16 bits, dB re full scale in a bin (uniform rounding with this window lies at -136).
const NOISE_MIN_DB: f32 = -120.0;
/// Looks over which the spectrum is averaged: four seconds.
const AVERAGED: f32 = 16.0;
/// Looks that must agree before a wall is said, and before it is taken back.
const AGREEING: u32 = 12;
/// Power of nothing, so that silence has a level.
const NOTHING: f32 = 1e-16;
/// Sound with less power than this has nothing to show: 80 dB under full scale.
const POWER_MIN: f32 = 1e-8;

/// Watches the spectrum's end.
pub(super) struct BandWatch {
    sample_rate_hz: f64,
    transform: RealTransform,
    window: Vec<f32>,
    time: Vec<f32>,
    spectrum: Vec<Complex32>,
    /// Mean level of each bin, dB.
    mean_db: Vec<f32>,
    sorted: Vec<f32>,
    n_looks: u32,
    wall_hz: Option<f64>,
    /// The wall of the last looks where it differs from the one said, and how many looks showed it.
    other: Option<f64>,
    n_other: u32,
}

impl BandWatch {
    /// For looks at this many samples.
    pub(super) fn new(sample_rate_hz: f64, n_samples: usize) -> Self {
        // The largest power of two: a fifth of a second tells harmonics of the lowest notes from noise.
        let len = 1 << n_samples.ilog2();
        let hann = |i: usize| {
            let phase = std::f64::consts::TAU * (i as f64 + 0.5) / len as f64;
            // A sine of amplitude 1 gives its power, one half.
            ((1.0 - phase.cos()) * 2f64.sqrt() / len as f64) as f32
        };
        Self {
            sample_rate_hz,
            transform: RealTransform::new(len),
            window: (0..len).map(hann).collect(),
            time: vec![0.0; len],
            spectrum: vec![Complex32::default(); len / 2 + 1],
            mean_db: vec![0.0; len / 2 + 1],
            sorted: Vec::with_capacity(len / 2 + 1),
            n_looks: 0,
            wall_hz: None,
            other: None,
            n_other: 0,
        }
    }

    pub(super) fn band_hz(&self) -> Option<f64> {
        let of_rate = (self.sample_rate_hz <= SPEECH_RATE_HZ).then_some(self.sample_rate_hz / 2.0);
        self.wall_hz.or(of_rate)
    }

    pub(super) fn look(&mut self, samples: &[f32]) {
        let samples = &samples[..self.time.len()];
        if samples.iter().map(|x| x * x).sum::<f32>() < POWER_MIN * samples.len() as f32 {
            return;
        }
        for ((slot, x), w) in self.time.iter_mut().zip(samples).zip(&self.window) {
            *slot = x * w;
        }
        self.transform.forward(&mut self.time, &mut self.spectrum);
        let step = (1.0 / (self.n_looks + 1) as f32).max(1.0 / AVERAGED);
        for (mean, bin) in self.mean_db.iter_mut().zip(&self.spectrum) {
            let db = 10.0 * (bin.norm_sqr() + NOTHING).log10();
            *mean += step * (db - *mean);
        }
        self.n_looks = self.n_looks.saturating_add(1);
        let wall_hz = WALLS_HZ.into_iter().find(|&hz| self.ends_at(hz));
        if wall_hz == self.wall_hz {
            self.n_other = 0;
            return;
        }
        self.n_other = if wall_hz == self.other { self.n_other + 1 } else { 1 };
        self.other = wall_hz;
        if self.n_other >= AGREEING {
            self.wall_hz = wall_hz;
            self.n_other = 0;
        }
    }

    fn ends_at(&mut self, wall_hz: f64) -> bool {
        let highest_hz = KEPT_BAND * self.sample_rate_hz;
        if highest_hz < 1.2 * BEYOND.0 * wall_hz {
            return false;
        }
        let [low, middle, high] = self.percentiles(BEFORE.0 * wall_hz, BEFORE.1 * wall_hz);
        let [_, _, beyond] = self.percentiles(BEYOND.0 * wall_hz, (BEYOND.1 * wall_hz).min(highest_hz));
        middle > NOISE_MIN_DB && high - low < EVENNESS_DB && middle - beyond > DROP_DB
    }

    /// Levels that a tenth, half and nine tenths of the bins between two frequencies stay under.
    fn percentiles(&mut self, from_hz: f64, to_hz: f64) -> [f32; 3] {
        let bins_per_hz = self.time.len() as f64 / self.sample_rate_hz;
        let (from, to) = ((from_hz * bins_per_hz) as usize, (to_hz * bins_per_hz) as usize);
        self.sorted.clear();
        self.sorted.extend_from_slice(&self.mean_db[from..to]);
        let n = self.sorted.len();
        [1, 5, 9].map(|tenths| *self.sorted.select_nth_unstable_by(tenths * (n - 1) / 10, f32::total_cmp).1)
    }
}
