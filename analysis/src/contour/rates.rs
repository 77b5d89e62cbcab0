//! Where the rate of a train jumps and stays: another subdivision, another rung. Pulses that are uneven (5 to 18 % from
//! one to the next) and a rate that drifts are no jumps.

use super::pieces::{CAPACITY, Pieces, tame};
use super::ranks::squares_of_bend;
use crate::reading::Pulse;

/// Smallest jump, natural logarithm of the ratio of the rates: 4 %, a little more than a matched rate may be off (3 %).
const SMALLEST_JUMP: f64 = 0.039;
/// A jump is at least this many standard deviations of what is known of the rates on its two sides.
const JUMP_DEVIATIONS: f64 = 3.0;
/// A jump leaves so much less than a drift that bends once on the way, in squares over the variance of an interval (our
/// own measurement: half as much cuts twice as many drifts).
const BETTER_THAN_DRIFT: f64 = 4.0;
/// Least scatter that is reckoned with: 2 ms, to which pulses are found, in intervals of 0.13 to 1 s (1.5 to 0.2 %).
const LEAST_SCATTER: f64 = 0.015;
/// Intervals further off than this from those around them are missed or invented pulses (logarithm; 1.42 times).
const FAR: f64 = 0.35;
/// The same in standard deviations.
const FAR_DEVIATIONS: f64 = 4.0;
/// A rate that stays lasts so many intervals
const FEWEST_INTERVALS: usize = 3;
/// or, after a jump smaller than this (logarithm: 16 %, between a rung from 60 to 66 and triplets to sixteenths), so many:
/// a few pulses may hurry,
const LARGE_JUMP: f64 = 0.15;
const FEWEST_AFTER_SMALL: usize = 6;
/// and this long, seconds.
const SHORTEST_S: f64 = 0.7;

/// Finds the jumps; owns its working space.
pub(super) struct RateCutter {
    intervals: Vec<(f64, f64)>,
    space: Vec<f64>,
    cuts: Vec<usize>,
}

impl RateCutter {
    pub(super) fn new() -> Self {
        Self {
            intervals: Vec::with_capacity(CAPACITY),
            space: Vec::with_capacity(CAPACITY),
            cuts: Vec::with_capacity(CAPACITY),
        }
    }

    /// Pulses with which a new rate begins, counted from the train's first. They belong to both sides: the last interval
    /// of one rate ends there, and the first of the next begins.
    pub(super) fn cuts(&mut self, train: &[Pulse], pieces: &mut Pieces) -> &[usize] {
        self.cuts.clear();
        self.intervals.clear();
        self.intervals.extend(train.windows(2).map(|pair| {
            let (a, b) = (pair[0].time_s, pair[1].time_s);
            ((a + b) / 2.0, (b - a).max(1e-3).ln())
        }));
        if self.intervals.len() < 2 * FEWEST_INTERVALS {
            return &self.cuts;
        }
        let sigma = pieces.noise(&self.intervals).max(LEAST_SCATTER);
        tame(&mut self.intervals, FAR.max(FAR_DEVIATIONS * sigma), &mut self.space);
        pieces.cut(&self.intervals, sigma, FEWEST_INTERVALS);
        let end_s = train[train.len() - 1].time_s;
        let mut since_s = train[0].time_s;
        for pair in pieces.found().windows(2) {
            let (left, right) = (pair[0], pair[1]);
            let at_s = train[right.from].time_s;
            let jump = (right.at(at_s) - left.at(at_s)).abs();
            let known = sigma * (left.end_variance() + right.end_variance()).sqrt();
            let own = &self.intervals[left.from..right.to];
            let gained = squares_of_bend(own) - left.squares - right.squares;
            let shorter = (left.to - left.from).min(right.to - right.from);
            let lasts = (jump > LARGE_JUMP || shorter >= FEWEST_AFTER_SMALL)
                && at_s - since_s >= SHORTEST_S
                && end_s - at_s >= SHORTEST_S;
            if lasts
                && jump > SMALLEST_JUMP.max(JUMP_DEVIATIONS * known)
                && gained > BETTER_THAN_DRIFT * sigma * sigma
            {
                self.cuts.push(right.from);
                since_s = at_s;
            }
        }
        &self.cuts
    }
}
