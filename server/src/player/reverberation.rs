//! What walls send back: Schroeder's reverberator, four feedback combs side by side and two allpasses in a row (M. R.
//! Schroeder, "Natural sounding artificial reverberation", J. Audio Eng. Soc. 10, 1962; delays from memory). It makes
//! samples alone.

/// Delays of the combs and of the allpasses, ms, and the allpasses' gain.
const COMBS_MS: [f64; 4] = [29.7, 37.1, 41.1, 43.7];
const ALLPASSES_MS: [f64; 2] = [5.0, 1.7];
const ALLPASS_GAIN: f32 = 0.7;

/// The diffuse sound of a room.
#[derive(Debug, Clone)]
pub(super) struct Reverberation {
    combs: Vec<Delay>,
    allpasses: Vec<Delay>,
    /// Brings the energy of the whole response to 1, so that steady sound comes out as loud as it goes in.
    scale: f32,
}

#[derive(Debug, Clone)]
struct Delay {
    line: Vec<f32>,
    at: usize,
    gain: f32,
}

impl Delay {
    fn new(ms: f64, sample_rate_hz: f64, gain: f32) -> Self {
        Self { line: vec![0.0; (ms / 1000.0 * sample_rate_hz).round().max(1.0) as usize], at: 0, gain }
    }

    /// What went in a delay ago.
    fn out(&self) -> f32 {
        self.line[self.at]
    }

    fn take(&mut self, sample: f32) {
        self.line[self.at] = sample;
        self.at = (self.at + 1) % self.line.len();
    }
}

impl Reverberation {
    /// A room in which sound falls by 60 dB in `rt60_s`.
    pub(super) fn new(sample_rate_hz: f64, rt60_s: f64) -> Self {
        // Once round a comb the sound falls by 60 dB times its delay over the reverberation time.
        let gain = |ms: f64| 10f64.powf(-3.0 * ms / 1000.0 / rt60_s) as f32;
        let combs = COMBS_MS.iter().map(|&ms| Delay::new(ms, sample_rate_hz, gain(ms))).collect();
        let allpasses = ALLPASSES_MS.iter().map(|&ms| Delay::new(ms, sample_rate_hz, ALLPASS_GAIN)).collect();
        let mut room = Self { combs, allpasses, scale: 1.0 };
        let mut probe = room.clone();
        let n = (2.0 * rt60_s * sample_rate_hz) as usize;
        let energy: f64 = (0..n).map(|i| f64::from(probe.next(if i == 0 { 1.0 } else { 0.0 })).powi(2)).sum();
        room.scale = (1.0 / energy.sqrt()) as f32;
        room
    }

    /// The next sample out for the next one in.
    pub(super) fn next(&mut self, sample: f32) -> f32 {
        let mut sum = 0.0;
        for comb in &mut self.combs {
            let out = comb.out();
            comb.take(sample + comb.gain * out);
            sum += out;
        }
        for allpass in &mut self.allpasses {
            let delayed = allpass.out();
            let fed = sum + allpass.gain * delayed;
            allpass.take(fed);
            sum = delayed - allpass.gain * fed;
        }
        sum * self.scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sound_falls_by_sixty_decibels_in_the_time_asked_for() {
        for rt60_s in [0.4, 0.6, 0.8] {
            let mut room = Reverberation::new(24_000.0, rt60_s);
            let n = (24_000.0 * 2.0 * rt60_s) as usize;
            // Energy that is still to come (Schroeder's backward integration, 1965).
            let mut left: Vec<f64> =
                (0..n).map(|i| f64::from(room.next(if i == 0 { 1.0 } else { 0.0 })).powi(2)).collect();
            for i in (0..n - 1).rev() {
                left[i] += left[i + 1];
            }
            let time_at = |db: f64| {
                let below = left.iter().position(|e| 10.0 * (e / left[0]).log10() <= db);
                below.unwrap() as f64 / 24_000.0
            };
            // Between -5 and -35 dB, times two, as ISO 3382 measures T30 (from memory).
            let t30_s = 2.0 * (time_at(-35.0) - time_at(-5.0));
            assert!((t30_s / rt60_s - 1.0).abs() < 0.1, "{t30_s} instead of {rt60_s}");
        }
    }

    #[test]
    fn the_whole_response_has_the_energy_of_what_went_in() {
        let mut room = Reverberation::new(24_000.0, 0.6);
        let energy: f64 =
            (0..40_000).map(|i| f64::from(room.next(if i == 0 { 1.0 } else { 0.0 })).powi(2)).sum();
        assert!((energy - 1.0).abs() < 0.01, "{energy}");
    }
}
