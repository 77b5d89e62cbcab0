//! The spans of one tone: its trains of pulses, cut where rate or size change, and the straight stretches between them.

use super::ease::{Size, offset_s, onset_s};
use super::pieces::{CAPACITY, Pieces, median};
use super::rates::RateCutter;
use super::sizes::{Beside, Part, Sides, SizeCutter, Trend};
use super::trains::{SHORTEST_STRAIGHT_S, Train, trains};
use super::{Ease, Point, Span, SpanKind, Tone};
use crate::pulses::is_by_air;
use crate::reading::{Hearing, Pulse};

/// A growing part may reach back, and a shrinking one on, over this share of the gap beside it: pulses too small to be
/// found.
const REACH_SHARE: f64 = 0.25;
/// A tone's beginning says nothing of its centre for this long, seconds, and its ends and changes for this long.
const ATTACK_S: f64 = 0.3;
const CHANGE_S: f64 = 0.05;
/// Share of the readings that must say so for a stretch to be straight; they say nothing at first and after a vibrato.
const STRAIGHT_SHARE: f64 = 1.0 / 3.0;
/// A stretch shorter than this is straight if it is steady, whatever its readings say, seconds;
const TOO_SHORT_TO_SAY_S: f64 = 1.0;
/// one longer than this needs a trusted reading, seconds.
const LONG_ENOUGH_TO_TRUST_S: f64 = 1.5;
/// Standard deviations of a steady stretch, dB and cents: a slow crescendo and an unsteady beginner are within.
const STEADY: (f64, f64) = (1.0, 8.0);
/// A train of fewer pulses than this needs readings that say so.
const FEW_PULSES: usize = 3;
/// From this many pulses on the first and the last are left out of centre and rate: the attack, a switch or another rate
/// beside them moves their peaks.
const WHOLE_PULSES: usize = 6;
/// An interval longer than this many median ones is left out of the rate: a pulse was missed.
const MISSED_INTERVALS: f64 = 1.7;

/// Finds spans; owns its working space.
pub(super) struct SpanFinder {
    trains: Vec<Train>,
    pieces: Pieces,
    rates: RateCutter,
    sizes: SizeCutter,
    /// First pulses of the stretches of one rate in a train, and the train's end.
    stretches: Vec<usize>,
    sorted: Vec<f64>,
}

/// Where a train begins and ends, and what lies beside it.
#[derive(Debug, Clone, Copy)]
struct Place {
    start_s: f64,
    end_s: f64,
    before: Beside,
    after: Beside,
    /// Free time before and after it, seconds.
    gaps_s: (f64, f64),
    /// Intervals at its two ends, seconds.
    intervals_s: (f64, f64),
}

impl SpanFinder {
    pub(super) fn new() -> Self {
        Self {
            trains: Vec::with_capacity(CAPACITY),
            pieces: Pieces::new(),
            rates: RateCutter::new(),
            sizes: SizeCutter::new(),
            stretches: Vec::with_capacity(CAPACITY + 1),
            sorted: Vec::with_capacity(CAPACITY),
        }
    }

    /// Adds the spans of a tone to `out`, in order of time.
    pub(super) fn find(&mut self, tone: &Tone, out: &mut Vec<Span>) {
        trains(tone.pulses, &mut self.trains);
        self.trains.retain(|t| t.to - t.from >= FEW_PULSES || is_heard_as_pulsed(tone, t));
        let by = self.size_of(tone.pulses);
        let mut until_s = tone.start_s;
        let mut switched_off = None;
        for i in 0..self.trains.len() {
            let train = self.trains[i];
            let place = self.place(tone, i);
            let first_span = out.len();
            self.cut_train(tone, train, &place, by, out);
            let start_s = out[first_span].start_s;
            if start_s > until_s {
                let stretch = straight(tone, until_s, start_s, switched_off);
                stretch.into_iter().for_each(|s| out.insert(first_span, s));
            }
            until_s = out[out.len() - 1].end_s;
            switched_off = self.switch_off(tone.pulses, train, &place, by, out[out.len() - 1].kind);
        }
        if tone.end_s > until_s {
            out.extend(straight(tone, until_s, tone.end_s, switched_off));
        }
    }

    /// What leads the tone's pulses.
    fn size_of(&mut self, pulses: &[Pulse]) -> Size {
        let depth_db = self.median(pulses, |p| p.depth_db).unwrap_or(0.0);
        let swing_cents = self.median(pulses, |p| p.swing_cents).unwrap_or(0.0);
        if is_by_air(depth_db, swing_cents, 0.0) { Size::Depth } else { Size::Swing }
    }

    /// A train reaches half an interval beyond its outer peaks, and to the tone's end if that is near.
    fn place(&self, tone: &Tone, i: usize) -> Place {
        let reach = |train: &Train| {
            let (first, last) = train.end_intervals_s(tone.pulses);
            let own = train.of(tone.pulses);
            (own[0].time_s - first / 2.0, own[own.len() - 1].time_s + last / 2.0, (first, last))
        };
        let (mut start_s, mut end_s, intervals_s) = reach(&self.trains[i]);
        let previous_s = i.checked_sub(1).map(|j| reach(&self.trains[j]).1);
        let next_s = self.trains.get(i + 1).map(|t| reach(t).0);
        let mut gaps_s = (
            (start_s - previous_s.unwrap_or(tone.start_s)).max(0.0),
            (next_s.unwrap_or(tone.end_s) - end_s).max(0.0),
        );
        let (mut before, mut after) = (Beside::Straight, Beside::Straight);
        // A whole pulse may have gone untold at the tone's beginning and at its end.
        if previous_s.is_none() && gaps_s.0 < SHORTEST_STRAIGHT_S.max(intervals_s.0) {
            (start_s, before, gaps_s.0) = (tone.start_s, Beside::TonesEnd, 0.0);
        }
        if next_s.is_none() && gaps_s.1 < SHORTEST_STRAIGHT_S.max(intervals_s.1) {
            (end_s, after, gaps_s.1) = (tone.end_s, Beside::TonesEnd, 0.0);
        }
        Place { start_s, end_s, before, after, gaps_s, intervals_s }
    }

    /// Adds the spans of one train.
    fn cut_train(&mut self, tone: &Tone, train: Train, place: &Place, by: Size, out: &mut Vec<Span>) {
        let pulses = train.of(tone.pulses);
        self.stretches.clear();
        self.stretches.push(0);
        self.stretches.extend_from_slice(self.rates.cuts(pulses, &mut self.pieces));
        self.stretches.push(pulses.len());
        let first_span = out.len();
        for k in 1..self.stretches.len() {
            let (from, to) = (self.stretches[k - 1], self.stretches[k]);
            let before = if from == 0 { place.before } else { Beside::Pulses };
            let after = if to == pulses.len() { place.after } else { Beside::Pulses };
            let own = &pulses[from..to];
            let sides = Sides {
                before,
                after,
                start_s: if from == 0 { place.start_s } else { own[0].time_s },
                end_s: if to == pulses.len() { place.end_s } else { pulses[to].time_s },
            };
            let parts = self.sizes.parts(own, |p| by.of(p), &sides, &mut self.pieces);
            for part in parts {
                let start_s = match part.start_s {
                    Some(at_s) => at_s,
                    None if from > 0 => pulses[from].time_s,
                    None => train_start_s(part, place),
                };
                if out.len() > first_span {
                    let last = out.len() - 1;
                    out[last].end_s = start_s;
                }
                // The interval to the next span's first pulse counts here, if that is of the same train.
                let until = (from + part.to + 1).min(pulses.len());
                let reaching = &pulses[from + part.from..until];
                let own = &pulses[from + part.from..from + part.to];
                let end_s =
                    if part.trend == Trend::Shrinking { train_end_s(part, place) } else { place.end_s };
                let mut span =
                    Span { start_s, end_s, ..describe(own, reaching, tone.note_midi, &mut self.sorted) };
                span.kind = match part.trend {
                    Trend::Level => SpanKind::Pulsed,
                    Trend::Growing => SpanKind::Growing,
                    Trend::Shrinking => SpanKind::Shrinking,
                };
                let period_s = span.pulse_rate_hz.map_or(place.intervals_s.0, |hz| 1.0 / hz);
                let is_onset = from + part.from == 0 && before == Beside::Straight;
                let ease_s = part.ease_s.or_else(|| {
                    let full = median_of(own, |p| by.of(p), &mut self.sorted)?;
                    onset_s(own, by, full, place.intervals_s.0).filter(|_| is_onset)
                });
                span.ease = ease_s.map(|time_s| Ease { time_s, abrupt: time_s < period_s });
                out.push(span);
            }
        }
    }

    /// How a train that does not shrink ends before a straight tone.
    fn switch_off(
        &mut self,
        pulses: &[Pulse],
        train: Train,
        place: &Place,
        by: Size,
        last: SpanKind,
    ) -> Option<Ease> {
        if last != SpanKind::Pulsed || place.after != Beside::Straight {
            return None;
        }
        let own = train.of(pulses);
        let last_ones = &own[own.len().saturating_sub(2 * WHOLE_PULSES)..];
        let full = median_of(last_ones, |p| by.of(p), &mut self.sorted)?;
        let time_s = offset_s(last_ones, by, full, place.intervals_s.1)?;
        Some(Ease { time_s, abrupt: time_s < place.intervals_s.1 })
    }

    fn median(&mut self, pulses: &[Pulse], of: impl Fn(&Pulse) -> f64) -> Option<f64> {
        median_of(pulses, of, &mut self.sorted)
    }
}

fn median_of(pulses: &[Pulse], of: impl Fn(&Pulse) -> f64, sorted: &mut Vec<f64>) -> Option<f64> {
    sorted.clear();
    sorted.extend(pulses.iter().map(of));
    median(sorted)
}

/// Where a train begins: a growing one where its line begins, if that is in the gap before it.
fn train_start_s(part: &Part, place: &Place) -> f64 {
    let zero_s = part.zero_s.filter(|_| part.trend == Trend::Growing && place.before == Beside::Straight);
    zero_s.map_or(place.start_s, |t| t.clamp(place.start_s - REACH_SHARE * place.gaps_s.0, place.start_s))
}

/// Where a train that shrinks ends.
fn train_end_s(part: &Part, place: &Place) -> f64 {
    let zero_s = part.zero_s.filter(|_| place.after == Beside::Straight);
    zero_s.map_or(place.end_s, |t| t.clamp(place.end_s, place.end_s + REACH_SHARE * place.gaps_s.1))
}

/// A span of the pulses it has; `reaching` holds the next span's first one as well, to which the last interval goes.
fn describe(own: &[Pulse], reaching: &[Pulse], note_midi: u8, sorted: &mut Vec<f64>) -> Span {
    let whole = if own.len() >= WHOLE_PULSES { &own[1..own.len() - 1] } else { own };
    let (n, sum) =
        whole.iter().filter_map(|p| p.mean_midi).fold((0.0, 0.0), |(n, sum), m| (n + 1.0, sum + m));
    Span {
        start_s: 0.0,
        end_s: 0.0,
        kind: SpanKind::Pulsed,
        note_midi,
        centre_cents: (n > 0.0).then(|| 100.0 * (sum / n - f64::from(note_midi))),
        n_pulses: own.len(),
        pulse_rate_hz: rate_hz(inner(reaching), sorted),
        depth_db_pp: median_of(own, |p| p.depth_db, sorted),
        swing_cents_pp: median_of(own, |p| p.swing_cents, sorted),
        ease: None,
    }
}

/// Pulses without the first and the last, if there are enough.
fn inner(pulses: &[Pulse]) -> &[Pulse] {
    if pulses.len() >= WHOLE_PULSES { &pulses[1..pulses.len() - 1] } else { pulses }
}

/// Intervals over the time they took, without those in which a pulse was missed.
fn rate_hz(pulses: &[Pulse], sorted: &mut Vec<f64>) -> Option<f64> {
    sorted.clear();
    sorted.extend(pulses.windows(2).map(|pair| pair[1].time_s - pair[0].time_s));
    let longest_s = MISSED_INTERVALS * median(sorted)?;
    let n = sorted.partition_point(|s| *s <= longest_s);
    let took_s: f64 = sorted[..n].iter().sum();
    (took_s > 0.0).then(|| n as f64 / took_s)
}

/// Whether the readings around a short train say that it pulses.
fn is_heard_as_pulsed(tone: &Tone, train: &Train) -> bool {
    let own = train.of(tone.pulses);
    let around = between(tone.points, own[0].time_s, own[own.len() - 1].time_s);
    2 * around.iter().filter(|p| p.hearing == Hearing::Pulsed).count() >= around.len().max(1)
}

/// A stretch without pulses.
fn straight(tone: &Tone, start_s: f64, end_s: f64, ease: Option<Ease>) -> Option<Span> {
    let points = between(tone.points, start_s, end_s);
    let is_first = start_s <= tone.start_s;
    let margin_s = if is_first { ATTACK_S } else { CHANGE_S };
    let inner = between(points, start_s + margin_s, end_s - CHANGE_S);
    let inner = if inner.is_empty() { points } else { inner };
    if inner.is_empty() {
        return None;
    }
    let n = inner.len() as f64;
    let midi = inner.iter().map(|p| p.midi).sum::<f64>() / n;
    let level_db = inner.iter().map(|p| p.level_db).sum::<f64>() / n;
    let deviation = |of: fn(&Point) -> f64, mean: f64| {
        (inner.iter().map(|p| (of(p) - mean).powi(2)).sum::<f64>() / n).sqrt()
    };
    let steady =
        deviation(|p| p.level_db, level_db) < STEADY.0 && 100.0 * deviation(|p| p.midi, midi) < STEADY.1;
    let said = points.iter().filter(|p| p.hearing == Hearing::Straight).count() as f64;
    let trusted = points.iter().any(|p| p.hearing == Hearing::Straight && p.trusted);
    let lasts_s = end_s - start_s;
    let is_straight = (lasts_s < TOO_SHORT_TO_SAY_S && steady)
        || (said >= STRAIGHT_SHARE * points.len() as f64 && (trusted || lasts_s < LONG_ENOUGH_TO_TRUST_S));
    Some(Span {
        start_s,
        end_s,
        kind: if is_straight { SpanKind::Straight } else { SpanKind::Unclear },
        note_midi: tone.note_midi,
        centre_cents: Some(100.0 * (midi - f64::from(tone.note_midi))),
        n_pulses: 0,
        pulse_rate_hz: None,
        depth_db_pp: None,
        swing_cents_pp: None,
        ease: ease.filter(|_| is_straight),
    })
}

fn between(points: &[Point], from_s: f64, to_s: f64) -> &[Point] {
    let from = points.partition_point(|p| p.time_s < from_s);
    let to = points.partition_point(|p| p.time_s <= to_s);
    &points[from.min(to)..to]
}
