//! Fills a gap in the band from what lies before and behind it: each side is carried on into the gap by linear prediction,
//! and one fades into the other. Tones go on, noise fades, silence stays. Knows no ticks.

use super::prediction::{Burg, predicted};
use rustfft::num_complex::Complex32;
use std::f32::consts::FRAC_PI_2;

/// Coefficients of the prediction: twice the harmonics that a wind tone has in the band, where they are strong enough to
/// matter.
const ORDER: usize = 24;

/// Fills gaps of up to a fixed length. Allocates nothing after its construction.
pub(crate) struct Filler {
    burg: Burg,
    forward: Vec<Complex32>,
    backward: Vec<Complex32>,
}

impl Filler {
    /// For gaps, and stretches beside them, of up to this many samples each.
    pub(crate) fn new(max_beside: usize, max_gap: usize) -> Self {
        Self {
            burg: Burg::new(max_beside, ORDER),
            forward: Vec::with_capacity(max_beside + max_gap),
            backward: Vec::with_capacity(max_beside + max_gap),
        }
    }

    /// What belongs between `before` and `after`, over `n` samples.
    pub(crate) fn between(
        &mut self,
        before: &[Complex32],
        after: &[Complex32],
        n: usize,
    ) -> impl Iterator<Item = Complex32> {
        self.forward.clear();
        self.forward.extend_from_slice(before);
        carry_on(&mut self.burg, n, &mut self.forward);
        self.backward.clear();
        self.backward.extend(after.iter().rev());
        carry_on(&mut self.burg, n, &mut self.backward);
        let from_before = self.forward[before.len()..].iter();
        let from_after = self.backward[after.len()..].iter().rev();
        from_before.zip(from_after).enumerate().map(move |(i, (a, b))| {
            let share = (FRAC_PI_2 * (i as f32 + 0.5) / n as f32).sin().powi(2);
            a * (1.0 - share) + b * share
        })
    }
}

/// Adds `n` samples to a signal.
#[cfg_attr(target_arch = "wasm32", inline(never))]
fn carry_on(burg: &mut Burg, n: usize, signal: &mut Vec<Complex32>) {
    let coefficients = burg.fit(signal);
    for _ in 0..n {
        let next = predicted(signal, signal.len(), coefficients);
        signal.push(next);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f32::consts::TAU;

    #[test]
    fn a_tone_goes_on_through_the_gap() {
        // Three harmonics that also swell by half within the gap, in the band's samples of 8 kHz: 26 ms of gap.
        let value = |n: usize| -> Complex32 {
            let swell = 1.0 + 0.5 * n as f32 / 528.0;
            [(0.061f32, 1.0f32), (0.172, 0.4), (-0.23, 0.2)]
                .iter()
                .map(|&(turns, size)| Complex32::from_polar(swell * size, TAU * (turns * n as f32).fract()))
                .sum()
        };
        let all: Vec<Complex32> = (0..528).map(value).collect();
        let mut filler = Filler::new(160, 208);
        let filled = filler.between(&all[..160], &all[368..], 208);
        let worst = filled.zip(&all[160..368]).map(|(a, b)| (a - b).norm()).fold(0f32, f32::max);
        // An eighth of the tone's size.
        assert!(worst < 0.2, "{worst}");
    }

    #[test]
    fn silence_stays_silent() {
        let nothing = [Complex32::default(); 160];
        let mut filler = Filler::new(160, 208);
        assert!(filler.between(&nothing, &nothing, 208).all(|x| x.norm() == 0.0));
    }
}
