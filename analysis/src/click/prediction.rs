//! Linear prediction of a complex signal: each sample as a sum of those before it. It whitens a sound for the search, and
//! carries one on where a piece is missing. Knows no clicks.

use crate::framing::dot;
use rustfft::num_complex::Complex32;

/// Finds the coefficients of a prediction by Burg's method (J. P. Burg, "Maximum entropy spectral analysis", 1975; the
/// complex form for example in S. M. Kay, "Modern Spectral Estimation", 1988). It never gives a prediction that grows.
pub(crate) struct Burg {
    /// Errors of the prediction, real and imaginary parts apart so that sums can run in lanes.
    forward: [Vec<f32>; 2],
    backward: [Vec<f32>; 2],
    coefficients: Vec<Complex32>,
    former: Vec<Complex32>,
}

impl Burg {
    /// For signals of up to `max_len` samples and this many coefficients.
    pub(crate) fn new(max_len: usize, order: usize) -> Self {
        let errors = || [Vec::with_capacity(max_len), Vec::with_capacity(max_len)];
        Self {
            forward: errors(),
            backward: errors(),
            coefficients: vec![Complex32::default(); order],
            former: vec![Complex32::default(); order],
        }
    }

    /// The coefficients for a signal: sample n is about the sum of `coefficients[k]` times sample n - 1 - k. A signal that
    /// is shorter than three times their number, or silent, is predicted as nought.
    #[cfg_attr(target_arch = "wasm32", inline(never))]
    pub(crate) fn fit(&mut self, signal: &[Complex32]) -> &[Complex32] {
        let (n, order) = (signal.len(), self.coefficients.len());
        self.coefficients.fill(Complex32::default());
        for errors in [&mut self.forward, &mut self.backward] {
            for (part, of) in errors.iter_mut().zip([|x: &Complex32| x.re, |x: &Complex32| x.im]) {
                part.clear();
                part.extend(signal.iter().map(of));
            }
        }
        if n < 3 * order {
            return &self.coefficients;
        }
        for m in 0..order {
            // Backward errors are numbered so that each stands beside the forward error it is compared with.
            let [ahead_re, ahead_im] = self.forward.each_mut().map(|part| &mut part[m + 1..]);
            let [behind_re, behind_im] = self.backward.each_mut().map(|part| &mut part[..n - m - 1]);
            let power = dot(ahead_re, ahead_re) + dot(ahead_im, ahead_im);
            let power = power + dot(behind_re, behind_re) + dot(behind_im, behind_im);
            if power < 1e-24 {
                break;
            }
            let re = dot(ahead_re, behind_re) + dot(ahead_im, behind_im);
            let im = dot(ahead_im, behind_re) - dot(ahead_re, behind_im);
            let reflection = Complex32::new(re, im) * (2.0 / power);
            self.former[..m].copy_from_slice(&self.coefficients[..m]);
            for k in 0..m {
                self.coefficients[k] = self.former[k] - reflection * self.former[m - 1 - k].conj();
            }
            self.coefficients[m] = reflection;
            let (re, im) = (reflection.re, reflection.im);
            let behind = behind_re.iter_mut().zip(behind_im);
            for ((a_re, a_im), (b_re, b_im)) in ahead_re.iter_mut().zip(ahead_im).zip(behind) {
                let (ahead, behind) = ((*a_re, *a_im), (*b_re, *b_im));
                *a_re -= re * behind.0 - im * behind.1;
                *a_im -= re * behind.1 + im * behind.0;
                *b_re -= re * ahead.0 + im * ahead.1;
                *b_im -= re * ahead.1 - im * ahead.0;
            }
        }
        &self.coefficients
    }
}

/// What the prediction leaves of a signal: one value for each sample from number `coefficients.len()` on.
pub(crate) fn residual<'a>(
    signal: &'a [Complex32],
    coefficients: &'a [Complex32],
) -> impl Iterator<Item = Complex32> + 'a {
    (coefficients.len()..signal.len()).map(|n| signal[n] - predicted(signal, n, coefficients))
}

/// The prediction of sample `n` from those before it.
pub(crate) fn predicted(signal: &[Complex32], n: usize, coefficients: &[Complex32]) -> Complex32 {
    coefficients.iter().zip(signal[..n].iter().rev()).map(|(c, x)| c * x).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f32::consts::TAU;

    #[test]
    fn sines_are_carried_on() {
        // Three of them: three coefficients would do.
        let value = |n: usize| -> Complex32 {
            [(0.031f32, 1.0f32), (0.172, 0.3), (-0.23, 0.1)]
                .iter()
                .map(|&(turns, size)| Complex32::from_polar(size, TAU * (turns * n as f32).fract()))
                .sum()
        };
        let mut signal: Vec<Complex32> = (0..200).map(value).collect();
        let mut burg = Burg::new(200, 12);
        let coefficients = burg.fit(&signal).to_vec();
        let largest = residual(&signal, &coefficients).map(|e| e.norm()).fold(0f32, f32::max);
        assert!(largest < 0.01, "{largest}");
        for n in 200..300 {
            signal.push(predicted(&signal, n, &coefficients));
            assert!((signal[n] - value(n)).norm() < 0.1, "{n}");
        }
    }

    #[test]
    fn silence_and_short_signals_are_predicted_as_nought() {
        let mut burg = Burg::new(100, 8);
        assert!(burg.fit(&[Complex32::default(); 100]).iter().all(|c| c.norm() == 0.0));
        assert!(burg.fit(&[Complex32::new(1.0, 0.0); 10]).iter().all(|c| c.norm() == 0.0));
    }
}
