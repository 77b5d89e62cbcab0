//! Whether two measures go up and down together (rank correlation), and where one turns round. Pure arithmetic.

/// Share of the points' range by which a course must rise to its turn and fall from it.
const TURN_SHARE: f64 = 0.25;
/// Squares left by rise and fall over those left by one straight line, above which there is no turn (our own choice).
const TURN_BETTER: f64 = 0.6;
/// Places at which a turn is tried at first.
const TURN_TRIES: usize = 48;
/// Points further off than this many median deviations are left out of the second fit.
const FAR_DEVIATIONS: f64 = 4.5;
/// Points that must lie on either side of a turn.
const TURN_MIN_SIDE: usize = 2;

/// Spearman's rank correlation, ties by their mean rank; `None` of fewer than three pairs or where one side does not
/// vary. `order` and the ranks are working space of at least the same capacity.
pub(super) fn rank_correlation(pairs: &[(f64, f64)], space: &mut RankSpace) -> Option<f64> {
    let n = pairs.len();
    if n < 3 {
        return None;
    }
    let RankSpace { order, ranks } = space;
    ranks.clear();
    ranks.resize(n, (0.0, 0.0));
    rank(pairs, |p| p.0, order, |i, r| ranks[i].0 = r);
    rank(pairs, |p| p.1, order, |i, r| ranks[i].1 = r);
    // The mean of the ranks is the same on both sides, ties or not.
    let mean = (n as f64 + 1.0) / 2.0;
    let (xx, yy, xy) = ranks.iter().fold((0.0, 0.0, 0.0), |(xx, yy, xy), r| {
        let (x, y) = (r.0 - mean, r.1 - mean);
        (xx + x * x, yy + y * y, xy + x * y)
    });
    (xx > 0.0 && yy > 0.0).then(|| xy / (xx * yy).sqrt())
}

/// Squares that the best two straight lines leave which meet: a course that bends but does not jump.
pub(super) fn squares_of_bend(points: &[(f64, f64)]) -> f64 {
    let knee = best_knee(points, |_| true);
    knee.and_then(|knee| Tent::fit(points, knee, |_| true)).map_or(0.0, |tent| tent.squares)
}

/// Working space of [`rank_correlation`].
pub(super) struct RankSpace {
    order: Vec<usize>,
    ranks: Vec<(f64, f64)>,
}

impl RankSpace {
    pub(super) fn new(capacity: usize) -> Self {
        Self { order: Vec::with_capacity(capacity), ranks: Vec::with_capacity(capacity) }
    }
}

fn rank(
    pairs: &[(f64, f64)],
    of: impl Fn(&(f64, f64)) -> f64,
    order: &mut Vec<usize>,
    mut set: impl FnMut(usize, f64),
) {
    order.clear();
    order.extend(0..pairs.len());
    order.sort_unstable_by(|&a, &b| of(&pairs[a]).total_cmp(&of(&pairs[b])));
    let mut from = 0;
    while from < order.len() {
        let value = of(&pairs[order[from]]);
        let to = from + order[from..].iter().take_while(|&&i| of(&pairs[i]) == value).count();
        // Ranks from + 1 to `to`, in the mean.
        for &i in &order[from..to] {
            set(i, (from + 1 + to) as f64 / 2.0);
        }
        from = to;
    }
}

/// Time at which a course (time and value, in order of time) turns from rising to falling: the knee of the best two
/// straight lines that meet, found twice, the second time without the points far from it. `None` where it does not rise
/// and fall.
pub(super) fn turn_s(points: &[(f64, f64)], deviations: &mut Vec<f64>) -> Option<f64> {
    let knee = best_knee(points, |_| true)?;
    let tent = Tent::fit(points, knee, |_| true)?;
    deviations.clear();
    deviations.extend(points.iter().map(|p| (p.1 - tent.at(p.0)).abs()));
    let far = FAR_DEVIATIONS * super::pieces::median(deviations)?;
    let near = |p: &(f64, f64)| (p.1 - tent.at(p.0)).abs() <= far;
    let knee = best_knee(points, near)?;
    let tent = Tent::fit(points, knee, near)?;
    let kept = || points.iter().filter(|p| near(p));
    let (first, last) = (kept().next()?.0, kept().next_back()?.0);
    let (low, high) = kept().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.1), high.max(p.1)));
    let enough = TURN_SHARE * (high - low);
    let rises = tent.left * (knee - first) > enough;
    let falls = -tent.right * (last - knee) > enough;
    let line = Tent::fit_line(points, near)?;
    (rises && falls && tent.squares < TURN_BETTER * line).then_some(knee)
}

/// Knee with the least squares: tried over the points, then by golden section around the best.
fn best_knee(points: &[(f64, f64)], keep: impl Fn(&(f64, f64)) -> bool) -> Option<f64> {
    let n = points.len();
    if n < 2 * TURN_MIN_SIDE + 2 {
        return None;
    }
    let (from, to) = (points[TURN_MIN_SIDE].0, points[n - 1 - TURN_MIN_SIDE].0);
    let step = (to - from) / TURN_TRIES as f64;
    let squares = |t: f64| Tent::fit(points, t, &keep).map_or(f64::INFINITY, |tent| tent.squares);
    let best = (0..=TURN_TRIES)
        .map(|i| from + i as f64 * step)
        .min_by(|a, b| squares(*a).total_cmp(&squares(*b)))?;
    let (mut low, mut high) = ((best - step).max(from), (best + step).min(to));
    const GOLDEN: f64 = 0.618_033_988_749_895;
    for _ in 0..20 {
        let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if squares(a) < squares(b) { high = b } else { low = a }
    }
    Some((low + high) / 2.0)
}

/// Two straight lines that meet at a knee.
struct Tent {
    knee: f64,
    top: f64,
    /// Slopes before and after the knee.
    left: f64,
    right: f64,
    squares: f64,
}

impl Tent {
    fn at(&self, t: f64) -> f64 {
        self.top + self.left * (t - self.knee).min(0.0) + self.right * (t - self.knee).max(0.0)
    }

    /// Least squares for three numbers, by the normal equations; `None` where the points do not determine them.
    fn fit(points: &[(f64, f64)], knee: f64, keep: impl Fn(&(f64, f64)) -> bool) -> Option<Self> {
        let kept = || points.iter().filter(|p| keep(p));
        let (mut n, mut l, mut r, mut ll, mut rr) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let (mut y, mut ly, mut ry) = (0.0, 0.0, 0.0);
        for p in kept() {
            let (left, right) = ((p.0 - knee).min(0.0), (p.0 - knee).max(0.0));
            n += 1.0;
            l += left;
            r += right;
            ll += left * left;
            rr += right * right;
            y += p.1;
            ly += left * p.1;
            ry += right * p.1;
        }
        if ll <= 0.0 || rr <= 0.0 {
            return None;
        }
        // Left and right never differ from nought together, so the slopes drop out one by one.
        let rest = n - l * l / ll - r * r / rr;
        if rest <= 1e-9 * n {
            return None;
        }
        let top = (y - l * ly / ll - r * ry / rr) / rest;
        let mut tent =
            Self { knee, top, left: (ly - l * top) / ll, right: (ry - r * top) / rr, squares: 0.0 };
        tent.squares = kept().map(|p| (p.1 - tent.at(p.0)).powi(2)).sum();
        Some(tent)
    }

    /// Squares left by one straight line.
    fn fit_line(points: &[(f64, f64)], keep: impl Fn(&(f64, f64)) -> bool) -> Option<f64> {
        let kept = || points.iter().filter(|p| keep(p));
        let n = kept().count() as f64;
        let (t, y) = kept().fold((0.0, 0.0), |(t, y), p| (t + p.0 / n, y + p.1 / n));
        let (tt, ty, yy) = kept().fold((0.0, 0.0, 0.0), |(tt, ty, yy), p| {
            (tt + (p.0 - t).powi(2), ty + (p.0 - t) * (p.1 - y), yy + (p.1 - y).powi(2))
        });
        (tt > 0.0).then(|| yy - ty * ty / tt)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_ranks(x: &[f64], y: &[f64], expected: Option<f64>) {
        let pairs: Vec<(f64, f64)> = x.iter().copied().zip(y.iter().copied()).collect();
        let found = rank_correlation(&pairs, &mut RankSpace::new(16));
        match (found, expected) {
            (Some(found), Some(expected)) => assert!((found - expected).abs() < 1e-12, "{found}: {expected}"),
            (found, expected) => assert_eq!(found, expected, "{x:?} {y:?}"),
        }
    }

    #[test]
    fn rank_correlation_as_scipy_has_it() {
        // scipy 1.17.1, scipy.stats.spearmanr(x, y).statistic
        check_ranks(&[1.0, 2.0, 3.0, 4.0, 5.0], &[5.0, 6.0, 7.0, 8.0, 7.0], Some(0.820_782_681_668_123_3));
        check_ranks(&[1.0, 2.0, 2.0, 3.0], &[4.0, 4.0, 5.0, 9.0], Some(0.833_333_333_333_333_5));
        check_ranks(
            &[-18.2, -16.0, -14.1, -12.5, -12.5, -15.0, -17.7, -20.0],
            &[4.1, 4.6, 5.2, 5.9, 5.8, 5.2, 4.4, 4.0],
            Some(0.987_951_807_228_915_5),
        );
        check_ranks(
            &[3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0, 6.0],
            &[2.0, 7.0, 1.0, 8.0, 2.0, 8.0, 1.0, 8.0],
            Some(0.198_853_681_209_924_67),
        );
        // By hand: one order is the other's reverse; without ties 1 - 6 sum d² / (n (n² - 1)) = 1 - 6 * 2 / 24.
        check_ranks(&[1.0, 2.0, 3.0], &[3.0, 2.0, 1.0], Some(-1.0));
        check_ranks(&[10.0, 20.0, 30.0], &[10.0, 30.0, 20.0], Some(0.5));
    }

    #[test]
    fn nothing_that_varies_has_no_rank_correlation() {
        check_ranks(&[1.0, 2.0, 3.0], &[7.0, 7.0, 7.0], None);
        check_ranks(&[2.0; 5], &[2.0; 5], None);
        check_ranks(&[1.0, 2.0], &[1.0, 2.0], None);
        check_ranks(&[], &[], None);
    }

    fn turn_of(course: impl Fn(f64) -> f64, n: usize) -> Option<f64> {
        let points: Vec<(f64, f64)> = (0..n).map(|i| (i as f64 * 0.2, course(i as f64 * 0.2))).collect();
        turn_s(&points, &mut Vec::new())
    }

    #[test]
    fn the_turn_is_found_between_the_points_and_past_an_outlier() {
        let found = turn_of(|t| 6.0 - (t - 3.3).abs(), 40).unwrap();
        assert!((found - 3.3).abs() < 0.01, "{found}");
        // Steeper down than up.
        let found = turn_of(|t| if t < 4.5 { t } else { 4.5 - 2.0 * (t - 4.5) }, 40).unwrap();
        assert!((found - 4.5).abs() < 0.01, "{found}");
        let wild = |t: f64| if (t - 1.0).abs() < 0.05 { 30.0 } else { 6.0 - (t - 3.3).abs() };
        let found = turn_of(wild, 40).unwrap();
        assert!((found - 3.3).abs() < 0.05, "{found}");
    }

    #[test]
    fn what_does_not_rise_and_fall_has_no_turn() {
        assert_eq!(turn_of(|t| t, 30), None);
        assert_eq!(turn_of(|t| (t - 3.0).abs(), 30), None, "a valley");
        assert_eq!(turn_of(|_| 2.0, 30), None);
        assert_eq!(turn_of(|t| 6.0 - (t - 0.5).abs(), 5), None, "too few points");
        // Up and down by turns, as noise is.
        assert_eq!(turn_of(|t| if (t * 5.0).round() as i64 % 2 == 0 { 1.0 } else { 0.0 }, 30), None);
    }
}
