//! Linear prediction of a complex signal: each sample as a sum of those before it. It whitens a sound for the search, and
//! carries one on where a piece is missing. Knows no clicks.

use rustfft::num_complex::Complex32;

type Complex64 = rustfft::num_complex::Complex<f64>;

/// Finds the coefficients of a prediction by Burg's method (J. P. Burg, "Maximum entropy spectral analysis", 1975; the
/// complex form for example in S. M. Kay, "Modern Spectral Estimation", 1988). It never gives a prediction that grows.
pub(crate) struct Burg {
    forward: Vec<Complex32>,
    backward: Vec<Complex32>,
    coefficients: Vec<Complex32>,
    former: Vec<Complex32>,
}

impl Burg {
    /// For signals of up to `max_len` samples and this many coefficients.
    pub(crate) fn new(max_len: usize, order: usize) -> Self {
        Self {
            forward: Vec::with_capacity(max_len),
            backward: Vec::with_capacity(max_len),
            coefficients: vec![Complex32::default(); order],
            former: vec![Complex32::default(); order],
        }
    }

    /// The coefficients for a signal: sample n is about the sum of `coefficients[k]` times sample n - 1 - k. A signal that
    /// is shorter than three times their number, or silent, is predicted as nought.
    #[cfg_attr(target_arch = "wasm32", inline(never))]
    pub(crate) fn fit(&mut self, signal: &[Complex32]) -> &[Complex32] {
        let order = self.coefficients.len();
        self.coefficients.fill(Complex32::default());
        self.forward.clear();
        self.forward.extend_from_slice(signal);
        self.backward.clear();
        self.backward.extend_from_slice(signal);
        let n = self.forward.len();
        if n < 3 * order {
            return &self.coefficients;
        }
        for m in 0..order {
            let (ahead, behind) = (&self.forward[m + 1..], &self.backward[m..n - 1]);
            let mut cross = Complex64::default();
            let mut power = 0.0f64;
            for (a, b) in ahead.iter().zip(behind) {
                let product = a * b.conj();
                cross += Complex64::new(f64::from(product.re), f64::from(product.im));
                power += f64::from(a.norm_sqr() + b.norm_sqr());
            }
            if power < 1e-30 {
                break;
            }
            let reflection = cross * (2.0 / power);
            let reflection = Complex32::new(reflection.re as f32, reflection.im as f32);
            self.former[..m].copy_from_slice(&self.coefficients[..m]);
            for k in 0..m {
                self.coefficients[k] = self.former[k] - reflection * self.former[m - 1 - k].conj();
            }
            self.coefficients[m] = reflection;
            // From the end, since the backward errors move on by one sample.
            for i in (m + 1..n).rev() {
                let (a, b) = (self.forward[i], self.backward[i - 1]);
                self.forward[i] = a - reflection * b;
                self.backward[i] = b - reflection.conj() * a;
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
