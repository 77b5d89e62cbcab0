//! A series of points cut into pieces, each of which is level or a straight line: the cut with the least sum of squares,
//! where every piece and every slope has to pay for itself (optimal partitioning with the Bayesian information criterion's
//! price, ln n for each number that is fitted). Pure arithmetic; what the points are is for others to say.

/// Most points that are looked at.
pub(super) const CAPACITY: usize = 4096;
/// The criterion's price times this: noise that is not quite independent must not buy pieces (our own measurement, see
/// the contour's tests).
const PRICE: f64 = 1.5;
/// Numbers a cut costs: its place, and the level after it.
const CUT_NUMBERS: f64 = 2.0;
/// Share of the second differences that the scatter is taken from, the smallest: the others have jumps in them.
const CALM_SHARE: f64 = 0.8;
/// Root mean square of that share of the second differences of independent normal noise over its standard deviation:
/// sqrt(6) times sqrt(1 - 2 z phi(z) / 0.8) with z the normal distribution's ninth decile, phi its density.
const SECOND_DIFFERENCE: f64 = 2.449_489_743 * 0.661_607_6;

/// A piece: points `from` to before `to`, and the line through them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) from: usize,
    pub(super) to: usize,
    mean_t: f64,
    mean_y: f64,
    /// Value a second; 0 for a level piece.
    pub(super) slope: f64,
    /// Sum of the squares that are left.
    pub(super) squares: f64,
}

impl Piece {
    /// The line at a time.
    pub(super) fn at(&self, t: f64) -> f64 {
        self.mean_y + self.slope * (t - self.mean_t)
    }

    /// Variance of the line at its ends, in variances of a point: 1/n of a mean, 4/n of a line with many points.
    pub(super) fn end_variance(&self) -> f64 {
        let n = (self.to - self.from) as f64;
        if self.slope == 0.0 { 1.0 / n } else { 4.0 / n }
    }

    /// Time at which the line is at nothing; `None` of a level one.
    pub(super) fn zero_s(&self) -> Option<f64> {
        let t = self.mean_t - self.mean_y / self.slope;
        t.is_finite().then_some(t)
    }

    /// Time at which two lines meet; `None` for parallel ones.
    pub(super) fn meets(&self, other: &Piece) -> Option<f64> {
        let slope = self.slope - other.slope;
        let t = (other.at(0.0) - self.at(0.0)) / slope;
        t.is_finite().then_some(t)
    }
}

/// Cuts series; owns its working space.
pub(super) struct Pieces {
    /// What the sums count t and y from.
    origin: (f64, f64),
    /// Sums of t, y, t², t y and y² over the points before each.
    sums: Vec<[f64; 5]>,
    /// Least cost of the points before each, and where its last piece begins.
    best: Vec<(f64, usize)>,
    found: Vec<Piece>,
    sorted: Vec<f64>,
}

impl Pieces {
    pub(super) fn new() -> Self {
        Self {
            origin: (0.0, 0.0),
            sums: Vec::with_capacity(CAPACITY + 1),
            best: Vec::with_capacity(CAPACITY + 1),
            found: Vec::with_capacity(CAPACITY),
            sorted: Vec::with_capacity(CAPACITY),
        }
    }

    /// Standard deviation of the points around a smooth course, from their second differences; 0 under three points.
    pub(super) fn noise(&mut self, points: &[(f64, f64)]) -> f64 {
        self.sorted.clear();
        self.sorted.extend(points.windows(3).map(|w| (w[0].1 - 2.0 * w[1].1 + w[2].1).abs()));
        self.sorted.sort_unstable_by(f64::total_cmp);
        let calm = &self.sorted[..(CALM_SHARE * self.sorted.len() as f64).ceil() as usize];
        if calm.is_empty() {
            return 0.0;
        }
        (calm.iter().map(|d| d * d).sum::<f64>() / calm.len() as f64).sqrt() / SECOND_DIFFERENCE
    }

    /// Cuts `points` (time and value, in order of time, at most [`CAPACITY`]) into pieces of at least `min_len` points,
    /// for points that scatter by `sigma` (above 0). One piece where there are too few for two.
    pub(super) fn cut(&mut self, points: &[(f64, f64)], sigma: f64, min_len: usize) -> &[Piece] {
        let n = points.len().min(CAPACITY);
        self.sum_up(&points[..n]);
        self.best.clear();
        self.best.push((0.0, 0));
        let price = PRICE * sigma * sigma * (n as f64).ln().max(1.0);
        for to in 1..=n {
            let mut least = (f64::INFINITY, 0);
            let latest = if n < min_len { Some(0) } else { to.checked_sub(min_len) };
            for from in 0..latest.map_or(0, |from| from + 1) {
                let before = self.best[from].0;
                // The first piece has no cut before it.
                let cost = before + if from == 0 { 0.0 } else { CUT_NUMBERS * price };
                if cost >= least.0 {
                    continue;
                }
                let (level, line) = self.squares(from, to);
                let cost = cost + level.min(line + price);
                if cost < least.0 {
                    least = (cost, from);
                }
            }
            self.best.push(least);
        }
        self.found.clear();
        let mut to = n;
        while to > 0 {
            let from = self.best[to].1;
            self.found.push(self.piece(from, to, price));
            to = from;
        }
        self.found.reverse();
        &self.found
    }

    /// What the last [`Pieces::cut`] found.
    pub(super) fn found(&self) -> &[Piece] {
        &self.found
    }

    fn sum_up(&mut self, points: &[(f64, f64)]) {
        // Counted from the first point, so that little is lost in the differences of large sums.
        let (t0, y0) = points.first().copied().unwrap_or_default();
        let mut sum = [0.0; 5];
        self.sums.clear();
        self.sums.push(sum);
        for (t, y) in points.iter().map(|p| (p.0 - t0, p.1 - y0)) {
            for (slot, x) in sum.iter_mut().zip([t, y, t * t, t * y, y * y]) {
                *slot += x;
            }
            self.sums.push(sum);
        }
        self.origin = (t0, y0);
    }

    /// Means of t and y, and the centred sums of t², t y and y².
    fn moments(&self, from: usize, to: usize) -> [f64; 5] {
        let n = (to - from) as f64;
        let of = |k: usize| self.sums[to][k] - self.sums[from][k];
        let (t, y) = (of(0) / n, of(1) / n);
        [t, y, (of(2) - n * t * t).max(0.0), of(3) - n * t * y, (of(4) - n * y * y).max(0.0)]
    }

    /// Squares left by a level and by a line.
    fn squares(&self, from: usize, to: usize) -> (f64, f64) {
        let [_, _, tt, ty, yy] = self.moments(from, to);
        let line = if tt > 0.0 { (yy - ty * ty / tt).max(0.0) } else { yy };
        (yy, line)
    }

    fn piece(&self, from: usize, to: usize, price: f64) -> Piece {
        let [t, y, tt, ty, _] = self.moments(from, to);
        let (level, line) = self.squares(from, to);
        let is_line = line + price < level && tt > 0.0;
        Piece {
            from,
            to,
            mean_t: t + self.origin.0,
            mean_y: y + self.origin.1,
            slope: if is_line { ty / tt } else { 0.0 },
            squares: if is_line { line } else { level },
        }
    }
}

/// Median; sorts what it is given.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    let mid = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[mid]),
        _ => Some((values[mid - 1] + values[mid]) / 2.0),
    }
}

/// Replaces points further than `limit` from the median of the five around them (three at the ends) by that median: a
/// single missed or invented one must not buy a piece. Steps stay as they are, where no such point is beside them.
pub(super) fn tame(points: &mut [(f64, f64)], limit: f64, space: &mut Vec<f64>) {
    space.clear();
    for i in 0..points.len() {
        let near = &points[i.saturating_sub(2)..(i + 3).min(points.len())];
        let mut five = [0.0; 5];
        for (slot, point) in five.iter_mut().zip(near) {
            *slot = point.1;
        }
        space.push(median(&mut five[..near.len()]).unwrap_or(points[i].1));
    }
    for (point, middle) in points.iter_mut().zip(space.iter()) {
        if (point.1 - middle).abs() > limit {
            point.1 = *middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(n: usize, of: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
        (0..n).map(|i| (10.0 + 0.5 * i as f64, of(i))).collect()
    }

    #[test]
    fn a_jump_and_a_bend_are_found_where_they_are() {
        let mut pieces = Pieces::new();
        let found = pieces.cut(&series(20, |i| if i < 12 { 1.0 } else { 2.0 }), 0.05, 3);
        assert_eq!((found.len(), found[1].from, found[0].slope, found[1].slope), (2, 12, 0.0, 0.0));
        // Level to 15 s, then 2 a second: from the eleventh point on.
        let found = pieces.cut(&series(30, |i| i.saturating_sub(10) as f64), 0.05, 3);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[1].slope - 2.0).abs() < 1e-9 && found[0].slope == 0.0, "{found:?}");
        assert!((found[0].meets(&found[1]).unwrap() - 15.0).abs() < 1e-9);
        assert!((found[1].zero_s().unwrap() - 15.0).abs() < 1e-9);
        assert!(found[1].squares < 1e-9 && (found[1].at(16.0) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn few_points_are_one_piece() {
        let mut pieces = Pieces::new();
        assert_eq!(pieces.cut(&series(5, |i| if i < 2 { 0.0 } else { 9.0 }), 0.1, 3).len(), 1);
        assert_eq!(pieces.cut(&series(1, |_| 4.0), 0.1, 3).len(), 1);
        assert!(pieces.cut(&[], 0.1, 3).is_empty());
    }

    #[test]
    fn noise_is_told_apart_from_the_course_and_its_jump() {
        // Quantiles of the standard normal distribution (Hastings' approximation, Abramowitz and Stegun 26.2.23) in an
        // order that mixes them: 401 and 150 have no factor in common.
        let normal = |share: f64| {
            let t = (-2.0 * share.min(1.0 - share).ln()).sqrt();
            let z = t
                - (2.515_517 + 0.802_853 * t + 0.010_328 * t * t)
                    / (1.0 + 1.432_788 * t + 0.189_269 * t * t + 0.001_308 * t * t * t);
            if share < 0.5 { -z } else { z }
        };
        let mixed = |i: usize| ((i * i * 150 + i * 37) % 401) as f64 / 401.0 + 0.5 / 401.0;
        let points =
            series(400, |i| 0.3 * normal(mixed(i)) + 0.02 * i as f64 + if i > 200 { 5.0 } else { 0.0 });
        let sigma = Pieces::new().noise(&points);
        assert!((sigma / 0.3 - 1.0).abs() < 0.15, "{sigma}");
        assert_eq!(Pieces::new().noise(&points[..2]), 0.0);
    }

    #[test]
    fn single_wild_points_are_tamed_and_steps_stay() {
        let mut points = series(12, |i| if i < 6 { 1.0 } else { 2.0 });
        points[2].1 = 9.0;
        tame(&mut points, 0.3, &mut Vec::new());
        assert_eq!(points, series(12, |i| if i < 6 { 1.0 } else { 2.0 }));
    }
}
