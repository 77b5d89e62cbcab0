//! Numbers of pulses against the tick, as circular statistics: a pulse's offset only means something modulo the tick's
//! period. Pure arithmetic; knows nothing of rooms.

use std::f64::consts::TAU;

/// Mean direction and concentration of phases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Circular {
    /// Resultant length, 0 (all over the circle) to 1 (all the same).
    pub(super) resultant: f64,
    /// Mean angle, radians from -π to π.
    pub(super) mean_rad: f64,
}

impl Circular {
    /// Of angles in radians; `None` of none.
    pub(super) fn of(angles_rad: impl IntoIterator<Item = f64>) -> Option<Self> {
        let (mut n, mut x, mut y) = (0.0, 0.0, 0.0);
        for angle in angles_rad {
            n += 1.0;
            x += angle.cos();
            y += angle.sin();
        }
        // The mean of points on the unit circle can exceed 1 by rounding alone.
        (n > 0.0).then(|| Self { resultant: (x.hypot(y) / n).min(1.0), mean_rad: y.atan2(x) })
    }

    /// Circular standard deviation, radians: the square root of -2 ln R (Fisher 1993, section 2.3).
    pub(super) fn deviation_rad(&self) -> f64 {
        (-2.0 * self.resultant.ln()).max(0.0).sqrt()
    }
}

/// One pulse's place against its tick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Offset {
    /// Pulse minus nearest tick; negative is early.
    pub(super) offset_ms: f64,
    /// Distance between ticks there.
    pub(super) period_ms: f64,
}

impl Offset {
    /// As an angle of the tick's period.
    pub(super) fn phase_rad(&self) -> f64 {
        self.offset_ms / self.period_ms * TAU
    }
}

/// Resultant below which pulses are not placed against the tick at all: with eight pulses all over the circle it is
/// exceeded by chance in about 1 % of cases (Rayleigh: exp(-n R²) with n = 8, R = 0.75).
const PLACED_FROM: f64 = 0.75;
/// Fewest pulses an offset is told from.
const MIN_PULSES: usize = 4;

/// A player's constant offset from the tick: the median of the offsets, each taken from the tick that brings it nearest
/// to their circular mean. The plain median fails for a player who is late by about half a period, whose offsets to the
/// nearest tick jump between early and late. `None` where pulses are too few or do not keep to the tick.
pub(super) fn constant_offset_ms(offsets: &[Offset]) -> Option<f64> {
    if offsets.len() < MIN_PULSES {
        return None;
    }
    let circular = Circular::of(offsets.iter().map(Offset::phase_rad))?;
    if circular.resultant < PLACED_FROM {
        return None;
    }
    let mut unwrapped: Vec<f64> = offsets
        .iter()
        .map(|o| {
            let mean_ms = circular.mean_rad / TAU * o.period_ms;
            o.offset_ms + ((mean_ms - o.offset_ms) / o.period_ms).round() * o.period_ms
        })
        .collect();
    unwrapped.sort_by(f64::total_cmp);
    let mid = unwrapped.len() / 2;
    Some(if unwrapped.len() % 2 == 1 { unwrapped[mid] } else { (unwrapped[mid - 1] + unwrapped[mid]) / 2.0 })
}

/// How far a section is together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Together {
    /// Resultant length of all phases.
    pub(super) resultant: f64,
    /// Circular standard deviation; `None` where the phases cover the circle and it has no bound.
    pub(super) spread_ms: Option<f64>,
    /// Mean offset; negative is early.
    pub(super) mean_ms: f64,
}

/// How far the pulses of several players are together, all at one period. `None` of fewer than [`MIN_PULSES`].
pub(super) fn together(offsets: &[Offset]) -> Option<Together> {
    if offsets.len() < MIN_PULSES {
        return None;
    }
    let period_ms = offsets[0].period_ms;
    let circular = Circular::of(offsets.iter().map(Offset::phase_rad))?;
    let spread_ms = circular.deviation_rad() / TAU * period_ms;
    Some(Together {
        resultant: circular.resultant,
        // Beyond half a period the figure says no more than "all over the place".
        spread_ms: (spread_ms < period_ms / 2.0).then_some(spread_ms),
        mean_ms: circular.mean_rad / TAU * period_ms,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Triplets at 66: 60000 / 66 / 3 ms.
    const PERIOD_MS: f64 = 303.03;

    fn offsets(ms: &[f64]) -> Vec<Offset> {
        ms.iter().map(|&offset_ms| Offset { offset_ms, period_ms: PERIOD_MS }).collect()
    }

    #[test]
    fn mean_angle_and_length_of_a_textbook_example() {
        // Zar, Biostatistical Analysis, example 26.4: eight tree-leaning directions; r = 0.82522, mean angle 99 degrees.
        let degrees = [45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0f64];
        let c = Circular::of(degrees.map(f64::to_radians)).unwrap();
        assert!((c.resultant - 0.82522).abs() < 5e-6, "{c:?}");
        assert!((c.mean_rad.to_degrees() - 99.0).abs() < 0.5, "{c:?}");
    }

    #[test]
    fn phases_opposite_each_other_have_no_length() {
        let c = Circular::of([0.0, TAU / 2.0, TAU / 4.0, -TAU / 4.0]).unwrap();
        assert!(c.resultant < 1e-12);
    }

    #[test]
    fn small_spreads_are_the_ordinary_standard_deviation() {
        // For angles far less than a radian the circular deviation tends to the ordinary one: here 10 ms exactly.
        let t = together(&offsets(&[-10.0, 10.0, -10.0, 10.0])).unwrap();
        assert!((t.spread_ms.unwrap() - 10.0).abs() < 0.1, "{t:?}");
        assert!(t.mean_ms.abs() < 1e-9);
    }

    #[test]
    fn a_player_late_by_80_ms_is_late_by_80_ms() {
        let ms = constant_offset_ms(&offsets(&[80.0, 76.0, 84.0, 80.0, 79.0, 83.0, 80.0])).unwrap();
        assert!((ms - 80.0).abs() < 1e-9, "{ms}");
    }

    #[test]
    fn offsets_about_half_a_period_do_not_cancel() {
        // Late by 150 ms with 5 ms of scatter: half of the pulses are nearer to the next tick and look early.
        let wrapped: Vec<f64> = [145.0, 150.0, 155.0, 148.0, 152.0, 156.0, 149.0, 151.0]
            .iter()
            .map(|&ms: &f64| if ms > PERIOD_MS / 2.0 { ms - PERIOD_MS } else { ms })
            .collect();
        let ms = constant_offset_ms(&offsets(&wrapped)).unwrap();
        let from_150 = (ms - 150.5).abs().min((ms + PERIOD_MS - 150.5).abs());
        assert!(from_150 < 1.0, "{ms}");
    }

    #[test]
    fn pulses_that_do_not_keep_to_the_tick_have_no_offset() {
        assert_eq!(constant_offset_ms(&offsets(&[0.0, 75.0, 150.0, -75.0, 0.0, 75.0, 150.0, -75.0])), None);
    }

    #[test]
    fn three_pulses_are_too_few_to_place() {
        assert_eq!(constant_offset_ms(&offsets(&[80.0, 80.0, 80.0])), None);
    }
}
