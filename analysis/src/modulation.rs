//! The last seconds of one tone as two clean tracks, level in dB and pitch in cents, freed of what the window
//! flattened. Knows frames, not samples; what the tracks mean is for `rhythm` and `pulses` to say.

use crate::harmonics::{Apart, MAX_FOLLOWED};
use crate::unflatten::Unflatten;

/// Frames a modulation can hold: four seconds and a margin at the highest frame rate.
pub(crate) const CAPACITY: usize = 1024;

/// Level under the loudest frame at which the dB track stops falling. Below, the tone has broken, and how far is noise.
const FLOOR_DB: f64 = -45.0;

/// Level under the loudest in which the harmonics are compared, dB: below, noise fills the weaker ones.
const COMPARED_DB: f64 = 12.0;
/// Standard deviation of the summed level from what the harmonics share: below the first, dB, they are one player's alone;
/// above the second the sum is of no use (our own measurement).
const CROWDED_DB: (f64, f64) = (0.35, 0.9);
/// The summed level may swing so much less or more than what is shared.
const SCALE_RANGE: (f64, f64) = (0.4, 2.5);

/// Harmonics agree about a mean within this, cents, and what the ends of a stretch add to it, cents times frames (a
/// twentieth of a cycle at 440 Hz).
const AGREE_CENTS: f64 = 0.3;
const AGREE_CENT_FRAMES: f64 = 40.0;
/// Crowding from which that is looked at, and from which it is believed.
const ECHOES: (f64, f64) = (0.3, 0.6);

/// One frame of a tone as kept: level, and pitch where it can be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ToneFrame {
    /// RMS level, linear.
    pub(crate) level: f64,
    /// What the harmonics' levels do together, linear; its scale means nothing.
    pub(crate) shared_level: f64,
    /// MIDI note number with fraction; `None` while the tone is broken.
    pub(crate) midi: Option<f64>,
    /// Each harmonic's pitch relative to that.
    pub(crate) apart: [Apart; MAX_FOLLOWED],
}

/// Two tracks over the same frames.
pub(crate) struct Modulation {
    n: usize,
    first_frame: u64,
    base_midi: f64,
    level_db: Vec<f64>,
    summed_db: Vec<f64>,
    shared_db: Vec<f64>,
    /// How far the harmonics' levels go ways of their own: 0 not at all, 1 enough to follow only what they share.
    crowding: f64,
    cents: Vec<f64>,
    voiced: Vec<bool>,
    /// Sums, up to each frame, of the harmonics' cents relative to the track's where the tone sounded; and their weights.
    apart: Vec<[f64; MAX_FOLLOWED]>,
    weights: [f64; MAX_FOLLOWED],
    raw: Vec<f64>,
    clean: Vec<f64>,
}

impl Modulation {
    pub(crate) fn new() -> Self {
        let track = || vec![0.0; CAPACITY];
        Self {
            n: 0,
            first_frame: 0,
            base_midi: 0.0,
            level_db: track(),
            summed_db: track(),
            shared_db: track(),
            crowding: 0.0,
            cents: track(),
            voiced: vec![false; CAPACITY],
            apart: vec![[0.0; MAX_FOLLOWED]; CAPACITY + 1],
            weights: [0.0; MAX_FOLLOWED],
            raw: track(),
            clean: track(),
        }
    }

    /// Fills the tracks from frames (at most [`CAPACITY`], else the last ones).
    pub(crate) fn fill(
        &mut self,
        frames: &[ToneFrame],
        first_frame: u64,
        level: &Unflatten,
        pitch: &Unflatten,
    ) {
        let skip = frames.len().saturating_sub(CAPACITY);
        let frames = &frames[skip..];
        self.n = frames.len();
        self.first_frame = first_frame + skip as u64;
        if frames.is_empty() {
            return;
        }
        let n = self.n;
        for (slot, frame) in self.raw.iter_mut().zip(frames) {
            *slot = frame.level;
        }
        level.apply(&self.raw[..n], &mut self.clean);
        to_db(&self.clean[..n], &mut self.summed_db);
        self.level_db[..n].copy_from_slice(&self.summed_db[..n]);
        for (slot, frame) in self.raw.iter_mut().zip(frames) {
            *slot = frame.shared_level;
        }
        level.apply(&self.raw[..n], &mut self.clean);
        to_db(&self.clean[..n], &mut self.shared_db);
        self.crowding = blend(&mut self.level_db[..n], &self.shared_db[..n]);
        self.sum_apart(frames);
        self.bridge_pitch(frames);
        pitch.apply(&self.raw[..n], &mut self.cents);
    }

    fn sum_apart(&mut self, frames: &[ToneFrame]) {
        self.weights = [0.0; MAX_FOLLOWED];
        for (i, frame) in frames.iter().enumerate() {
            let mut sums = self.apart[i];
            if frame.midi.is_some() {
                for ((sum, weight), apart) in sums.iter_mut().zip(&mut self.weights).zip(&frame.apart) {
                    *sum += f64::from(apart.cents);
                    *weight += f64::from(apart.weight);
                }
            }
            self.apart[i + 1] = sums;
        }
    }

    /// Pitch in cents from the mean, gaps bridged by straight lines; remembers where there was a pitch.
    fn bridge_pitch(&mut self, frames: &[ToneFrame]) {
        let (sum, count) =
            frames.iter().filter_map(|f| f.midi).fold((0.0, 0usize), |(s, c), m| (s + m, c + 1));
        self.base_midi = if count > 0 { sum / count as f64 } else { 0.0 };
        let mut last: Option<(usize, f64)> = None;
        for (i, frame) in frames.iter().enumerate() {
            self.voiced[i] = frame.midi.is_some();
            let Some(midi) = frame.midi else { continue };
            let cents = 100.0 * (midi - self.base_midi);
            let (from, start) = last.map_or((0, cents), |(j, c)| (j + 1, c));
            let steps = (i + 1 - from) as f64;
            for (k, slot) in self.raw[from..=i].iter_mut().enumerate() {
                *slot = start + (cents - start) * (k + 1) as f64 / steps;
            }
            last = Some((i, cents));
        }
        let (from, value) = last.map_or((0, 0.0), |(j, c)| (j + 1, c));
        self.raw[from..frames.len()].fill(value);
    }

    pub(crate) fn len(&self) -> usize {
        self.n
    }

    /// Number of the first frame.
    pub(crate) fn first_frame(&self) -> u64 {
        self.first_frame
    }

    /// Pitch that `cents` counts from, as MIDI note number.
    pub(crate) fn base_midi(&self) -> f64 {
        self.base_midi
    }

    pub(crate) fn level_db(&self) -> &[f64] {
        &self.level_db[..self.n]
    }

    /// Level of all harmonics summed, dB, whoever's they are.
    pub(crate) fn summed_db(&self) -> &[f64] {
        &self.summed_db[..self.n]
    }

    pub(crate) fn cents(&self) -> &[f64] {
        &self.cents[..self.n]
    }

    pub(crate) fn voiced(&self) -> &[bool] {
        &self.voiced[..self.n]
    }

    /// How far the harmonics' levels go ways of their own, 0 to 1: others are heard, or echoes.
    pub(crate) fn crowding(&self) -> f64 {
        self.crowding
    }

    /// How much level (dB) and pitch (cents) waver over the newest `n` frames: standard deviations about their trends.
    pub(crate) fn waver(&self, n: usize) -> (f64, f64) {
        let start = self.n - n.min(self.n);
        (deviation(&self.level_db()[start..]), deviation(&self.cents()[start..]))
    }

    /// [`Modulation::mean_cents`] as a pitch: MIDI note number with fraction.
    pub(crate) fn mean_midi(&self, from: f64, to: f64) -> Option<f64> {
        self.mean_cents(from, to).map(|cents| self.base_midi + cents / 100.0)
    }

    /// Mean of the cents over frames `from..to` (fractions of frames count) where the tone sounded; `None` where it
    /// sounded for less than half of them.
    ///
    /// Each harmonic's phase says for itself how many cycles went by, however echoes shake its pitch from frame to frame,
    /// unless an echo louder than the tone makes it slip a whole cycle. So the harmonics that agree closely about the
    /// mean have it right, and those that slipped lie apart.
    pub(crate) fn mean_cents(&self, from: f64, to: f64) -> Option<f64> {
        let (from, to) = (from.max(0.0), to.min(self.n as f64 - 1.0));
        let (mut sum, mut weight) = (0.0, 0.0);
        let first = from.floor() as usize;
        let last = (to.ceil() as usize).min(self.n.saturating_sub(1));
        for i in first..=last {
            // Trapezoid rule with a fractional first and last cell: each frame stands for half a frame to each side.
            let cell = ((i as f64 + 0.5).min(to) - (i as f64 - 0.5).max(from)).max(0.0);
            if self.voiced[i] {
                sum += cell * self.cents[i];
                weight += cell;
            }
        }
        let enough = weight > 0.0 && weight >= 0.5 * (to - from);
        let echoes = self.echoes();
        let apart = || if echoes > 0.0 { echoes * self.mean_apart(first, last + 1) } else { 0.0 };
        enough.then(|| sum / weight + apart())
    }

    /// How much the harmonics are worth hearing one by one: not where they agree anyway, 0, to 1.
    fn echoes(&self) -> f64 {
        ((self.crowding - ECHOES.0) / (ECHOES.1 - ECHOES.0)).clamp(0.0, 1.0)
    }

    /// What the harmonics that agree closely say about the mean over whole frames, relative to the track's.
    fn mean_apart(&self, first: usize, end: usize) -> f64 {
        let n = self.voiced[first..end].iter().filter(|v| **v).count();
        if n == 0 {
            return 0.0;
        }
        let of = |h: usize| (self.apart[end][h] - self.apart[first][h]) / n as f64;
        let width = AGREE_CENTS + AGREE_CENT_FRAMES / n as f64;
        let near = |h: usize, cents: f64| self.weights[h] * (-0.5 * ((of(h) - cents) / width).powi(2)).exp();
        let support = |cents: f64| (0..MAX_FOLLOWED).map(|h| near(h, cents)).sum::<f64>();
        let best = (0..MAX_FOLLOWED)
            .filter(|&h| self.weights[h] > 0.0)
            .map(of)
            .max_by(|a, b| support(*a).total_cmp(&support(*b)));
        best.map_or(0.0, |cents| {
            (0..MAX_FOLLOWED).map(|h| near(h, cents) * of(h)).sum::<f64>() / support(cents)
        })
    }
}

/// Levels in dB, down to [`FLOOR_DB`] under the loudest.
fn to_db(levels: &[f64], out: &mut [f64]) {
    let loudest = levels.iter().copied().fold(1e-9, f64::max);
    let floor = loudest * 10f64.powf(FLOOR_DB / 20.0);
    for (slot, &level) in out.iter_mut().zip(levels) {
        *slot = 20.0 * level.max(floor).log10();
    }
}

/// Where the summed level does what the harmonics have in common, it is the better measure, and is left alone. Where it
/// does not, since others or echoes are heard, it is replaced by what they share, scaled to fit it. Gives the share that
/// was replaced.
fn blend(level_db: &mut [f64], shared_db: &[f64]) -> f64 {
    let loudest = level_db.iter().copied().fold(f64::MIN, f64::max);
    let counts = |db: f64| db > loudest - COMPARED_DB;
    // Regression of the level on what is shared and on time.
    let (mut n, mut sums, mut squares) = (0.0, [0.0; 3], [0.0; 6]);
    for (i, (&y, &x)) in level_db.iter().zip(shared_db).enumerate() {
        if counts(y) {
            let t = i as f64 / level_db.len() as f64;
            n += 1.0;
            for (sum, v) in sums.iter_mut().zip([y, x, t]) {
                *sum += v;
            }
            for (sum, v) in squares.iter_mut().zip([y * y, x * x, t * t, y * x, y * t, x * t]) {
                *sum += v;
            }
        }
    }
    if n < 8.0 {
        return 0.0;
    }
    let [y, x, t] = sums.map(|s| s / n);
    let [yy, xx, tt, yx, yt, xt] = squares.map(|s| s / n);
    let (yy, xx, tt) = (yy - y * y, xx - x * x, (tt - t * t).max(1e-12));
    let (yx, yt, xt) = (yx - y * x, yt - y * t, xt - x * t);
    let (about_x, about_y, both) = (xx - xt * xt / tt, yy - yt * yt / tt, yx - yt * xt / tt);
    let scale = if about_x > 1e-9 { (both / about_x).clamp(SCALE_RANGE.0, SCALE_RANGE.1) } else { 1.0 };
    let rest_db = (about_y - 2.0 * scale * both + scale * scale * about_x).max(0.0).sqrt();
    let share = ((rest_db - CROWDED_DB.0) / (CROWDED_DB.1 - CROWDED_DB.0)).clamp(0.0, 1.0);
    if share > 0.0 {
        for (level, &shared) in level_db.iter_mut().zip(shared_db) {
            *level += share * (y + scale * (shared - x) - *level);
        }
    }
    share
}

/// Standard deviation about the straight line through the values.
fn deviation(x: &[f64]) -> f64 {
    let n = x.len() as f64;
    if n < 3.0 {
        return f64::INFINITY;
    }
    let mean = x.iter().sum::<f64>() / n;
    let middle = (n - 1.0) / 2.0;
    let slope_top: f64 = x.iter().enumerate().map(|(i, v)| (i as f64 - middle) * (v - mean)).sum();
    let slope = slope_top / (n * (n * n - 1.0) / 12.0);
    let squares: f64 =
        x.iter().enumerate().map(|(i, v)| (v - mean - slope * (i as f64 - middle)).powi(2)).sum();
    (squares / n).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_over_whole_cycles_does_not_see_the_swing() {
        let mut modulation = Modulation::new();
        let frames: Vec<ToneFrame> = (0..300)
            .map(|i| ToneFrame {
                level: 0.1,
                shared_level: 0.1,
                apart: Default::default(),
                midi: Some(60.0 + 0.2 * (f64::from(i) * std::f64::consts::TAU / 43.7).sin()),
            })
            .collect();
        let filter = Unflatten::for_level(0.005, 0.04);
        modulation.fill(&frames, 0, &filter, &filter);
        let mean = modulation.mean_cents(60.3, 60.3 + 3.0 * 43.7).unwrap();
        let midi = modulation.base_midi() + mean / 100.0;
        assert!((midi - 60.0).abs() < 0.001, "{midi}");
    }

    #[test]
    fn a_broken_tone_has_no_mean_where_it_is_silent() {
        let mut modulation = Modulation::new();
        let frames: Vec<ToneFrame> = (0..100)
            .map(|i| ToneFrame {
                level: 0.1,
                shared_level: 0.1,
                apart: Default::default(),
                midi: (i < 40).then_some(60.0),
            })
            .collect();
        let filter = Unflatten::for_level(0.005, 0.04);
        modulation.fill(&frames, 0, &filter, &filter);
        assert!(modulation.mean_cents(50.0, 90.0).is_none());
        assert!(modulation.mean_cents(0.0, 39.0).is_some());
    }
}
