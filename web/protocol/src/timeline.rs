//! Beats to server time and back: a pure function of a score, the same for server, native player and browser.
//!
//! Span starts are computed from the span list each time anew (one multiplication and one addition a span), so an hour
//! of one span carries no accumulated rounding.

use crate::score::{BadScore, Score, Span, Target};

/// Where a score is in time. Beat nought is the first beat after the count-in; the count-in has negative beats.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    score: Score,
    /// First beat of each span.
    first_beats: Vec<f64>,
    /// Server time of each span's first beat, µs.
    starts_us: Vec<f64>,
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

impl Timeline {
    /// Compiles a score.
    ///
    /// # Errors
    /// [`BadScore`] when the score cannot be played.
    pub fn new(score: Score) -> Result<Self, BadScore> {
        score.check()?;
        let mut first_beats = Vec::with_capacity(score.spans.len());
        let mut starts_us = Vec::with_capacity(score.spans.len());
        let (mut beat, mut us) = (0.0, score.start_us.get());
        for span in &score.spans {
            first_beats.push(beat);
            starts_us.push(us);
            if let Some(length) = span.length_beats {
                beat += length.get();
                us += length.get() * beat_us(span);
            }
        }
        Ok(Self { score, first_beats, starts_us })
    }

    /// The score this was made from.
    pub fn score(&self) -> &Score {
        &self.score
    }

    /// Length of the count-in, in beats.
    pub fn count_in_beats(&self) -> f64 {
        f64::from(self.score.count_in_bars) * f64::from(self.score.beats_per_bar)
    }

    /// Beat at a server time. Before beat nought it counts down at the first tempo, past the end it goes on at the last.
    pub fn beat_at(&self, time_us: f64) -> f64 {
        let i = last_not_above(&self.starts_us, time_us);
        self.first_beats[i] + (time_us - self.starts_us[i]) / beat_us(&self.score.spans[i])
    }

    /// Server time of a beat, µs; the inverse of [`Timeline::beat_at`].
    pub fn time_of(&self, beat: f64) -> f64 {
        let i = last_not_above(&self.first_beats, beat);
        self.starts_us[i] + (beat - self.first_beats[i]) * beat_us(&self.score.spans[i])
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

    /// The tick of the subdivision nearest to a server time; `None` where the score measures no pulses.
    pub fn nearest_tick(&self, time_us: f64) -> Option<NearestTick> {
        let i = self.span_index_at(self.beat_at(time_us).max(0.0))?;
        let Target::Pulses { per_beat } = self.score.spans[i].target else { return None };
        let per_beat = f64::from(per_beat.get());
        let within = (time_us - self.starts_us[i]) / beat_us(&self.score.spans[i]) * per_beat;
        let tick = within.round().max(0.0);
        let period_ms = beat_us(&self.score.spans[i]) / per_beat / 1000.0;
        Some(NearestTick {
            beat: self.first_beats[i] + tick / per_beat,
            offset_ms: (within - tick) * period_ms,
            period_ms,
        })
    }
}

/// Length of a beat, µs.
fn beat_us(span: &Span) -> f64 {
    60e6 / span.bpm.get()
}

/// Index of the last element not above `x`; the first where all are.
fn last_not_above(sorted: &[f64], x: f64) -> usize {
    sorted.partition_point(|&s| s <= x).saturating_sub(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::PerBeat;
    use crate::units::{Beats, Bpm, Micros};
    use proptest::prelude::*;

    fn score(spans: &[(Option<f64>, f64)]) -> Score {
        Score {
            version: 1,
            start_us: Micros::new(5e6).unwrap(),
            beats_per_bar: 4,
            count_in_bars: 1,
            spans: spans
                .iter()
                .map(|&(length, bpm)| Span {
                    length_beats: length.map(|l| Beats::new(l).unwrap()),
                    bpm: Bpm::new(bpm).unwrap(),
                    target: Target::Pulses { per_beat: PerBeat::new(3).unwrap() },
                })
                .collect(),
            note: None,
        }
    }

    #[test]
    fn beats_fall_where_arithmetic_puts_them() {
        // 60 bpm: a beat is a second; after eight beats 120 bpm: half a second.
        let timeline = Timeline::new(score(&[(Some(8.0), 60.0), (None, 120.0)])).unwrap();
        assert_eq!(timeline.time_of(0.0), 5e6);
        assert_eq!(timeline.time_of(-4.0), 1e6);
        assert_eq!(timeline.time_of(8.0), 13e6);
        assert_eq!(timeline.time_of(10.0), 14e6);
        assert_eq!(timeline.beat_at(13.5e6), 9.0);
        assert_eq!(timeline.span_index_at(-0.1), None);
        assert_eq!(timeline.span_index_at(7.99), Some(0));
        assert_eq!(timeline.span_index_at(8.0), Some(1));
    }

    #[test]
    fn an_hour_at_one_tempo_is_exact_to_a_microsecond() {
        let timeline = Timeline::new(score(&[(None, 66.0)])).unwrap();
        // 66 bpm for an hour is 3960 beats.
        assert!((timeline.time_of(3960.0) - (5e6 + 3600e6)).abs() < 1.0);
    }

    #[test]
    fn nearest_tick_tells_early_from_late() {
        let timeline = Timeline::new(score(&[(None, 60.0)])).unwrap();
        let tick = timeline.nearest_tick(5e6 + 333_333.0 + 40_000.0).unwrap();
        assert!((tick.offset_ms - 40.0).abs() < 0.01 && (tick.beat - 1.0 / 3.0).abs() < 1e-9, "{tick:?}");
        let tick = timeline.nearest_tick(5e6 + 1e6 - 20_000.0).unwrap();
        assert!((tick.offset_ms + 20.0).abs() < 0.01 && (tick.beat - 1.0).abs() < 1e-9, "{tick:?}");
    }

    #[test]
    fn scores_that_cannot_be_played_are_refused() {
        assert_eq!(Timeline::new(score(&[])).unwrap_err(), BadScore::NoSpan);
        assert_eq!(
            Timeline::new(score(&[(None, 60.0), (None, 60.0)])).unwrap_err(),
            BadScore::OpenSpanBeforeTheEnd(0)
        );
    }

    proptest! {
        #[test]
        fn beat_of_time_and_time_of_beat_are_inverses(
            lengths in proptest::collection::vec((1.0f64..64.0, 20.0f64..300.0), 1..6),
            beat in -8.0f64..400.0,
        ) {
            let spans: Vec<_> = lengths.iter().map(|&(l, bpm)| (Some(l), bpm)).collect();
            let timeline = Timeline::new(score(&spans)).unwrap();
            prop_assert!((timeline.beat_at(timeline.time_of(beat)) - beat).abs() < 1e-6);
        }
    }
}
