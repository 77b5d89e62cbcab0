//! Beats to server time and back: a pure function of a score, the same for server, native player and browser.
//!
//! Span starts are computed once from the span list, and every beat from the start of its span, so an hour of one span
//! carries no accumulated rounding, and a score of two thousand spans less than a hundredth of a microsecond.

use crate::score::{BadScore, Score, Span};
use crate::units::Beats;

/// Where a score is in time. Beat nought is the first beat of the first span; before it beats are negative.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    score: Score,
    /// First beat of each span.
    first_beats: Vec<f64>,
    /// Server time of each span's first beat, µs.
    starts_us: Vec<f64>,
    /// Beats at which bars are counted anew, and the number of the bar that begins there.
    bar_anchors: Vec<(f64, i32)>,
}

/// A moment's nearest tick of the subdivision.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NearestTick {
    /// Beat of the tick.
    pub beat: f64,
    /// The moment minus the tick: negative is early.
    pub offset_ms: f64,
    /// Distance between ticks here.
    pub period_ms: f64,
}

/// Weight of a tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TickKind {
    /// First of a bar.
    Bar,
    /// On another beat.
    Beat,
    /// Of the subdivision, between the beats.
    Between,
}

/// One tick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tick {
    /// Server time.
    pub time_us: f64,
    /// Its beat.
    pub beat: f64,
    /// Its weight.
    pub kind: TickKind,
}

/// Two beats nearer than this are one: positions carry rounding.
const SAME_BEAT: f64 = 1e-6;

impl Timeline {
    /// Most ticks told at once: two minutes of the fastest.
    pub const MAX_TICKS: usize = 4800;

    /// Compiles a score.
    ///
    /// # Errors
    /// [`BadScore`] when the score cannot be played.
    pub fn new(score: Score) -> Result<Self, BadScore> {
        score.check()?;
        let mut first_beats = Vec::with_capacity(score.spans.len());
        let mut starts_us = Vec::with_capacity(score.spans.len());
        let mut bar_anchors = vec![(0.0, score.spans[0].first_bar.unwrap_or(1))];
        let (mut beat, mut us) = (0.0, score.start_us.get());
        for (i, span) in score.spans.iter().enumerate() {
            first_beats.push(beat);
            starts_us.push(us);
            bar_anchors.extend(span.first_bar.filter(|_| i > 0).map(|bar| (beat, bar)));
            if let Some(length) = span.length_beats {
                beat += length.get();
                us += us_after(span, length.get());
            }
        }
        Ok(Self { score, first_beats, starts_us, bar_anchors })
    }

    /// The score this was made from.
    pub fn score(&self) -> &Score {
        &self.score
    }

    /// Beat at a server time. Before beat nought it counts down at the first tempo, past the end it goes on at the last.
    pub fn beat_at(&self, time_us: f64) -> f64 {
        let i = last_not_above(&self.starts_us, time_us);
        self.first_beats[i] + beats_after(&self.score.spans[i], time_us - self.starts_us[i])
    }

    /// Server time of a beat, µs; the inverse of [`Timeline::beat_at`].
    pub fn time_of(&self, beat: f64) -> f64 {
        let i = last_not_above(&self.first_beats, beat);
        self.starts_us[i] + us_after(&self.score.spans[i], beat - self.first_beats[i])
    }

    /// Tempo at a beat, bpm; before beat nought the first, past the end the last.
    pub fn bpm_at(&self, beat: f64) -> f64 {
        let i = last_not_above(&self.first_beats, beat);
        self.score.spans[i].bpm_after(beat - self.first_beats[i])
    }

    /// Index of the span that holds a beat; `None` before beat nought and past the end.
    pub fn span_index_at(&self, beat: f64) -> Option<usize> {
        if beat < 0.0 || self.end_beat().is_some_and(|end| beat >= end) {
            return None;
        }
        Some(last_not_above(&self.first_beats, beat))
    }

    /// The span that holds a beat, as [`Timeline::span_index_at`].
    pub fn span_at(&self, beat: f64) -> Option<&Span> {
        self.span_index_at(beat).map(|i| &self.score.spans[i])
    }

    /// First beat of a span; `None` past the last.
    pub fn span_start(&self, index: usize) -> Option<f64> {
        self.first_beats.get(index).copied()
    }

    /// Beat at which the score ends, or `None` if it goes on until stopped.
    pub fn end_beat(&self) -> Option<f64> {
        let last = self.score.spans.len() - 1;
        self.score.spans[last].length_beats.map(|l| self.first_beats[last] + l.get())
    }

    /// The bar line at or before a beat; before beat nought, bars go on backwards.
    pub fn bar_line_at(&self, beat: f64) -> f64 {
        let (line, _) = self.bar_of(beat);
        line
    }

    /// The next bar line after a beat, or the beat itself where it stands on one.
    pub fn bar_line_from(&self, beat: f64) -> f64 {
        let line = self.bar_line_at(beat);
        if beat - line < SAME_BEAT {
            return line;
        }
        let next = line + f64::from(self.score.beats_per_bar);
        let anchors = self.bar_anchors.iter().map(|&(anchor, _)| anchor);
        anchors.filter(|&anchor| anchor > line + SAME_BEAT).fold(next, f64::min)
    }

    /// Number of the bar that holds a beat.
    pub fn bar_at(&self, beat: f64) -> i32 {
        let (_, number) = self.bar_of(beat);
        number
    }

    fn bar_of(&self, beat: f64) -> (f64, i32) {
        let beats_per_bar = f64::from(self.score.beats_per_bar);
        let beat = beat + SAME_BEAT;
        let i = self.bar_anchors.partition_point(|&(anchor, _)| anchor <= beat).saturating_sub(1);
        let (anchor, first_bar) = self.bar_anchors[i];
        let bars = ((beat - anchor) / beats_per_bar).floor();
        (anchor + bars * beats_per_bar, first_bar.saturating_add(bars as i32))
    }

    /// The number spoken on a beat of a count-in, from 1; `None` elsewhere, and on beats that are not spoken. Of two bars
    /// with an even number of beats the first is counted in halves ("1, 2, 1 2 3 4"), so that everybody hears which bar
    /// it is: common practice, no source.
    pub fn spoken_at(&self, beat: f64) -> Option<u8> {
        let i = self.span_index_at(beat + SAME_BEAT)?;
        let span = &self.score.spans[i];
        if span.target != crate::score::Target::CountIn {
            return None;
        }
        let beats_per_bar = self.score.beats_per_bar;
        let in_bar = (beat + SAME_BEAT - self.bar_line_at(beat)).floor() as u8;
        let end = self.first_beats[i] + span.length_beats.map_or(0.0, Beats::get);
        let is_first_of_two = self.bar_line_at(beat) + f64::from(beats_per_bar) < end - SAME_BEAT;
        if !is_first_of_two || beats_per_bar % 2 == 1 {
            return Some(in_bar.saturating_add(1));
        }
        let half = beats_per_bar / 2;
        (in_bar % half == 0).then_some(in_bar / half + 1)
    }

    /// The span a pulse belongs to: one that comes up to half a tick early for a span's first beat is meant for that beat,
    /// by the shorter of the two spans' ticks. In a span that becomes much faster a tick is longer by its own tempo than by
    /// the clock, so what is nearer to a tick before the end belongs there whatever its tempo says.
    pub fn span_of_pulse(&self, time_us: f64) -> Option<usize> {
        let beat = self.beat_at(time_us);
        let here = self.span_index_at(beat);
        let next = match here {
            Some(i) => i + 1,
            None if beat < 0.0 => 0,
            None => return None,
        };
        let half_tick_us = |i: usize, bpm: f64| {
            let per_beat = self.score.spans[i].target.per_beat()?;
            Some(30e6 / bpm / f64::from(per_beat.get()))
        };
        let is_nearer_here = here.is_some_and(|i| {
            let span = &self.score.spans[i];
            span.target.per_beat().zip(span.length_beats).is_some_and(|(n, length)| {
                let tick = ((beat - self.first_beats[i]) * f64::from(n.get())).round() / f64::from(n.get());
                tick < length.get() - SAME_BEAT
            })
        });
        let is_meant_for_next = !is_nearer_here
            && self.starts_us.get(next).is_some_and(|start_us| {
                let of_here = here.and_then(|i| half_tick_us(i, self.bpm_at(beat))).unwrap_or(f64::INFINITY);
                let of_next = half_tick_us(next, self.score.spans[next].bpm.get());
                of_next.is_some_and(|half_us| start_us - time_us <= half_us.min(of_here))
            });
        if is_meant_for_next { Some(next) } else { here }
    }

    /// The tick of the subdivision nearest to a server time; `None` where the score measures no pulses.
    pub fn nearest_tick(&self, time_us: f64) -> Option<NearestTick> {
        self.nearest_tick_in(self.span_of_pulse(time_us)?, time_us)
    }

    /// The same where it is known which span the moment belongs to.
    pub fn nearest_tick_in(&self, i: usize, time_us: f64) -> Option<NearestTick> {
        let span = &self.score.spans[i];
        let per_beat = f64::from(span.target.per_beat()?.get());
        let within_us = time_us - self.starts_us[i];
        let tick = (beats_after(span, within_us) * per_beat).round().max(0.0) / per_beat;
        Some(NearestTick {
            beat: self.first_beats[i] + tick,
            offset_ms: (within_us - us_after(span, tick)) / 1000.0,
            period_ms: 60_000.0 / span.bpm_after(tick) / per_beat,
        })
    }

    /// The ticks from one server time (included) to another (not included), at most [`Timeline::MAX_TICKS`]: every beat
    /// of the score, and the subdivision where pulses are measured. None where a time is no number, or so far away that one
    /// tick cannot be told from the next.
    pub fn ticks_between(&self, from_us: f64, to_us: f64) -> Vec<Tick> {
        let mut ticks = Vec::new();
        if from_us.is_nan() || to_us.is_nan() {
            return ticks;
        }
        let first = last_not_above(&self.starts_us, from_us);
        for (i, span) in self.score.spans.iter().enumerate().skip(first) {
            let (first_beat, start_us) = (self.first_beats[i], self.starts_us[i]);
            if start_us >= to_us {
                break;
            }
            let per_beat = span.target.per_beat().map_or(1.0, |n| f64::from(n.get()));
            // Pulses are counted from the span's first beat, other spans keep the beats of the bar they stand in.
            let origin = match span.target.per_beat() {
                Some(_) => first_beat,
                None => self.bar_line_at(first_beat),
            };
            let from_beat = first_beat + beats_after(span, from_us - start_us).max(0.0);
            let mut n = ((from_beat - origin - SAME_BEAT) * per_beat).ceil();
            let mut n_early = 0;
            loop {
                let beat = origin + n / per_beat;
                n += 1.0;
                let end = span.length_beats.map_or(f64::INFINITY, |l| first_beat + l.get());
                let time_us = start_us + us_after(span, beat - first_beat);
                let is_last = beat >= end - SAME_BEAT || time_us >= to_us || ticks.len() == Self::MAX_TICKS;
                if is_last || origin + n / per_beat <= beat {
                    break;
                }
                if time_us >= from_us {
                    ticks.push(Tick { time_us, beat, kind: self.kind_of(beat) });
                    continue;
                }
                // Where the beat of a time is known, at most one tick before it comes, by rounding.
                n_early += 1;
                if n_early > MOST_EARLY {
                    return ticks;
                }
            }
        }
        ticks
    }

    fn kind_of(&self, beat: f64) -> TickKind {
        let in_bar = beat - self.bar_line_at(beat);
        if in_bar.abs() < SAME_BEAT {
            TickKind::Bar
        } else if (in_bar - in_bar.round()).abs() < SAME_BEAT {
            TickKind::Beat
        } else {
            TickKind::Between
        }
    }
}

/// Ticks before the time asked for that are passed over in a span: one, and one more for rounding.
const MOST_EARLY: u32 = 2;

/// Time from a span's first beat to a beat of it, µs. Before the first beat, and past the end, the tempo stays.
fn us_after(span: &Span, beats: f64) -> f64 {
    let (within, beyond) = within_and_beyond(beats, span.length_beats.map(Beats::get), span);
    // v² = v₀² + 2ab: the way divided by the mean of the two speeds. Stable for every acceleration, nought included.
    let mean_bpm = (span.bpm.get() + span.bpm_after(within)) / 2.0;
    within * 60e6 / mean_bpm + beyond * 60e6 / span.bpm_after(beats)
}

/// Beats from a span's first beat to a time after it; the inverse of [`us_after`].
fn beats_after(span: &Span, us: f64) -> f64 {
    let whole_us = span.length_beats.map(|l| us_after(span, l.get()));
    let (within, beyond) = within_and_beyond(us, whole_us, span);
    let minutes = within / 60e6;
    let end_bpm = if us > 0.0 { span.bpm_to.unwrap_or(span.bpm) } else { span.bpm };
    minutes * (span.bpm.get() + span.squared_bpm_per_beat() / 4.0 * minutes) + beyond / 60e6 * end_bpm.get()
}

/// Splits a way from a span's beginning into what lies within it and what lies before or beyond. Where the tempo stays
/// there is no need to.
fn within_and_beyond(way: f64, whole: Option<f64>, span: &Span) -> (f64, f64) {
    if span.bpm_to.is_none() {
        return (way, 0.0);
    }
    let within = way.clamp(0.0, whole.unwrap_or(f64::INFINITY));
    (within, way - within)
}

/// Index of the last element not above `x`; the first where all are.
fn last_not_above(sorted: &[f64], x: f64) -> usize {
    sorted.partition_point(|&s| s <= x).saturating_sub(1)
}

#[cfg(test)]
mod tests;
