//! From the microphone's rate to the working rate, and a window on the recent past. Knows sample counts, no music.

use std::iter::Sum;
use std::ops::{Add, Mul};

/// Lowest working rate: keeps the piccolo's top note (4186 Hz) and its second harmonic.
const WORKING_RATE_MIN_HZ: f64 = 20_000.0;

/// Filter taps for each step of decimation: they leave the piccolo's top note within 0.2 per cent and take what would
/// fold back from 17 kHz down by 60 dB (our own measurement, see the tests).
const TAPS_PER_STEP: usize = 24;

/// Low-pass and decimation by a whole factor, with linear phase.
pub(crate) struct Decimator {
    factor: usize,
    taps: Vec<f32>,
    delay_samples: f64,
    recent: History<f32>,
    sample_rate_hz: f64,
}

impl Decimator {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let factor = ((sample_rate_hz / WORKING_RATE_MIN_HZ) as usize).max(1);
        let mut taps = if factor == 1 { vec![1.0] } else { low_pass(factor) };
        let delay_samples = (taps.len() - 1) as f64 / 2.0;
        // Older samples count for nothing, but whole lanes of them cost less than a rest.
        let padding = taps.len().next_multiple_of(LANES) - taps.len();
        taps.splice(0..0, std::iter::repeat_n(0.0, padding));
        let recent = History::new(taps.len());
        Self { factor, taps, delay_samples, recent, sample_rate_hz }
    }

    /// Rate of the output, Hz.
    pub(crate) fn working_rate_hz(&self) -> f64 {
        self.sample_rate_hz / self.factor as f64
    }

    /// Takes a sample; every `factor`-th brings one out.
    pub(crate) fn push(&mut self, sample: f32) -> Option<f32> {
        if self.factor == 1 {
            self.recent.push(sample);
            return Some(sample);
        }
        let due = self.recent.end() % self.factor as u64 == 0;
        self.recent.push(sample);
        due.then(|| {
            let recent = self.recent.tail(self.taps.len());
            dot(recent, &self.taps[self.taps.len() - recent.len()..])
        })
    }

    /// Time of the working sample with this number, seconds from the first input sample.
    pub(crate) fn time_s(&self, working_idx: f64) -> f64 {
        (working_idx * self.factor as f64 - self.delay_samples) / self.sample_rate_hz
    }

    /// Time of the newest input sample, seconds.
    pub(crate) fn heard_until_s(&self) -> f64 {
        self.recent.end() as f64 / self.sample_rate_hz
    }
}

/// Windowed-sinc low-pass with its edge at 0.42 of the working rate, unity gain at DC.
fn low_pass(factor: usize) -> Vec<f32> {
    let n = TAPS_PER_STEP * factor + 1;
    let middle = (n - 1) as f64 / 2.0;
    let edge = 0.42 / factor as f64;
    let tap = |i: usize| {
        let x = i as f64 - middle;
        // Blackman window.
        let phase = std::f64::consts::TAU * i as f64 / (n - 1) as f64;
        let window = 0.42 - 0.5 * phase.cos() + 0.08 * (2.0 * phase).cos();
        2.0 * edge * sinc(2.0 * edge * x) * window
    };
    let taps: Vec<f64> = (0..n).map(tap).collect();
    let sum: f64 = taps.iter().sum();
    taps.iter().map(|t| (t / sum) as f32).collect()
}

/// sin(pi x) / (pi x).
pub(crate) fn sinc(x: f64) -> f64 {
    let y = std::f64::consts::PI * x;
    if y.abs() < 1e-6 { 1.0 - y * y / 6.0 } else { y.sin() / y }
}

/// Sums run in this many lanes, so that the compiler can use vectors and additions need not wait for one another. Without
/// vectors, as in plain wasm, more lanes than registers would only be carried to and fro.
const LANES: usize = if cfg!(all(target_arch = "wasm32", not(target_feature = "simd128"))) { 8 } else { 16 };

/// A number that can be summed in lanes.
pub(crate) trait Lane: Copy + Default + Add<Output = Self> + Mul<Output = Self> + Sum {}
impl Lane for f32 {}
impl Lane for f64 {}

/// Sum of products of two slices of one length. In the browser there is one copy of it, since a page has to be small.
#[cfg_attr(target_arch = "wasm32", inline(never))]
pub(crate) fn dot<T: Lane>(a: &[T], b: &[T]) -> T {
    let mut lanes = [T::default(); LANES];
    let (a_blocks, b_blocks) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: T = a_blocks.remainder().iter().zip(b_blocks.remainder()).map(|(&x, &y)| x * y).sum();
    for (x, y) in a_blocks.zip(b_blocks) {
        for i in 0..LANES {
            lanes[i] = lanes[i] + x[i] * y[i];
        }
    }
    lanes.into_iter().sum::<T>() + rest
}

/// Sum of the values.
#[inline]
pub(crate) fn sum(a: &[f32]) -> f32 {
    let mut lanes = [0f32; LANES];
    let blocks = a.chunks_exact(LANES);
    let rest: f32 = blocks.remainder().iter().sum();
    for x in blocks {
        for i in 0..LANES {
            lanes[i] += x[i];
        }
    }
    lanes.iter().sum::<f32>() + rest
}

/// The last items of a stream, contiguous and numbered from the stream's start. Never allocates after construction.
pub(crate) struct History<T> {
    items: Vec<T>,
    keep: usize,
    /// Number of `items[0]`.
    first: u64,
}

impl<T: Copy> History<T> {
    /// Keeps at least the last `keep` items.
    pub(crate) fn new(keep: usize) -> Self {
        Self { items: Vec::with_capacity(4 * keep.max(16)), keep, first: 0 }
    }

    /// Adds an item, forgetting the oldest where needed.
    pub(crate) fn push(&mut self, item: T) {
        if self.items.len() == self.items.capacity() {
            let drop = self.items.len() - self.keep;
            self.items.copy_within(drop.., 0);
            self.items.truncate(self.keep);
            self.first += drop as u64;
        }
        self.items.push(item);
    }

    /// Number of the next item to come: how many there have been.
    pub(crate) fn end(&self) -> u64 {
        self.first + self.items.len() as u64
    }

    /// Number of the oldest item still there.
    pub(crate) fn begin(&self) -> u64 {
        self.first
    }

    /// The last `n` items, or as many as there are.
    pub(crate) fn tail(&self, n: usize) -> &[T] {
        &self.items[self.items.len().saturating_sub(n)..]
    }

    /// Items `from..to`; empty where they are not all there.
    pub(crate) fn range(&self, from: u64, to: u64) -> &[T] {
        if from < self.first || to > self.end() || from > to {
            return &[];
        }
        &self.items[(from - self.first) as usize..(to - self.first) as usize]
    }

    /// Items `from..to`, to be changed; empty where they are not all there.
    pub(crate) fn range_mut(&mut self, from: u64, to: u64) -> &mut [T] {
        if from < self.first || to > self.end() || from > to {
            return &mut [];
        }
        &mut self.items[(from - self.first) as usize..(to - self.first) as usize]
    }

    /// Forgets everything and counts on from `first`.
    pub(crate) fn restart_at(&mut self, first: u64) {
        self.items.clear();
        self.first = first;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn history_numbers_items_from_the_start() {
        let mut history = History::new(4);
        for i in 0..1000u64 {
            history.push(i);
        }
        assert_eq!(history.end(), 1000);
        assert_eq!(history.tail(4), [996, 997, 998, 999]);
        assert_eq!(history.range(997, 999), [997, 998]);
        assert!(history.range(0, 2).is_empty());
    }

    #[test]
    fn decimation_keeps_the_band_and_its_time() {
        // A tone of 4186 Hz at 96 kHz comes out at its level, at the time the stamps claim.
        let rate = 96_000.0;
        let mut decimator = Decimator::new(rate);
        assert_eq!(decimator.working_rate_hz(), 24_000.0);
        let omega = std::f64::consts::TAU * 4186.0;
        let mut largest = 0f64;
        let mut k = 0;
        for i in 0..20_000 {
            let sample = (omega * f64::from(i) / rate).sin() as f32;
            if let Some(out) = decimator.push(sample) {
                if k > 100 {
                    let expected = (omega * decimator.time_s(f64::from(k))).sin();
                    largest = largest.max((f64::from(out) - expected).abs());
                }
                k += 1;
            }
        }
        assert!(largest < 2e-3, "{largest}");
    }

    #[test]
    fn what_would_fold_back_is_removed() {
        // 17 kHz at 48 kHz would fold to 7 kHz.
        let mut decimator = Decimator::new(48_000.0);
        let largest = (0..10_000)
            .filter_map(|i| {
                decimator.push((std::f64::consts::TAU * 17_000.0 * f64::from(i) / 48_000.0).sin() as f32)
            })
            .skip(100)
            .fold(0f32, |m, x| m.max(x.abs()));
        assert!(largest < 1e-3, "{largest}");
    }
}
