//! What one span of the score came to: pulses and pitch gathered while it lasts, summed up at its end. Must not know
//! sound, sockets or the time of day.

use crate::convert;
use windrow_protocol::messages::{Pulse, Reading, SpanResult};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Cents;

/// Most pulses of a span that are kept, over eight minutes at eight a second, and most readings without pulses, over three at
/// twenty. A longer span is told by its first ones.
const MAX_KEPT: usize = 4096;

/// An interval of more than this many median intervals is a breath, not a slow pulse; it separates two runs. Between the
/// slowest plausible hesitation and a whole pulse left out (2), our own choice.
const BREATH_INTERVALS: f64 = 1.8;

/// What lies further than this from the span's median, cents, is part of another note: where a line is slurred a note's first
/// pulse begins in the one before. Half a semitone, our own choice.
const OTHER_NOTE_CENTS: f64 = 50.0;

/// Gathers one span.
#[derive(Debug, Clone, Default)]
pub(crate) struct SpanTally {
    times_us: Vec<f64>,
    depths_db: Vec<f64>,
    swings_cents: Vec<f64>,
    pulse_cents: Vec<f64>,
    reading_cents: Vec<f64>,
}

impl SpanTally {
    /// Takes in a pulse of this span.
    pub(crate) fn add_pulse(&mut self, pulse: &Pulse) {
        if self.times_us.len() < MAX_KEPT {
            self.times_us.push(pulse.time_us.get());
            self.depths_db.push(pulse.depth_db.get());
            self.swings_cents.push(pulse.swing_cents.get());
            self.pulse_cents.extend(pulse.mean_cents.map(f64::from));
        }
    }

    /// Takes in a reading of this span.
    pub(crate) fn add_reading(&mut self, reading: &Reading) {
        if reading.trusted && self.reading_cents.len() < MAX_KEPT {
            self.reading_cents.extend(reading.cents.map(Cents::get));
        }
    }

    /// Sums up; `timeline` is the score the span belongs to.
    pub(crate) fn result(mut self, seq: u32, span_idx: usize, timeline: &Timeline) -> SpanResult {
        let n_pulses = self.times_us.len();
        let intervals = played_intervals(&self.times_us);
        let mean_us = mean(&intervals);
        SpanResult {
            seq,
            score_version: timeline.score().version,
            span_idx: u16::try_from(span_idx).expect("a score has at most 2000 spans"),
            n_pulses: u32::try_from(n_pulses).expect("at most MAX_KEPT are kept"),
            pulse_rate_hz: mean_us.and_then(|us| convert::hertz(1e6 / us)),
            depth_db_pp: median(&mut self.depths_db).and_then(convert::decibels),
            swing_cents_pp: median(&mut self.swings_cents).and_then(convert::cents),
            centre_cents: centre(&mut self.pulse_cents)
                .or_else(|| centre(&mut self.reading_cents))
                .and_then(convert::cents),
            evenness_cv: mean_us.filter(|_| intervals.len() >= 2).and_then(|mean_us| {
                let squares = intervals.iter().map(|us| (us - mean_us).powi(2)).sum::<f64>();
                convert::ratio((squares / (intervals.len() - 1) as f64).sqrt() / mean_us)
            }),
            timing_ms: median_offset_ms(&self.times_us, timeline),
        }
    }
}

/// Mean of what belongs to the span's own note.
fn centre(all_cents: &mut Vec<f64>) -> Option<f64> {
    let middle_cents = median(all_cents)?;
    all_cents.retain(|cents| (cents - middle_cents).abs() < OTHER_NOTE_CENTS);
    mean(all_cents)
}

/// Intervals between neighbouring pulses, without those across a breath.
fn played_intervals(times_us: &[f64]) -> Vec<f64> {
    let mut intervals: Vec<f64> = times_us.windows(2).map(|pair| pair[1] - pair[0]).collect();
    if let Some(usual) = median(&mut intervals.clone()) {
        intervals.retain(|&us| us <= BREATH_INTERVALS * usual);
    }
    intervals
}

/// Median of pulse time minus nearest tick, ms. The offsets are first turned round the middle of their circular mean,
/// so that a player half a tick away is not told as a mixture of early and late.
fn median_offset_ms(times_us: &[f64], timeline: &Timeline) -> Option<f64> {
    let ticks: Vec<_> = times_us.iter().filter_map(|&us| timeline.nearest_tick(us)).collect();
    let (mut sin, mut cos) = (0.0, 0.0);
    for tick in &ticks {
        let phase = std::f64::consts::TAU * tick.offset_ms / tick.period_ms;
        sin += phase.sin();
        cos += phase.cos();
    }
    let middle_turns = sin.atan2(cos) / std::f64::consts::TAU;
    let mut offsets_ms: Vec<f64> = ticks
        .iter()
        .map(|tick| {
            let turns = tick.offset_ms / tick.period_ms - middle_turns;
            (middle_turns + turns - turns.round()) * tick.period_ms
        })
        .collect();
    median(&mut offsets_ms).map(|ms| (ms * 10.0).round() / 10.0)
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| (values[(n - 1) / 2] + values[n / 2]) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{PerBeat, Score, Span, Target, TickFrom};
    use windrow_protocol::units::{Bpm, Decibels, Micros};

    fn timeline() -> Timeline {
        Timeline::new(Score {
            version: 7,
            start_us: Micros::new(1e6).unwrap(),
            beats_per_bar: 4,
            tick: TickFrom::default(),
            spans: vec![Span::new(
                Bpm::new(60.0).unwrap(),
                Target::Pulses { per_beat: PerBeat::new(4).unwrap() },
            )],
        })
        .unwrap()
    }

    /// Sums up pulses at these times, s after beat nought of 60 bpm in sixteenths (a tick each 250 ms).
    fn result(times_s: &[f64]) -> SpanResult {
        let mut tally = SpanTally::default();
        for (i, time_s) in times_s.iter().enumerate() {
            tally.add_pulse(&Pulse {
                time_us: Micros::new(1e6 + time_s * 1e6).unwrap(),
                depth_db: Decibels::new(4.0 + i as f64).unwrap(),
                swing_cents: Cents::new(10.0).unwrap(),
                mean_cents: Cents::new(-5.0).ok(),
                choked: false,
            });
        }
        tally.result(3, 0, &timeline())
    }

    #[test]
    fn a_breath_does_not_slow_the_rate() {
        let said = result(&[0.0, 0.25, 0.5, 2.0, 2.25, 2.5]);
        assert_eq!(said.pulse_rate_hz.unwrap().get(), 4.0);
        assert_eq!(said.evenness_cv.unwrap().get(), 0.0);
        assert_eq!((said.n_pulses, said.score_version, said.seq), (6, 7, 3));
        assert_eq!(said.depth_db_pp.unwrap().get(), 6.5);
        assert_eq!(said.centre_cents.unwrap().get(), -5.0);
    }

    #[test]
    fn timing_is_the_median_distance_from_the_tick() {
        assert_eq!(result(&[0.03, 0.28, 0.55]).timing_ms, Some(30.0));
        assert_eq!(result(&[0.24, 0.48, 0.73]).timing_ms, Some(-20.0));
    }

    #[test]
    fn half_a_tick_away_is_not_averaged_to_on_the_tick() {
        // 110, 120, 130 (which is 120 before the next tick) and 140 ms after the tick: the middle is 125.
        let ms = result(&[0.11, 0.37, 0.63, 0.89]).timing_ms.unwrap();
        assert!((ms.abs() - 125.0).abs() < 0.5, "{ms}");
    }

    #[test]
    fn a_pulse_that_began_in_another_note_does_not_move_the_centre() {
        let mut tally = SpanTally::default();
        for (i, mean_cents) in [-210.0, -4.0, -6.0, -5.0].into_iter().enumerate() {
            tally.add_pulse(&Pulse {
                time_us: Micros::new(1e6 + i as f64 * 0.25e6).unwrap(),
                depth_db: Decibels::new(6.0).unwrap(),
                swing_cents: Cents::new(10.0).unwrap(),
                mean_cents: Cents::new(mean_cents).ok(),
                choked: false,
            });
        }
        assert_eq!(tally.result(1, 0, &timeline()).centre_cents.unwrap().get(), -5.0);
    }

    #[test]
    fn a_span_without_pulses_has_counts_and_no_measures() {
        let said = result(&[]);
        assert_eq!((said.n_pulses, said.pulse_rate_hz, said.timing_ms), (0, None, None));
    }
}
