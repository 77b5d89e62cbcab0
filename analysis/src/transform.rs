//! The Fourier transform of real samples, forward and back, for lengths that are powers of two. It knows no pitch.
//!
//! Natively realfft plans it, with the processor's vector units. The planner holds every algorithm for every length,
//! which is 280 kB of code in the browser's wasm; there one algorithm for powers of two takes its place. Both give the
//! same numbers: forward as defined, unscaled; back scaled by the length.

use rustfft::num_complex::Complex32;

#[cfg(not(target_arch = "wasm32"))]
pub(crate) use planned::RealTransform;
#[cfg(target_arch = "wasm32")]
pub(crate) use small::RealTransform;

#[cfg(not(target_arch = "wasm32"))]
mod planned {
    use super::Complex32;
    use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
    use std::sync::Arc;

    /// A transform of one length, with its own room to work in.
    pub(crate) struct RealTransform {
        forward: Arc<dyn RealToComplex<f32>>,
        back: Arc<dyn ComplexToReal<f32>>,
        scratch: Vec<Complex32>,
    }

    impl RealTransform {
        /// For `len` samples, a power of two of at least 4.
        pub(crate) fn new(len: usize) -> Self {
            let mut planner = RealFftPlanner::new();
            let (forward, back) = (planner.plan_fft_forward(len), planner.plan_fft_inverse(len));
            let scratch = forward.get_scratch_len().max(back.get_scratch_len());
            Self { forward, back, scratch: vec![Complex32::default(); scratch] }
        }

        /// From `len` samples to `len / 2 + 1` bins; the samples are used up.
        pub(crate) fn forward(&mut self, time: &mut [f32], spectrum: &mut [Complex32]) {
            self.forward
                .process_with_scratch(time, spectrum, &mut self.scratch)
                .expect("the buffers were made for this transform");
        }

        /// From `len / 2 + 1` bins, the first and last of them real, to `len` samples; the bins are used up.
        pub(crate) fn back(&mut self, spectrum: &mut [Complex32], time: &mut [f32]) {
            self.back
                .process_with_scratch(spectrum, time, &mut self.scratch)
                .expect("the buffers were made for this transform");
        }
    }
}

#[cfg(any(target_arch = "wasm32", test))]
mod small {
    use super::Complex32;
    use rustfft::algorithm::Radix4;
    use rustfft::{Fft, FftDirection};
    use std::f64::consts::TAU;

    /// A transform of one length, with its own room to work in. Even and odd samples go through a complex transform of
    /// half the length as its real and imaginary parts, and are then told apart by their symmetry (the usual way; see
    /// for example Press et al., "Numerical Recipes", section 12.3).
    pub(crate) struct RealTransform {
        forward: Radix4<f32>,
        back: Radix4<f32>,
        /// exp(-2 pi i k / len) for k from 0 to len / 2.
        turns: Vec<Complex32>,
        packed: Vec<Complex32>,
        scratch: Vec<Complex32>,
    }

    impl RealTransform {
        /// For `len` samples, a power of two of at least 4.
        pub(crate) fn new(len: usize) -> Self {
            let half = len / 2;
            let forward = Radix4::new(half, FftDirection::Forward);
            let back = Radix4::new(half, FftDirection::Inverse);
            let scratch = forward.get_inplace_scratch_len().max(back.get_inplace_scratch_len());
            let turn = |k: usize| {
                let (sin, cos) = (-TAU * k as f64 / len as f64).sin_cos();
                Complex32::new(cos as f32, sin as f32)
            };
            Self {
                forward,
                back,
                turns: (0..=half).map(turn).collect(),
                packed: vec![Complex32::default(); half],
                scratch: vec![Complex32::default(); scratch],
            }
        }

        /// From `len` samples to `len / 2 + 1` bins.
        pub(crate) fn forward(&mut self, time: &mut [f32], spectrum: &mut [Complex32]) {
            for (slot, pair) in self.packed.iter_mut().zip(time.chunks_exact(2)) {
                *slot = Complex32::new(pair[0], pair[1]);
            }
            self.forward.process_with_scratch(&mut self.packed, &mut self.scratch);
            let half = self.packed.len();
            for (k, bin) in spectrum.iter_mut().enumerate() {
                let here = self.packed[k % half];
                let mirrored = self.packed[(half - k) % half].conj();
                let even = (here + mirrored) * 0.5;
                let odd = Complex32::new(0.0, -0.5) * (here - mirrored);
                *bin = even + self.turns[k] * odd;
            }
        }

        /// From `len / 2 + 1` bins, the first and last of them real, to `len` samples.
        pub(crate) fn back(&mut self, spectrum: &mut [Complex32], time: &mut [f32]) {
            let half = self.packed.len();
            for (k, slot) in self.packed.iter_mut().enumerate() {
                let here = spectrum[k];
                let mirrored = spectrum[half - k].conj();
                let even = here + mirrored;
                let odd = (here - mirrored) * self.turns[k].conj();
                *slot = even + Complex32::new(0.0, 1.0) * odd;
            }
            self.back.process_with_scratch(&mut self.packed, &mut self.scratch);
            for (pair, slot) in time.chunks_exact_mut(2).zip(&self.packed) {
                pair[0] = slot.re;
                pair[1] = slot.im;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Samples without any symmetry: quadratic residues, scaled to ±1.
    fn samples(len: usize) -> Vec<f32> {
        (0..len).map(|i| ((i * i * 7 + i * 3) % 101) as f32 / 50.0 - 1.0).collect()
    }

    /// The definition, in double precision.
    fn by_definition(samples: &[f32], k: usize) -> (f64, f64) {
        let turn = TAU * k as f64 / samples.len() as f64;
        samples.iter().enumerate().fold((0.0, 0.0), |(re, im), (i, &x)| {
            let (sin, cos) = (turn * i as f64).sin_cos();
            (re + f64::from(x) * cos, im - f64::from(x) * sin)
        })
    }

    macro_rules! check {
        ($transform:ty) => {
            for len in [4, 8, 16, 32, 256, 2048] {
                let mut transform = <$transform>::new(len);
                let mut spectrum = vec![Complex32::default(); len / 2 + 1];
                transform.forward(&mut samples(len), &mut spectrum);
                // Single precision: 24 bits, and an error that grows with the root of the number of stages.
                let tolerance = 1e-6 * len as f64;
                for (k, bin) in spectrum.iter().enumerate() {
                    let (re, im) = by_definition(&samples(len), k);
                    let error = (f64::from(bin.re) - re).hypot(f64::from(bin.im) - im);
                    assert!(error < tolerance, "{len} samples, bin {k}: {bin} for {re}, {im}");
                }
                // Rounding leaves a trace in parts that are nought by definition.
                spectrum[0].im = 0.0;
                spectrum[len / 2].im = 0.0;
                let mut time = vec![0.0; len];
                transform.back(&mut spectrum, &mut time);
                for (out, x) in time.iter().zip(samples(len)) {
                    let error = (f64::from(*out) / len as f64 - f64::from(x)).abs();
                    assert!(error < 1e-5, "{len} samples: {out} / {len} for {x}");
                }
            }
        };
    }

    #[test]
    fn the_planned_transform_follows_the_definition() {
        check!(planned::RealTransform);
    }

    #[test]
    fn the_small_transform_follows_the_definition() {
        check!(small::RealTransform);
    }
}
