//! How rate and depth follow the loudness over one tone. Knows pulses and the level between them.

use super::pieces::CAPACITY;
use super::ranks::{RankSpace, rank_correlation, turn_s};
use super::trains::{Train, trains};
use super::{Hairpin, Point, Tone};

/// Fewest pulses that a course of three measures is told from (asked).
const FEWEST_PULSES: usize = 6;
/// Least range of the loudness, dB: less is no hairpin (asked).
const LEAST_RANGE_DB: f64 = 3.0;

/// Finds the fit; owns its working space.
pub(super) struct HairpinFinder {
    trains: Vec<Train>,
    /// Times and loudness, rate and depth of the pulses that count.
    loudness: Vec<(f64, f64)>,
    rate: Vec<(f64, f64)>,
    depth: Vec<(f64, f64)>,
    pairs: Vec<(f64, f64)>,
    ranks: RankSpace,
    deviations: Vec<f64>,
}

impl HairpinFinder {
    pub(super) fn new() -> Self {
        let course = || Vec::with_capacity(CAPACITY);
        Self {
            trains: Vec::with_capacity(CAPACITY),
            loudness: course(),
            rate: course(),
            depth: course(),
            pairs: course(),
            ranks: RankSpace::new(CAPACITY),
            deviations: Vec::with_capacity(CAPACITY),
        }
    }

    /// The fit of a tone; `None` where it has too few pulses or too little loudness.
    pub(super) fn find(&mut self, tone: &Tone) -> Option<Hairpin> {
        self.gather(tone);
        let n_pulses = self.loudness.len();
        let (soft, loud) =
            self.loudness.iter().fold((f64::MAX, f64::MIN), |(s, l), p| (s.min(p.1), l.max(p.1)));
        if n_pulses < FEWEST_PULSES || loud - soft < LEAST_RANGE_DB {
            return None;
        }
        let rate_correlation = self.correlation(|h| &h.rate);
        let depth_correlation = self.correlation(|h| &h.depth);
        Some(Hairpin {
            start_s: self.loudness[0].0,
            end_s: self.loudness[n_pulses - 1].0,
            note_midi: tone.note_midi,
            n_pulses,
            loudness_range_db: loud - soft,
            rate_correlation,
            depth_correlation,
            loudness_turn_s: turn_s(&self.loudness, &mut self.deviations),
            rate_turn_s: turn_s(&self.rate, &mut self.deviations),
            depth_turn_s: turn_s(&self.depth, &mut self.deviations),
        })
    }

    /// Pulses with a neighbour on each side in the same train: the first and the last of a train have the attack, the
    /// straight tone or the end in them.
    fn gather(&mut self, tone: &Tone) {
        trains(tone.pulses, &mut self.trains);
        for course in [&mut self.loudness, &mut self.rate, &mut self.depth] {
            course.clear();
        }
        for train in &self.trains {
            for three in train.of(tone.pulses).windows(3) {
                let (before_s, time_s, after_s) = (three[0].time_s, three[1].time_s, three[2].time_s);
                let valleys = ((before_s + time_s) / 2.0, (time_s + after_s) / 2.0);
                let Some(level_db) = mean_level_db(tone.points, valleys.0, valleys.1) else { continue };
                self.loudness.push((time_s, level_db));
                self.rate.push((time_s, 2.0 / (after_s - before_s)));
                self.depth.push((time_s, three[1].depth_db));
            }
        }
    }

    fn correlation(&mut self, with: impl Fn(&Self) -> &Vec<(f64, f64)>) -> Option<f64> {
        let mut pairs = std::mem::take(&mut self.pairs);
        pairs.clear();
        pairs.extend(self.loudness.iter().zip(with(self)).map(|(loudness, other)| (loudness.1, other.1)));
        let correlation = rank_correlation(&pairs, &mut self.ranks);
        self.pairs = pairs;
        correlation
    }
}

/// Mean of the level between two moments, along straight lines from reading to reading; `None` outside of them.
fn mean_level_db(points: &[Point], from_s: f64, to_s: f64) -> Option<f64> {
    let level_at = |t: f64| {
        let i = points.partition_point(|p| p.time_s < t);
        let (before, after) = (points.get(i.checked_sub(1)?)?, points.get(i)?);
        let share = (t - before.time_s) / (after.time_s - before.time_s);
        Some(before.level_db + share * (after.level_db - before.level_db))
    };
    let first = points.partition_point(|p| p.time_s <= from_s);
    let mut last = (from_s, level_at(from_s)?);
    let end = (to_s, level_at(to_s)?);
    let within = points[first..].iter().map(|p| (p.time_s, p.level_db)).take_while(|p| p.0 < to_s);
    let mut area = 0.0;
    for next in within.chain(std::iter::once(end)) {
        area += (next.0 - last.0) * (next.1 + last.1) / 2.0;
        last = next;
    }
    (to_s > from_s).then(|| area / (to_s - from_s))
}
