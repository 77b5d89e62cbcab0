//! How much of a sound is a click that came through some short path: the path is fitted by least squares, and what it makes
//! of the click is taken for the click. All else that sounds at that time is nearly left alone, since it does not look so.

use super::matching::Template;
use rustfft::num_complex::Complex32;

type Complex64 = rustfft::num_complex::Complex<f64>;

/// Length of the path in samples of the band: about 5 ms, of a loudspeaker, a microphone and what stands near them.
pub(crate) const PATH_TAPS: usize = 40;
/// Part of the click's energy that is added before solving, since outside its sweep the click has none.
const RIDGE: f64 = 1e-3;

/// Fits paths. Allocates nothing after its construction.
pub(crate) struct Explainer {
    /// Right side and solution of the equations, and the two rows of the recursion.
    right: Vec<Complex64>,
    path: Vec<Complex64>,
    row: Vec<Complex64>,
    former: Vec<Complex64>,
}

impl Explainer {
    pub(crate) fn new() -> Self {
        let nothing = || vec![Complex64::default(); PATH_TAPS];
        Self { right: nothing(), path: nothing(), row: nothing(), former: nothing() }
    }

    /// Length of the sound that a click of this template fills, with its path.
    pub(crate) fn len(template: &Template) -> usize {
        template.len() + PATH_TAPS - 1
    }

    /// Replaces a sound of [`Explainer::len`] samples by the part of it that is a click.
    pub(crate) fn keep_click(&mut self, template: &Template, sound: &mut [Complex32]) {
        for (lag, right) in self.right.iter_mut().enumerate() {
            *right = product(template.band(), &sound[lag..]);
        }
        self.solve(template.likeness_of_itself());
        sound.fill(Complex32::default());
        for (lag, tap) in self.path.iter().enumerate() {
            let tap = Complex32::new(tap.re as f32, tap.im as f32);
            for (out, t) in sound[lag..].iter_mut().zip(template.band()) {
                *out += tap * t;
            }
        }
    }

    /// Solves for the path by Levinson's recursion (N. Levinson, J. Math. Phys. 25, 1947): the equations' matrix holds the
    /// click's autocorrelation, `of_itself` its first row.
    fn solve(&mut self, of_itself: &[Complex64]) {
        let energy = of_itself[0].re * (1.0 + RIDGE);
        if energy <= 0.0 {
            self.path.fill(Complex64::default());
            return;
        }
        // Row m times this is nought but for its last place, where it is `error`.
        self.row.fill(Complex64::default());
        self.path.fill(Complex64::default());
        self.row[0] = Complex64::new(1.0, 0.0);
        let mut error = energy;
        for m in 0..PATH_TAPS {
            if m > 0 {
                // Entry (m, k) of the matrix is the autocorrelation at m - k.
                let left: Complex64 = (0..m).map(|k| of_itself[m - k].conj() * self.row[k]).sum();
                let turn = -left / error;
                self.former.copy_from_slice(&self.row);
                for k in 0..=m {
                    self.row[k] += turn * self.former[m - k].conj();
                }
                error *= 1.0 - turn.norm_sqr();
            }
            let known: Complex64 = (0..m).map(|k| of_itself[m - k].conj() * self.path[k]).sum();
            let next = (self.right[m] - known) / error;
            for k in 0..=m {
                self.path[k] += next * self.row[m - k].conj();
            }
        }
    }
}

/// The click's autocorrelation at the lags of a path: at lag m the sum of conj(t(n + m)) t(n).
pub(crate) fn autocorrelation(band: &[Complex32]) -> Vec<Complex64> {
    (0..PATH_TAPS).map(|lag| product(&band[lag.min(band.len())..], band)).collect()
}

/// Sum of conj(a) b over the shorter of the two.
fn product(a: &[Complex32], b: &[Complex32]) -> Complex64 {
    let sum: Complex32 = a.iter().zip(b).map(|(a, b)| a.conj() * b).sum();
    Complex64::new(f64::from(sum.re), f64::from(sum.im))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::click::sound::{ClickKind, ClickSound};
    use std::f32::consts::TAU;

    #[test]
    fn a_click_through_a_path_is_kept_and_a_tone_is_not() {
        let template = Template::new(ClickSound::Bright, ClickKind::Beat, 48_000.0);
        let mut clicked = vec![Complex32::default(); Explainer::len(&template)];
        // Direct, and two reflections with turned phases.
        for (lag, tap) in
            [(8, Complex32::new(0.5, 0.2)), (15, Complex32::new(0.0, -0.2)), (33, Complex32::new(-0.1, 0.0))]
        {
            for (out, t) in clicked[lag..].iter_mut().zip(template.band()) {
                *out += tap * t;
            }
        }
        let energy = |x: &[Complex32]| x.iter().map(|v| v.norm_sqr()).sum::<f32>();
        let mut kept = clicked.clone();
        let mut explainer = Explainer::new();
        explainer.keep_click(&template, &mut kept);
        let left: Vec<Complex32> = clicked.iter().zip(&kept).map(|(a, b)| a - b).collect();
        assert!(energy(&left) < 1e-3 * energy(&clicked), "{}", energy(&left) / energy(&clicked));
        let tone: Vec<Complex32> =
            (0..clicked.len()).map(|n| Complex32::from_polar(1.0, TAU * (0.12 * n as f32).fract())).collect();
        let mut kept = tone.clone();
        explainer.keep_click(&template, &mut kept);
        assert!(energy(&kept) < 0.3 * energy(&tone), "{}", energy(&kept) / energy(&tone));
    }
}
