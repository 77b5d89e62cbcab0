//! Undoes what the demodulation window flattens: a short symmetric filter on the frame tracks that lifts each
//! modulation rate by the inverse of the window's response up to 14 Hz (twice the fastest pulses; less for the long
//! windows of the lowest notes) and takes away what is above 26 Hz, where there is only noise. Knows frame rates and window lengths, nothing of pulses.

use crate::framing::sinc;
use crate::harmonics::hann_response;

/// Taps to each side.
pub(crate) const HALF: usize = 20;
/// Corrected up to here, Hz.
const PASS_HZ: f64 = 14.0;
/// Removed from here, Hz.
const STOP_HZ: f64 = 26.0;
/// Corrected up to this share of the window's inverse: beyond, the window has lost the modulation, and lifting would
/// only raise noise.
const PASS_OF_WINDOW: f64 = 0.9;

/// The correction of one track.
#[derive(Debug, Clone)]
pub(crate) struct Unflatten {
    /// Middle tap first, then the taps of one side.
    taps: [f64; HALF + 1],
}

impl Unflatten {
    /// For a track of levels: flattened by a Hann window of `window_s`.
    pub(crate) fn for_level(frame_s: f64, window_s: f64) -> Self {
        Self::design(frame_s, window_s, |hz| hann_response(hz, window_s))
    }

    /// For a track of pitches from phase advance over `advance_s` around each frame: flattened by both.
    pub(crate) fn for_pitch(frame_s: f64, window_s: f64, advance_s: f64) -> Self {
        Self::design(frame_s, window_s, |hz| hann_response(hz, window_s) * sinc(hz * advance_s))
    }

    /// Weighted least squares over a grid of modulation rates.
    fn design(frame_s: f64, window_s: f64, response: impl Fn(f64) -> f64) -> Self {
        const N: usize = HALF + 1;
        const GRID: usize = 240;
        let mut normal = [[0f64; N]; N];
        let mut right = [0f64; N];
        let pass_hz = PASS_HZ.min(PASS_OF_WINDOW / window_s);
        for g in 0..GRID {
            let hz = (g as f64 + 0.5) / GRID as f64 * 0.5 / frame_s;
            let (wanted, weight) = if hz < pass_hz {
                (1.0 / response(hz), 1.0)
            } else if hz < STOP_HZ {
                (0.0, 1e-4)
            } else {
                (0.0, 0.005)
            };
            let mut basis = [0f64; N];
            for (k, b) in basis.iter_mut().enumerate() {
                let side = if k == 0 { 1.0 } else { 2.0 };
                *b = side * (std::f64::consts::TAU * hz * frame_s * k as f64).cos();
            }
            for i in 0..N {
                for j in 0..=i {
                    normal[i][j] += weight * basis[i] * basis[j];
                }
                right[i] += weight * basis[i] * wanted;
            }
        }
        for (i, row) in normal.iter_mut().enumerate() {
            row[i] += 1e-9;
        }
        let mut taps = solve(&mut normal, right);
        // Means pass unchanged.
        let sum = taps[0] + 2.0 * taps[1..].iter().sum::<f64>();
        taps.iter_mut().for_each(|t| *t /= sum);
        Self { taps }
    }

    /// Filters `track` into `out` (same length). Beyond the ends the track is continued point-symmetrically, which
    /// keeps its slope.
    pub(crate) fn apply(&self, track: &[f64], out: &mut [f64]) {
        let n = track.len();
        let at = |i: isize| -> f64 {
            if i < 0 {
                2.0 * track[0] - track[((-i) as usize).min(n - 1)]
            } else if i as usize >= n {
                let back = (i as usize - (n - 1)).min(n - 1);
                2.0 * track[n - 1] - track[n - 1 - back]
            } else {
                track[i as usize]
            }
        };
        // Most frames are far from the ends: tap by tap over a few of them at once, so that the compiler can use vectors.
        const BLOCK: usize = 8;
        let start = HALF.min(n);
        let end = start + n.saturating_sub(2 * HALF) / BLOCK * BLOCK;
        for (i, block) in (start..end).step_by(BLOCK).zip(out[start..end].chunks_exact_mut(BLOCK)) {
            let mut sums = [0f64; BLOCK];
            for (sum, x) in sums.iter_mut().zip(&track[i..]) {
                *sum = self.taps[0] * x;
            }
            for k in 1..=HALF {
                let (before, after) = (&track[i - k..][..BLOCK], &track[i + k..][..BLOCK]);
                for j in 0..BLOCK {
                    sums[j] += self.taps[k] * (before[j] + after[j]);
                }
            }
            block.copy_from_slice(&sums);
        }
        for i in (0..start).chain(end..n) {
            let pair = |k: usize| at(i as isize - k as isize) + at((i + k) as isize);
            out[i] = (1..=HALF).fold(self.taps[0] * track[i], |sum, k| sum + self.taps[k] * pair(k));
        }
    }
}

/// Solves a symmetric positive definite system given by its lower triangle (Cholesky).
fn solve<const N: usize>(a: &mut [[f64; N]; N], mut b: [f64; N]) -> [f64; N] {
    for i in 0..N {
        for j in 0..=i {
            let known = a[i][..j].iter().zip(&a[j][..j]).map(|(x, y)| x * y).sum::<f64>();
            let sum = a[i][j] - known;
            a[i][j] = if i == j { sum.max(1e-300).sqrt() } else { sum / a[j][j] };
        }
    }
    for i in 0..N {
        let known: f64 = (0..i).map(|k| a[i][k] * b[k]).sum();
        b[i] = (b[i] - known) / a[i][i];
    }
    for i in (0..N).rev() {
        let known: f64 = (i + 1..N).map(|k| a[k][i] * b[k]).sum();
        b[i] = (b[i] - known) / a[i][i];
    }
    b
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn modulation_comes_back_to_its_size() {
        let frame_s = 0.005;
        for window_s in [0.04, 0.06, 0.103] {
            let filter = Unflatten::for_level(frame_s, window_s);
            for hz in [0.8, 1.0, 2.0, 4.0, 6.0, 7.0] {
                let flattened: Vec<f64> = (0..400)
                    .map(|i| {
                        (std::f64::consts::TAU * hz * f64::from(i) * frame_s).sin()
                            * hann_response(hz, window_s)
                    })
                    .collect();
                let mut out = vec![0.0; 400];
                filter.apply(&flattened, &mut out);
                for (i, &y) in out.iter().enumerate().skip(HALF).take(400 - 2 * HALF) {
                    let truth = (std::f64::consts::TAU * hz * i as f64 * frame_s).sin();
                    assert!((y - truth).abs() < 0.012, "{window_s} s, {hz} Hz: {y} for {truth}");
                }
            }
        }
    }

    #[test]
    fn a_steady_track_is_left_alone_to_its_ends() {
        let filter = Unflatten::for_pitch(0.005, 0.04, 0.01);
        let mut out = vec![0.0; 60];
        filter.apply(&[3.0; 60], &mut out);
        assert!(out.iter().all(|y| (y - 3.0).abs() < 1e-9));
    }
}
