//! What phones do to a sound before it can be heard: simulated from the description of each, never from a stored file.

use std::f64::consts::TAU;

/// White noise, uniform, of the given level (dB re full scale, RMS), seeded (xorshift64*).
pub(crate) fn noise(n: usize, db: f64, seed: u64) -> Vec<f32> {
    let amplitude = 10f64.powf(db / 20.0) * 3f64.sqrt();
    let mut state = seed ^ 0x9e37_79b9_7f4a_7c15;
    let mut next = || {
        state ^= state >> 12;
        state ^= state << 25;
        state ^= state >> 27;
        (state.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    (0..n).map(|_| (amplitude * next()) as f32).collect()
}

/// Noise that falls by 6 dB an octave from `from_hz` on, as a room's; of the given level.
pub(crate) fn room_noise(n: usize, rate_hz: f64, from_hz: f64, db: f64, seed: u64) -> Vec<f32> {
    let keep = (-TAU * from_hz / rate_hz).exp() as f32;
    let mut last = 0.0;
    let mut dark: Vec<f32> = noise(n, 0.0, seed)
        .into_iter()
        .map(|x| {
            last = keep * last + (1.0 - keep) * x;
            last
        })
        .collect();
    let power = dark.iter().map(|x| x * x).sum::<f32>() / n as f32;
    let gain = 10f32.powf(db as f32 / 20.0) / power.sqrt();
    dark.iter_mut().for_each(|x| *x *= gain);
    dark
}

/// Adds a curve's share of one sound to another: `gain_db` at a time in seconds.
pub(crate) fn add(to: &mut [f32], sound: &[f32], rate_hz: f64, gain_db: impl Fn(f64) -> f64) {
    for (i, (slot, x)) in to.iter_mut().zip(sound).enumerate() {
        *slot += x * 10f32.powf(gain_db(i as f64 / rate_hz) as f32 / 20.0);
    }
}

/// An automatic gain control: a wanted gain that would bring the level to `target_db`, never more than `max_gain_db` up or
/// `max_cut_db` down, approached with one time constant going down and another going up.
#[derive(Debug, Clone, Copy)]
pub(crate) struct GainControl {
    pub(crate) target_db: f64,
    pub(crate) max_gain_db: f64,
    pub(crate) max_cut_db: f64,
    pub(crate) attack_s: f64,
    pub(crate) release_s: f64,
}

impl GainControl {
    pub(crate) fn apply(&self, sound: &mut [f32], rate_hz: f64) {
        let follow = |seconds: f64| 1.0 - (-1.0 / (seconds * rate_hz)).exp();
        let (of_level, down, up) = (follow(0.02), follow(self.attack_s), follow(self.release_s));
        let (mut power, mut gain_db) = (0.0, 0.0);
        for sample in sound {
            power += of_level * (f64::from(*sample).powi(2) - power);
            let level_db = 10.0 * (power + 1e-12).log10();
            let wanted_db = (self.target_db - level_db).clamp(-self.max_cut_db, self.max_gain_db);
            gain_db += (wanted_db - gain_db) * if wanted_db < gain_db { down } else { up };
            *sample *= 10f64.powf(gain_db / 20.0) as f32;
        }
    }
}

/// A section of two poles and two zeros.
#[derive(Debug, Clone, Copy)]
struct Section {
    b: [f64; 3],
    a: [f64; 2],
}

/// A Butterworth high-pass of the second or fourth order, as sections with the quality factors 1 / (2 cos(angle)) of the
/// poles (Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter coefficients").
pub(crate) fn high_pass(sound: &[f32], rate_hz: f64, edge_hz: f64, order: usize) -> Vec<f32> {
    let n_sections = order / 2;
    let mut out: Vec<f64> = sound.iter().map(|&x| f64::from(x)).collect();
    for k in 0..n_sections {
        let angle = TAU / 4.0 * (2 * k + 1) as f64 / order as f64;
        let quality = 1.0 / (2.0 * angle.cos());
        let (sin, cos) = (TAU * edge_hz / rate_hz).sin_cos();
        let alpha = sin / (2.0 * quality);
        let scale = 1.0 / (1.0 + alpha);
        let b = scale * (1.0 + cos) / 2.0;
        let section = Section { b: [b, -2.0 * b, b], a: [-2.0 * cos * scale, (1.0 - alpha) * scale] };
        section.run(&mut out);
    }
    out.iter().map(|&x| x as f32).collect()
}

impl Section {
    fn run(&self, samples: &mut [f64]) {
        let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
        for sample in samples {
            let x = *sample;
            let y = self.b[0] * x + self.b[1] * x1 + self.b[2] * x2 - self.a[0] * y1 - self.a[1] * y2;
            (x2, x1, y2, y1) = (x1, x, y1, y);
            *sample = y;
        }
    }
}

/// The way through a speech codec's sampling at `2 * wall_hz`: nothing beyond the wall, 16 bits. The low-pass (a sinc under
/// a Hann window of 8 ms) begins at 0.9 of the wall, as speech codecs' filters do.
pub(crate) fn speech_band(sound: &[f32], rate_hz: f64, wall_hz: f64) -> Vec<f32> {
    let half = (0.004 * rate_hz) as isize;
    let edge = 0.95 * wall_hz / rate_hz;
    let tap = |i: isize| {
        let x = TAU * edge * i as f64;
        let window = 0.5 + 0.5 * (TAU / 2.0 * i as f64 / (half + 1) as f64).cos();
        2.0 * edge * window * if i == 0 { 1.0 } else { x.sin() / x }
    };
    let taps: Vec<f32> = (-half..=half).map(|i| tap(i) as f32).collect();
    let padded: Vec<f32> = [vec![0.0; half as usize], sound.to_vec(), vec![0.0; half as usize]].concat();
    padded
        .windows(taps.len())
        .map(|near| near.iter().zip(&taps).map(|(x, t)| x * t).sum::<f32>())
        .map(|x| (x * 32_768.0).round() / 32_768.0)
        .collect()
}
