//! The modulation as a spectrum: how fast the strongest line near a rhythm is, and how strong the next line that is not
//! its own. One player's pulses make one line with its multiples; where others are heard, each brings a line. Knows
//! tracks and frames, no seconds and no notes.

use crate::rhythm::{LEVEL_UNIT_DB, PITCH_UNIT_CENTS, detrend};

/// Frames averaged to one: at 200 frames a second this keeps what is slower than the fastest pulses.
const THIN: usize = 8;
/// Most frames after that.
const CAPACITY: usize = 144;
/// Lines looked at for each width of a line.
const PER_WIDTH: f64 = 4.0;
/// Most lines.
const MAX_LINES: usize = 192;
/// A line this many widths from another is another line: the Hann window's main lobe.
const APART_WIDTHS: f64 = 2.2;
/// The line of a rhythm lies within this many widths of it.
const NEAR_WIDTHS: f64 = 1.0;
/// Less than this share of the strongest line's power is only what leaks from it.
const SMALLEST_SHARE: f64 = 0.02;
/// A multiple of a line is its own within this share of its rate.
const MULTIPLE_SHARE: f64 = 0.12;
/// Level under the loudest at which the level stops counting, dB.
const RANGE_DB: f64 = 26.0;

/// A rhythm's line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Line {
    /// Frames from pulse to pulse.
    pub(crate) period: f64,
    /// Amplitude of the strongest line that is not one of its multiples, relative to it.
    pub(crate) competing: f64,
}

/// Looks at lines; owns its working space.
pub(crate) struct LineFinder {
    level: Vec<f32>,
    pitch: Vec<f32>,
    power: Vec<f64>,
    /// Fastest and slowest, cycles a frame.
    range: (f64, f64),
}

impl LineFinder {
    /// For pulses of `shortest` to `longest` frames.
    pub(crate) fn new(shortest: f64, longest: f64) -> Self {
        Self {
            level: Vec::with_capacity(CAPACITY),
            pitch: Vec::with_capacity(CAPACITY),
            power: Vec::with_capacity(MAX_LINES),
            range: (THIN as f64 / longest, THIN as f64 / shortest),
        }
    }

    /// The line of a rhythm of `period` frames in level and pitch (or, without `cents`, in the level alone); `None` where it
    /// has none, or the tracks hold too little of it.
    pub(crate) fn find(&mut self, level_db: &[f64], cents: &[f64], period: f64) -> Option<Line> {
        let loudest = level_db.iter().copied().fold(f64::MIN, f64::max);
        let floor = loudest - RANGE_DB;
        thin(level_db, |db| db.max(floor) / LEVEL_UNIT_DB, &mut self.level);
        thin(cents, |cents| cents / PITCH_UNIT_CENTS, &mut self.pitch);
        let n = self.level.len();
        if n < 12 || (n * THIN) as f64 <= 1.5 * period {
            return None;
        }
        self.pitch.resize(n, 0.0);
        for track in [&mut self.level, &mut self.pitch] {
            detrend(track, 3);
            for (i, x) in track.iter_mut().enumerate() {
                *x *= 1.0 - (std::f32::consts::TAU * (i as f32 + 0.5) / n as f32).cos();
            }
        }
        // Rates are counted in widths of a line, one cycle over all frames.
        let widths = n as f64;
        let (slowest, fastest) = (self.range.0 * widths, (self.range.1 * widths).min(0.45 * widths));
        let step = (1.0 / PER_WIDTH).max((fastest - slowest) / (MAX_LINES - 2) as f64);
        self.power.clear();
        let mut rate = slowest;
        while rate < fastest && self.power.len() < MAX_LINES {
            let omega = std::f64::consts::TAU * rate / widths;
            self.power.push(power_at(&self.level, omega) + power_at(&self.pitch, omega));
            rate += step;
        }
        let p = &self.power;
        let rate_of = |k: f64| slowest + k * step;
        let expected = widths * THIN as f64 / period;
        let is_top = |&k: &usize| p[k] >= p[k - 1] && p[k] >= p[k + 1];
        let tops = || (1..p.len().saturating_sub(1)).filter(is_top);
        let strongest = p.iter().copied().fold(0.0, f64::max);
        let own = tops()
            .filter(|&k| (rate_of(k as f64) - expected).abs() < NEAR_WIDTHS.max(0.08 * expected))
            .filter(|&k| p[k] > SMALLEST_SHARE * strongest)
            .max_by(|&a, &b| p[a].total_cmp(&p[b]))?;
        let (left, middle, right) = (p[own - 1].sqrt(), p[own].sqrt(), p[own + 1].sqrt());
        let curve = left - 2.0 * middle + right;
        let aside = if curve < 0.0 { (0.5 * (left - right) / curve).clamp(-0.5, 0.5) } else { 0.0 };
        let own_rate = rate_of(own as f64 + aside);
        let is_multiple = |rate: f64| {
            let ratio = rate / own_rate;
            ratio > 1.5 && (ratio - ratio.round()).abs() < MULTIPLE_SHARE
        };
        let other = tops()
            .filter(|&k| {
                let rate = rate_of(k as f64);
                (rate - own_rate).abs() > APART_WIDTHS && !is_multiple(rate)
            })
            .map(|k| p[k])
            .fold(0.0, f64::max);
        Some(Line { period: widths * THIN as f64 / own_rate, competing: (other / p[own]).sqrt() })
    }
}

/// Means of neighbouring frames, after `of`.
fn thin(track: &[f64], of: impl Fn(f64) -> f64, out: &mut Vec<f32>) {
    out.clear();
    let skip = track.len().saturating_sub(THIN * CAPACITY);
    let mean = |c: &[f64]| (c.iter().map(|&x| of(x)).sum::<f64>() / THIN as f64) as f32;
    out.extend(track[skip..].chunks_exact(THIN).map(mean));
}

/// Power of the track at an angular rate (Goertzel, "An algorithm for the evaluation of finite trigonometric series",
/// 1958).
fn power_at(track: &[f32], omega: f64) -> f64 {
    let twice_cos = 2.0 * omega.cos();
    let (mut last, mut before) = (0.0, 0.0);
    for &x in track {
        (last, before) = (f64::from(x) + twice_cos * last - before, last);
    }
    last * last + before * before - twice_cos * last * before
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn find(n: usize, period: f64, level: impl Fn(f64) -> f64) -> Option<Line> {
        let track: Vec<f64> = (0..n).map(|i| level(i as f64)).collect();
        LineFinder::new(22.0, 270.0).find(&track, &vec![0.0; n], period)
    }

    #[test]
    fn one_line_has_no_competitor_and_two_have_each_other() {
        let own = |i: f64| 3.0 * (TAU * i / 50.0).cos();
        let line = find(800, 51.0, own).unwrap();
        assert!((line.period / 50.0 - 1.0).abs() < 0.005 && line.competing < 0.05, "{line:?}");
        // 40 frames against 50: five and four cycles a second, four widths apart.
        let line = find(800, 50.0, |i| own(i) + 2.4 * (TAU * i / 40.0).cos()).unwrap();
        assert!((line.competing - 0.8).abs() < 0.08, "{line:?}");
    }

    #[test]
    fn overtones_of_a_pulse_do_not_compete() {
        let hairpin = |i: f64| 3.0 * (TAU * i / 200.0).cos() + 2.0 * (TAU * i / 100.0).cos();
        let line = find(800, 200.0, hairpin).unwrap();
        assert!((line.period / 200.0 - 1.0).abs() < 0.02 && line.competing < 0.1, "{line:?}");
    }

    #[test]
    fn a_rhythm_without_a_line_has_none() {
        assert_eq!(find(800, 120.0, |i| 3.0 * (TAU * i / 30.0).cos()), None);
    }
}
