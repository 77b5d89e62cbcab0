//! Whether two tracks, level and pitch, repeat themselves, and after how long. Knows no seconds and no notes: periods
//! are in frames.
//!
//! The two tracks are taken as one signal of two dimensions, each in units of what a listener just notices, and
//! compared with themselves at each lag. Repetition, not shape, is what counts: at one pulse a second a pulse is a
//! little hairpin with overtones of its own, and a spectral line would mistake these for faster pulses.

use crate::framing::{dot, sum};
use crate::pitch::parabola;

/// A just noticeable modulation of level, dB peak to peak (amplitude modulation of 5 per cent).
pub(crate) const LEVEL_UNIT_DB: f64 = 0.9;
/// A just noticeable modulation of pitch, cents peak to peak (our choice; about ±3 cents at 5 Hz are detectable, from
/// memory).
pub(crate) const PITCH_UNIT_CENTS: f64 = 6.0;
/// Level under the loudest at which the comparison stops following: a broken valley is as deep as deep gets.
const RANGE_DB: f64 = 26.0;
/// Frames after thinning out.
const CAPACITY: usize = 512;
/// Frames thinned to one.
const THIN: usize = 2;
/// The first peak this close to the best is the period; later ones are its multiples.
const FIRST_PEAK_SHARE: f64 = 0.72;
/// Clarity that earns no trust and, this much above, full trust; the first two periods have to be clearer.
const CLARITY_FROM: f64 = 0.5;
const CLARITY_FROM_EARLY: f64 = 0.6;
const CLARITY_RANGE: f64 = 0.35;
/// Share of the stretch that a lag may take: two periods must fit, near enough.
const LONGEST_LAG_SHARE: f64 = 0.53;

/// What was found in a stretch of frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rhythm {
    /// Frames from pulse to pulse.
    pub(crate) period: f64,
    /// Likeness of one period to the next: 1 for perfect repetition.
    pub(crate) clarity: f64,
    /// Size of the modulation at that period, peak to peak: dB and cents.
    pub(crate) depth_db: f64,
    pub(crate) swing_cents: f64,
    /// Periods in the stretch.
    pub(crate) n_periods: f64,
}

impl Rhythm {
    /// Trust that the clarity earns, 0 to 1; none where the modulation is too small to notice.
    pub(crate) fn trust(&self) -> f64 {
        if self.depth_db < LEVEL_UNIT_DB && self.swing_cents < PITCH_UNIT_CENTS {
            return 0.0;
        }
        let from = if self.n_periods < 3.0 { CLARITY_FROM_EARLY } else { CLARITY_FROM };
        ((self.clarity - from) / CLARITY_RANGE).clamp(0.0, 1.0)
    }
}

/// Finds rhythms; owns its working space.
pub(crate) struct RhythmFinder {
    /// The tracks in units of what is just noticeable; single precision, since they are compared at many lags.
    level: Vec<f32>,
    pitch: Vec<f32>,
    energy: Vec<f64>,
    likeness: Vec<f32>,
    shortest: usize,
    longest: usize,
}

impl RhythmFinder {
    /// For pulses of `shortest` to `longest` frames.
    pub(crate) fn new(shortest: f64, longest: f64) -> Self {
        Self {
            level: Vec::with_capacity(CAPACITY),
            pitch: Vec::with_capacity(CAPACITY),
            energy: vec![0.0; CAPACITY + 1],
            likeness: vec![0.0; CAPACITY],
            shortest: (shortest / THIN as f64).floor() as usize,
            longest: (longest / THIN as f64).ceil() as usize,
        }
    }

    /// Looks at a stretch; the tracks are of one length, at most twice [`CAPACITY`].
    pub(crate) fn find(&mut self, level_db: &[f64], cents: &[f64]) -> Option<Rhythm> {
        thin(level_db, LEVEL_UNIT_DB, &mut self.level);
        thin(cents, PITCH_UNIT_CENTS, &mut self.pitch);
        let n = self.level.len();
        if n < 2 * self.shortest {
            return None;
        }
        let loudest = self.level.iter().copied().fold(f32::MIN, f32::max);
        let lowest = loudest - (RANGE_DB / LEVEL_UNIT_DB) as f32;
        for level in &mut self.level {
            *level = level.max(lowest);
        }
        // A short stretch holds hardly more than the pulses themselves; a long one also the shape of the phrase.
        let degree = 1 + n / 110;
        detrend(&mut self.level, degree);
        detrend(&mut self.pitch, degree);
        let longest = self.longest.min((n as f64 * LONGEST_LAG_SHARE) as usize).min(n - 2);
        self.compare(longest);
        let (lag, clarity) = self.first_peak(longest)?;
        let (depth, swing) = (size_at(&self.level, lag), size_at(&self.pitch, lag));
        Some(Rhythm {
            period: lag * THIN as f64,
            clarity,
            depth_db: depth * LEVEL_UNIT_DB,
            swing_cents: swing * PITCH_UNIT_CENTS,
            n_periods: n as f64 / lag,
        })
    }

    fn compare(&mut self, longest: usize) {
        let n = self.level.len();
        for i in 0..n {
            let (level, pitch) = (f64::from(self.level[i]), f64::from(self.pitch[i]));
            self.energy[i + 1] = self.energy[i] + (level * level + pitch * pitch);
        }
        for lag in 0..=longest {
            let m = n - lag;
            let sum = dot(&self.level[..m], &self.level[lag..]) + dot(&self.pitch[..m], &self.pitch[lag..]);
            let normal = (self.energy[m] * (self.energy[n] - self.energy[lag])).max(0.0).sqrt();
            self.likeness[lag] = if normal > 1e-9 { (f64::from(sum) / normal) as f32 } else { 0.0 };
        }
    }

    fn first_peak(&self, longest: usize) -> Option<(f64, f64)> {
        let r = &self.likeness;
        let mut lag = 1;
        while lag < longest && r[lag] > 0.0 {
            lag += 1;
        }
        let start = lag.max(self.shortest);
        let is_peak = |l: usize| r[l] > 0.0 && r[l] >= r[l - 1] && r[l] >= r[l + 1];
        let best = (start..longest).filter(|&l| is_peak(l)).map(|l| r[l]).fold(0f32, f32::max);
        let first = (start..longest)
            .find(|&l| is_peak(l) && f64::from(r[l]) >= FIRST_PEAK_SHARE * f64::from(best))?;
        let (x, height) = parabola(r[first - 1], r[first], r[first + 1]);
        Some((first as f64 + f64::from(x), f64::from(height).clamp(0.0, 1.0)))
    }
}

/// Means of neighbouring frames, in units.
fn thin(track: &[f64], unit: f64, out: &mut Vec<f32>) {
    out.clear();
    let skip = track.len().saturating_sub(THIN * CAPACITY);
    let scale = 1.0 / (THIN as f64 * unit);
    out.extend(track[skip..].chunks_exact(THIN).map(|c| (c.iter().sum::<f64>() * scale) as f32));
}

/// Takes away the best polynomial of a degree, up to the third (least squares, by projection on Legendre polynomials;
/// twice, since these are not quite orthogonal on a grid).
pub(crate) fn detrend(track: &mut [f32], degree: usize) {
    // The mean is most of it: single precision is for what remains.
    let mean = sum(track) / track.len() as f32;
    track.iter_mut().for_each(|x| *x -= mean);
    for _ in 0..2 {
        project_away(track, 0, |_| 1.0);
        project_away(track, 1, |t| t);
        if degree >= 2 {
            project_away(track, 2, |t| 1.5 * t * t - 0.5);
        }
        if degree >= 3 {
            project_away(track, 3, |t| (2.5 * t * t - 1.5) * t);
        }
    }
}

/// Takes away a track's share of a Legendre polynomial.
fn project_away(track: &mut [f32], degree: usize, legendre: impl Fn(f32) -> f32) {
    const BLOCK: usize = 8;
    let n = track.len() as f32;
    // Places of the frames from -1 to 1.
    let (step, start) = (2.0 / n, 1.0 / n - 1.0);
    let value = |i: usize| legendre(step * i as f32 + start);
    let mut lanes = [0f32; BLOCK];
    let blocks = track.chunks_exact(BLOCK);
    let whole = track.len() - blocks.remainder().len();
    for (b, block) in blocks.enumerate() {
        for j in 0..BLOCK {
            lanes[j] += block[j] * value(b * BLOCK + j);
        }
    }
    let rest: f32 = (whole..track.len()).map(|i| track[i] * value(i)).sum();
    let share = (2 * degree + 1) as f32 / n * (lanes.iter().sum::<f32>() + rest);
    for (i, x) in track.iter_mut().enumerate() {
        *x -= share * value(i);
    }
}

/// Peak-to-peak size of the track's part that has this period, over the last whole periods (three at most, so that a
/// growing vibrato shows its present size).
fn size_at(track: &[f32], period: f64) -> f64 {
    let whole = ((track.len() as f64 / period).floor()).clamp(1.0, 3.0);
    let n = ((whole * period).round() as usize).min(track.len());
    let (step_sin, step_cos) = (std::f64::consts::TAU / period).sin_cos();
    let (mut sin, mut cos) = (0f64, 1f64);
    let (mut re, mut im) = (0.0, 0.0);
    for &x in &track[track.len() - n..] {
        re += f64::from(x) * cos;
        im += f64::from(x) * sin;
        (sin, cos) = (sin * step_cos + cos * step_sin, cos * step_cos - sin * step_sin);
    }
    4.0 / n as f64 * re.hypot(im)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn find(n: usize, level: impl Fn(f64) -> f64, pitch: impl Fn(f64) -> f64) -> Option<Rhythm> {
        let track = |f: &dyn Fn(f64) -> f64| (0..n).map(|i| f(i as f64)).collect::<Vec<_>>();
        RhythmFinder::new(23.0, 260.0).find(&track(&level), &track(&pitch))
    }

    #[test]
    fn the_period_of_sines_in_either_track() {
        // Over two periods and a bit, a straight line takes part of the wave with it: then the period is rough.
        for (n_periods, tolerance, clear) in [(2.2, 0.06, 0.75), (4.0, 0.03, 0.9)] {
            for period in [25.0, 33.3, 50.0, 100.0, 200.0] {
                let n = (n_periods * period) as usize;
                let check = |found: Option<Rhythm>| {
                    let rhythm = found.expect("a wave has a rhythm");
                    let error = (rhythm.period / period - 1.0).abs();
                    assert!(error < tolerance && rhythm.clarity > clear, "{n} {period} {rhythm:?}");
                };
                check(find(n, |i| 3.0 * (TAU * i / period).cos(), |_| 0.0));
                check(find(n, |_| 0.0, |i| 20.0 * (TAU * i / period).cos()));
            }
        }
    }

    #[test]
    fn hairpins_are_not_read_as_faster_pulses() {
        // A pulse of one second (200 frames) with strong second and third overtones.
        let shape = |i: f64| {
            3.0 * (TAU * i / 200.0).cos() + 1.5 * (TAU * i / 100.0).cos() + 0.8 * (TAU * i / 66.7).cos()
        };
        let rhythm = find(800, shape, |_| 0.0).unwrap();
        assert!((rhythm.period - 200.0).abs() < 4.0, "{rhythm:?}");
    }

    #[test]
    fn sizes_are_peak_to_peak() {
        let rhythm = find(400, |i| 3.0 * (TAU * i / 50.0).cos(), |i| 10.0 * (TAU * i / 50.0).sin()).unwrap();
        assert!((rhythm.depth_db - 6.0).abs() < 0.2 && (rhythm.swing_cents - 20.0).abs() < 0.6, "{rhythm:?}");
    }

    #[test]
    fn a_crescendo_is_no_pulse() {
        let rhythm = find(800, |i| -12.0 + i * 0.015, |_| 0.0);
        assert!(rhythm.is_none_or(|r| r.depth_db < 0.2), "{rhythm:?}");
    }
}
