//! Flat tops: samples at the largest value of a block, side by side, with steep edges. Knows one block at a time.
//!
//! Why a loud tone is not taken for a clipped one: the top of a smooth wave widens as one looks lower. Between a margin
//! under the top and one 64 times as wide, a round (quadratic) top grows eightfold, one as flat as a wave of two partials
//! can be (quartic) still 2.8-fold, and what a band-limited square wave has at its top are ripples. A cut top has a corner at
//! each end and hardly grows. The ceiling may lie below full scale, since some phones clip before they turn down.
//!
//! What cannot be seen: tops that lean because a high-pass or a change of rate came after the clipping, and tops of fewer
//! than three samples, as of high notes that are clipped a little.

/// Blocks looked back on: five seconds.
const BLOCKS: usize = 100;
/// A share is of at least so many blocks, so that the first clipped one is not all there is.
const BLOCKS_MIN: usize = 20;
/// Sound below this does not clip: 20 dB under full scale.
const CEILING_MIN: f32 = 0.1;
/// Margin under the top, as a share of it, and what the rounding to 16 bits adds.
const MARGIN: f32 = 2e-4;
const ROUNDING: f32 = 1.5 / 32_768.0;
/// The wide margin is this many times the narrow one.
const WIDER: f32 = 64.0;
/// Fewest samples of a flat top, and the largest growth of one.
const SHORTEST: usize = 3;
const GROWTH_MAX: f64 = 1.5;

/// Counts clipped samples.
pub(super) struct ClipWatch {
    block: usize,
    counts: [usize; BLOCKS],
    n_blocks: usize,
}

impl ClipWatch {
    /// For blocks of this many samples.
    pub(super) fn new(block: usize) -> Self {
        Self { block, counts: [0; BLOCKS], n_blocks: 0 }
    }

    pub(super) fn look(&mut self, block: &[f32]) {
        let (lowest, highest) = extremes(block);
        let count = flat_tops(block, 1.0, highest) + flat_tops(block, -1.0, -lowest);
        self.counts[self.n_blocks % BLOCKS] = count;
        self.n_blocks += 1;
    }

    /// Share of the samples looked back on.
    pub(super) fn share(&self) -> f64 {
        let n_blocks = self.n_blocks.clamp(BLOCKS_MIN, BLOCKS);
        self.counts.iter().sum::<usize>() as f64 / (n_blocks * self.block) as f64
    }
}

/// Smallest and largest sample, nought among them; in lanes, so that the compiler can use vectors.
fn extremes(block: &[f32]) -> (f32, f32) {
    const LANES: usize = 8;
    let (mut low, mut high) = ([0f32; LANES], [0f32; LANES]);
    for part in block.chunks(LANES) {
        for ((low, high), &x) in low.iter_mut().zip(&mut high).zip(part) {
            *low = if x < *low { x } else { *low };
            *high = if x > *high { x } else { *high };
        }
    }
    (low.into_iter().fold(0.0, f32::min), high.into_iter().fold(0.0, f32::max))
}

/// Samples that lie on flat tops at `ceiling`, the largest of the block's samples times `sign`.
fn flat_tops(block: &[f32], sign: f32, ceiling: f32) -> usize {
    if ceiling < CEILING_MIN {
        return 0;
    }
    let margin = MARGIN * ceiling + ROUNDING;
    let (narrow, wide) = (ceiling - margin, ceiling - WIDER * margin);
    // Most blocks have but one or two samples up there.
    if block.iter().filter(|&&x| sign * x >= narrow).count() < SHORTEST {
        return 0;
    }
    // A top as long as half the block is no wave's: a plug pulled, or an offset.
    let longest = block.len() / 2;
    let (mut count, mut n_narrow, mut n_wide) = (0, 0usize, 0usize);
    let mut end_top = |n_narrow: usize, n_wide: usize| {
        let is_flat = n_narrow >= SHORTEST && n_wide as f64 <= GROWTH_MAX * n_narrow as f64;
        if is_flat && n_wide <= longest {
            count += n_narrow;
        }
    };
    for sample in block.iter().map(|x| sign * x) {
        if sample < wide {
            if n_narrow > 0 {
                end_top(n_narrow, n_wide);
            }
            (n_narrow, n_wide) = (0, 0);
        } else {
            n_wide += 1;
            n_narrow += usize::from(sample >= narrow);
        }
    }
    // A top that the block's end cuts off is not known whole; the next block sees its other part alone. Both are left out.
    count
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    const RATE_HZ: f64 = 48_000.0;

    /// Share of clipped samples in a second of a wave of period 1, at this pitch and peak.
    fn share(f0_hz: f64, wave: impl Fn(f64) -> f64, after: impl Fn(f64) -> f64) -> f64 {
        let mut watch = ClipWatch::new(2400);
        let samples: Vec<f32> =
            (0..48_000).map(|i| after(wave((f64::from(i) * f0_hz / RATE_HZ).fract())) as f32).collect();
        samples.chunks_exact(2400).for_each(|block| watch.look(block));
        watch.share()
    }

    fn sine(cycles: f64) -> f64 {
        (TAU * cycles).sin()
    }

    #[test]
    fn a_cut_sine_has_the_share_that_the_formula_gives() {
        // A sine of amplitude a cut at 1 is cut for 2/pi acos(1/a) of the time.
        for f0_hz in [29.14, 110.0, 233.0, 440.0, 880.0, 1760.0] {
            for (over_db, ceiling) in [(3.0, 1.0), (6.0, 1.0), (6.0, 0.4), (12.0, 0.25)] {
                let a = 10f64.powf(over_db / 20.0);
                let truth = 2.0 / std::f64::consts::PI * (1.0 / a).acos();
                let found = share(f0_hz, sine, |x| ceiling * (a * x).clamp(-1.0, 1.0));
                // Tops are whole samples, and of each block's last top half is left out in the mean.
                let top_s = truth / 2.0 / f0_hz;
                let room = 0.1 + 2.5 * f0_hz / RATE_HZ / truth + top_s / 2.0 / 0.05;
                assert!((found / truth - 1.0).abs() < room, "{f0_hz} Hz, {over_db} dB: {found} for {truth}");
            }
        }
    }

    #[test]
    fn loud_whole_waves_are_not_clipped() {
        type Wave = fn(f64) -> f64;
        let waves: [(&str, Wave); 6] = [
            ("sine", sine),
            // The flattest top of two partials, cos x - cos 3x / 9, has its first three derivatives nought.
            ("flat", |c| (TAU * c).cos() - (3.0 * TAU * c).cos() / 9.0),
            // A square wave of the first ten odd partials, as a loud stopped pipe at most; and with Fejér's weights, which
            // take the ripples away.
            ("square", |c| (0..10).map(|k| f64::from(2 * k + 1)).map(|h| sine(h * c) / h).sum()),
            ("fejer", |c| {
                (0..10).map(|k| f64::from(2 * k + 1)).map(|h| (1.0 - h / 21.0) * sine(h * c) / h).sum()
            }),
            ("saw", |c| (1..20).map(f64::from).map(|h| sine(h * c) / h).sum()),
            // Rounded by saturation, as a tube's.
            ("soft", |c| (2.0 * sine(c)).tanh()),
        ];
        for (name, wave) in waves {
            let peak = (0..4000).map(|i| wave(f64::from(i) / 4000.0).abs()).fold(0.0, f64::max);
            for midi in 22..=108 {
                let f0_hz = 440.0 * ((f64::from(midi) - 69.0) / 12.0f64).exp2();
                // Rounded to 16 bits, as most devices deliver.
                let found = share(f0_hz, wave, |x| (x / peak * 32_767.0).round() / 32_768.0);
                assert!(found < 1e-4, "{name} at {f0_hz} Hz: {found}");
            }
        }
    }
}
