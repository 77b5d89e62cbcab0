//! Where the size of a train's pulses begins to grow, to shrink or to stay. The size is the depth, or the swing where the
//! pitch leads, as a share of the train's full size. Knows one stretch of pulses with one rate.

use super::ease::time_of;
use super::pieces::{CAPACITY, Piece, Pieces, tame};
use crate::reading::Pulse;

/// A size that goes up or down by this share of the full one grows or shrinks: more than the sizes of pulses differ
/// among themselves (10 % from one to the next in good players, Seashore 1938; much more in beginners).
const GROWS_BY: f64 = 0.4;
/// Less than this within a piece is no trend.
const TREND_FROM: f64 = 0.05;
/// Least scatter of the sizes that is reckoned with.
const LEAST_SCATTER: f64 = 0.02;
/// Sizes further off than this from those around them count like these, and in standard deviations.
const FAR: f64 = 0.25;
const FAR_DEVIATIONS: f64 = 4.0;
/// Fewest pulses of a piece.
const FEWEST_PULSES: usize = 3;
/// From this many pulses on, those at a train's ends are left out: their valley is the straight tone or its end.
const FEW_PULSES: usize = 6;
/// The full size: so many of the pulses are smaller.
const FULL_SHARE: f64 = 0.9;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trend {
    Level,
    Growing,
    Shrinking,
}

/// Pulses `from` to before `to` of the stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) trend: Trend,
    /// Where it begins, if after another part, seconds.
    pub(super) start_s: Option<f64>,
    /// Where its line would begin and end at nothing, seconds.
    pub(super) zero_s: Option<f64>,
    /// Time from 10 % to 90 % of the way, of a growing or shrinking part and of one that begins with a jump.
    pub(super) ease_s: Option<f64>,
    /// Pieces that it is made of.
    pieces: (usize, usize),
    /// Its size at both ends, and the mean.
    ends: (f64, f64),
    mean: f64,
}

/// What lies before and after a stretch of pulses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beside {
    /// A straight tone: the size was, or will be, nothing.
    Straight,
    /// The tone's beginning or end.
    TonesEnd,
    /// Pulses of another rate.
    Pulses,
}

/// Both sides of a stretch of pulses, and where it begins and ends, seconds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sides {
    pub(super) before: Beside,
    pub(super) after: Beside,
    pub(super) start_s: f64,
    pub(super) end_s: f64,
}

/// Finds the parts; owns its working space.
pub(super) struct SizeCutter {
    sizes: Vec<(f64, f64)>,
    sorted: Vec<f64>,
    parts: Vec<Part>,
}

impl SizeCutter {
    pub(super) fn new() -> Self {
        Self {
            sizes: Vec::with_capacity(CAPACITY),
            sorted: Vec::with_capacity(CAPACITY),
            parts: Vec::with_capacity(CAPACITY),
        }
    }

    /// Cuts a stretch of pulses by `size`; one level part where there is too little to tell.
    pub(super) fn parts(
        &mut self,
        pulses: &[Pulse],
        size: impl Fn(&Pulse) -> f64,
        sides: &Sides,
        pieces: &mut Pieces,
    ) -> &[Part] {
        let n = pulses.len();
        let skip = |beside: Beside| usize::from(n >= FEW_PULSES && beside != Beside::Pulses);
        let first = skip(sides.before);
        let used = &pulses[first..n - skip(sides.after)];
        let full = self.full_size(used, &size);
        self.parts.clear();
        if full <= 0.0 || used.len() < 2 * FEWEST_PULSES {
            self.parts.push(Part::level(0, n));
            return &self.parts;
        }
        self.sizes.clear();
        self.sizes.extend(used.iter().map(|p| (p.time_s, size(p) / full)));
        let sigma = pieces.noise(&self.sizes).max(LEAST_SCATTER);
        tame(&mut self.sizes, FAR.max(FAR_DEVIATIONS * sigma), &mut self.sorted);
        let found = pieces.cut(&self.sizes, sigma, FEWEST_PULSES);
        join_trends(found, &self.sizes, &mut self.parts);
        join_levels(&mut self.parts);
        self.place(pieces.found(), sides);
        // From used pulses back to all of them.
        for part in &mut self.parts {
            part.from += first;
            part.to += first;
        }
        if let Some(part) = self.parts.first_mut() {
            part.from = 0;
        }
        if let Some(part) = self.parts.last_mut() {
            part.to = n;
        }
        &self.parts
    }

    fn full_size(&mut self, pulses: &[Pulse], size: impl Fn(&Pulse) -> f64) -> f64 {
        self.sorted.clear();
        self.sorted.extend(pulses.iter().map(size));
        self.sorted.sort_unstable_by(f64::total_cmp);
        let idx = (FULL_SHARE * self.sorted.len().saturating_sub(1) as f64).round() as usize;
        self.sorted.get(idx).copied().unwrap_or(0.0)
    }

    /// Sets where the parts begin, and how long their size took from one value to the other.
    fn place(&mut self, pieces: &[Piece], sides: &Sides) {
        for i in 1..self.parts.len() {
            let (previous, part) = (self.parts[i - 1], self.parts[i]);
            let (last_s, first_s) = (self.sizes[part.from - 1].0, self.sizes[part.from].0);
            let interval_s = first_s - last_s;
            let near = last_s - interval_s..=first_s + interval_s;
            let meeting_s = pieces[previous.pieces.1 - 1].meets(&pieces[part.pieces.0]);
            self.parts[i].start_s =
                Some(meeting_s.filter(|t| near.contains(t)).unwrap_or((last_s + first_s) / 2.0));
            if previous.trend == Trend::Level && part.trend == Trend::Level {
                // A jump between two pulses: nothing is known in between but a straight line.
                self.parts[i].ease_s = Some(0.8 * interval_s);
            }
        }
        for i in 0..self.parts.len() {
            let part = self.parts[i];
            if part.trend == Trend::Level {
                continue;
            }
            let own = &pieces[part.pieces.0..part.pieces.1];
            let (first, last) = (own[0], own[own.len() - 1]);
            let beside = |part: Option<&Part>, side: Beside| match part {
                Some(part) => (part.trend == Trend::Level).then_some(part.mean),
                None => (side == Beside::Straight).then_some(0.0),
            };
            let previous = i.checked_sub(1).map(|j| &self.parts[j]);
            let next = self.parts.get(i + 1);
            let end_s = next.and_then(|n| n.start_s).unwrap_or(sides.end_s);
            let from =
                beside(previous, sides.before).unwrap_or(first.at(part.start_s.unwrap_or(sides.start_s)));
            let to = beside(next, sides.after).unwrap_or(last.at(end_s));
            let outer = if part.trend == Trend::Growing { first } else { last };
            let zero_s = outer.zero_s();
            self.parts[i].ease_s = time_of(own, &self.sizes, from, to);
            self.parts[i].zero_s = zero_s;
        }
    }
}

impl Part {
    fn level(from: usize, to: usize) -> Self {
        Self {
            from,
            to,
            trend: Trend::Level,
            start_s: None,
            zero_s: None,
            ease_s: None,
            pieces: (0, 0),
            ends: (1.0, 1.0),
            mean: 1.0,
        }
    }
}

/// Pieces as parts; neighbours that go the same way are one, and what goes not far enough is level.
fn join_trends(pieces: &[Piece], sizes: &[(f64, f64)], parts: &mut Vec<Part>) {
    for (k, piece) in pieces.iter().enumerate() {
        let ends = (piece.at(sizes[piece.from].0), piece.at(sizes[piece.to - 1].0));
        let trend = match ends.1 - ends.0 {
            change if change >= TREND_FROM => Trend::Growing,
            change if change <= -TREND_FROM => Trend::Shrinking,
            _ => Trend::Level,
        };
        match parts.last_mut() {
            Some(last) if trend != Trend::Level && last.trend == trend => {
                (last.to, last.pieces.1, last.ends.1) = (piece.to, k + 1, ends.1);
            }
            _ => parts.push(Part {
                trend,
                pieces: (k, k + 1),
                ends,
                mean: (ends.0 + ends.1) / 2.0,
                ..Part::level(piece.from, piece.to)
            }),
        }
    }
    for part in parts {
        if (part.ends.1 - part.ends.0).abs() < GROWS_BY {
            part.trend = Trend::Level;
            part.mean =
                sizes[part.from..part.to].iter().map(|s| s.1).sum::<f64>() / (part.to - part.from) as f64;
        }
    }
}

/// Level neighbours become one, unless the size jumps between them.
fn join_levels(parts: &mut Vec<Part>) {
    let mut kept = 0;
    for i in 1..parts.len() {
        let part = parts[i];
        let last = &mut parts[kept];
        let both_level = last.trend == Trend::Level && part.trend == Trend::Level;
        if both_level && (last.mean - part.mean).abs() < GROWS_BY {
            let (n, m) = ((last.to - last.from) as f64, (part.to - part.from) as f64);
            last.mean = (n * last.mean + m * part.mean) / (n + m);
            (last.to, last.pieces.1, last.ends.1) = (part.to, part.pieces.1, part.ends.1);
        } else {
            kept += 1;
            parts[kept] = part;
        }
    }
    parts.truncate(kept + 1);
}
