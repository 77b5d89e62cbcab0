//! Where exactly a pulse peaks: a rounded one at the top of a parabola, a sudden one (a surge that decays) at its corner.
//! Knows a track and an index.

/// Half-width of the shapes fitted, in periods.
const FITTED_PERIODS: f64 = 0.15;
/// Shortest half-width, frames: below, the demodulation has rounded every corner off.
const SHORTEST: f64 = 9.0;
/// A corner is believed when it leaves less than this share of what the parabola leaves (both summed squares).
const CORNER_REST: f64 = 0.5;

/// Sums over places and values of one side of a corner, for the line of least squares through it.
#[derive(Clone, Copy, Default)]
struct Line {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Line {
    fn add(&mut self, x: f64, y: f64) {
        self.n += 1.0;
        self.x += x;
        self.y += y;
        self.xx += x * x;
        self.xy += x * y;
        self.yy += y * y;
    }

    /// Height at nought, slope and what is left.
    fn fit(&self) -> (f64, f64, f64) {
        let spread = self.xx - self.x * self.x / self.n;
        let slope = (self.xy - self.x * self.y / self.n) / spread;
        let height = (self.y - slope * self.x) / self.n;
        let rest = self.yy - self.y * self.y / self.n - slope * slope * spread;
        (height, slope, rest.max(0.0))
    }
}

/// The corner near `top` in an unsmoothed track whose pulses last `period` frames, if there is one: where a rising and a
/// falling straight line meet that fit better than the parabola.
pub(crate) fn corner_near(track: &[f64], top: f64, period: f64) -> Option<f64> {
    let reach = FITTED_PERIODS * period;
    if reach < SHORTEST || top < reach || top + reach + 1.0 >= track.len() as f64 {
        return None;
    }
    let (from, to) = ((top - reach).ceil() as usize, (top + reach).floor() as usize);
    let values = &track[from..=to];
    let place = |k: usize| (from + k) as f64 - top;
    let parabola_rest = parabola_rest(values, reach);
    let mut best: Option<(f64, f64)> = None;
    for split in values.len() / 4..values.len() - values.len() / 4 {
        let (mut rising, mut falling) = (Line::default(), Line::default());
        for (k, &y) in values.iter().enumerate() {
            // The frame at the corner is rounded off and belongs to neither side.
            if k < split {
                rising.add(place(k), y);
            } else if k > split {
                falling.add(place(k), y);
            }
        }
        let ((up_height, up, up_rest), (down_height, down, down_rest)) = (rising.fit(), falling.fit());
        if up <= 0.0 || down >= 0.0 {
            continue;
        }
        let rest = up_rest + down_rest;
        if best.is_none_or(|b| rest < b.1) {
            best = Some(((down_height - up_height) / (up - down), rest));
        }
    }
    let (corner, rest) = best.filter(|b| b.1 < CORNER_REST * parabola_rest)?;
    (corner.abs() < reach && rest.is_finite()).then_some(top + corner)
}

/// What the parabola of least squares leaves of the values.
fn parabola_rest(values: &[f64], reach: f64) -> f64 {
    let n = values.len() as f64;
    let x_of = |k: usize| (k as f64 - (n - 1.0) / 2.0) / reach;
    let mean = values.iter().sum::<f64>() / n;
    let (mut s2, mut s4, mut y1, mut y2, mut yy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (k, value) in values.iter().enumerate() {
        let (x, y) = (x_of(k), value - mean);
        s2 += x * x;
        s4 += x.powi(4);
        y1 += x * y;
        y2 += x * x * y;
        yy += y * y;
    }
    yy - y1 * y1 / s2 - y2 * y2 / (s4 - s2 * s2 / n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_surge_peaks_at_its_corner_and_a_wave_has_none() {
        let period = 150.0;
        for corner in [100.0, 100.4, 103.0] {
            let surge = |i: f64| if i < corner { 0.3 * (i - corner) } else { -0.08 * (i - corner) };
            let track: Vec<f64> = (0..200).map(|i| surge(f64::from(i))).collect();
            let found = corner_near(&track, 104.0, period).expect("a corner");
            assert!((found - corner).abs() < 0.3, "{found} for {corner}");
        }
        let wave: Vec<f64> =
            (0..200).map(|i| 3.0 * (std::f64::consts::TAU * (f64::from(i) - 100.0) / period).cos()).collect();
        assert_eq!(corner_near(&wave, 102.0, period), None);
    }
}
