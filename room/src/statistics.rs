//! Numbers of pulses: against the tick as circular statistics, since a pulse's offset only means something modulo the tick's
//! period; middles, spreads, slopes and rank correlations of the rest. Pure arithmetic; knows nothing of rooms.

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
    median(&mut unwrapped)
}

/// The middle value, or the mean of the two in the middle.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    let n = values.len();
    if n == 0 {
        return None;
    }
    let (below, &mut upper, _) = values.select_nth_unstable_by(n / 2, f64::total_cmp);
    let lower = below.iter().copied().max_by(f64::total_cmp).filter(|_| n % 2 == 0).unwrap_or(upper);
    Some((lower + upper) / 2.0)
}

/// Arithmetic mean.
pub(super) fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Slope of the least-squares line through points whose x differ.
pub(super) fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (xx, xy) = points.iter().fold((0.0, 0.0), |(xx, xy), p| {
        let dx = p.0 - x;
        (xx + dx * dx, xy + dx * (p.1 - y))
    });
    (xx > 0.0).then_some(xy / xx)
}

/// Coefficient of variation within several series of intervals, each against its own mean: the root of the mean squared
/// share by which an interval differs from its series' mean, with a degree of freedom less for each series. For one series it
/// is the sample standard deviation over the mean.
pub(super) fn variation_within<'a>(series: impl IntoIterator<Item = &'a [f64]>) -> Option<f64> {
    let (mut squares, mut n_free) = (0.0, 0);
    for intervals in series {
        let Some(mean) = mean(intervals).filter(|&m| m > 0.0) else { continue };
        squares += intervals.iter().map(|x| (x / mean - 1.0).powi(2)).sum::<f64>();
        n_free += intervals.len() - 1;
    }
    (n_free > 0).then(|| (squares / n_free as f64).sqrt())
}

/// Rank correlation (Spearman): the ordinary correlation of ranks, equal values sharing their mean rank. `None` where one of
/// both does not vary.
pub(super) fn spearman(pairs: &[(f64, f64)]) -> Option<f64> {
    let ranks_x = ranks(&pairs.iter().map(|p| p.0).collect::<Vec<_>>());
    let ranks_y = ranks(&pairs.iter().map(|p| p.1).collect::<Vec<_>>());
    // Ranks have the same mean whatever the values are.
    let middle = (pairs.len() as f64 + 1.0) / 2.0;
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (x, y) in ranks_x.iter().zip(&ranks_y) {
        let (dx, dy) = (x - middle, y - middle);
        (xx, yy, xy) = (xx + dx * dx, yy + dy * dy, xy + dx * dy);
    }
    (xx > 0.0 && yy > 0.0).then(|| (xy / (xx * yy).sqrt()).clamp(-1.0, 1.0))
}

fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut ranks = vec![0.0; values.len()];
    let mut first = 0;
    for group in order.chunk_by(|&a, &b| values[a] == values[b]) {
        let rank = first as f64 + (group.len() as f64 + 1.0) / 2.0;
        group.iter().for_each(|&i| ranks[i] = rank);
        first += group.len();
    }
    ranks
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

/// How far the pulses of several players are together; where periods differ, milliseconds are of their mean. `None` of fewer
/// than [`MIN_PULSES`].
pub(super) fn together(offsets: &[Offset]) -> Option<Together> {
    if offsets.len() < MIN_PULSES {
        return None;
    }
    let period_ms = offsets.iter().map(|o| o.period_ms).sum::<f64>() / offsets.len() as f64;
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
#[path = "statistics_tests.rs"]
mod tests;
