//! What an invented player's device says of a span: what a listener would gather while it lasts, summed up. Pure.

use super::hearing::{mean, middle};
use super::playing::hundredths;
use windrow_protocol::messages::{Pulse, SpanResult};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Cents, Decibels, Hertz, Ratio};

/// An interval of more than so many median intervals is a breath (as the listener has it).
const BREATH_INTERVALS: f64 = 1.8;

/// One span.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    pub(super) pulses: Vec<Pulse>,
    /// Of trusted readings.
    pub(super) cents: Vec<f64>,
}

impl Tally {
    /// Sums up; `music` is the score the span belongs to.
    pub(super) fn result(&self, seq: u32, span_idx: usize, music: &Timeline) -> SpanResult {
        let times: Vec<f64> = self.pulses.iter().map(|p| p.time_us.get()).collect();
        let mut intervals_us: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
        if let Some(usual_us) = middle(intervals_us.iter().copied()) {
            intervals_us.retain(|&us| us <= BREATH_INTERVALS * usual_us);
        }
        let mean_us = mean(intervals_us.iter().copied());
        let evenness = mean_us.filter(|_| intervals_us.len() >= 2).map(|mean_us| {
            let squares: f64 = intervals_us.iter().map(|us| (us - mean_us).powi(2)).sum();
            (squares / (intervals_us.len() - 1) as f64).sqrt() / mean_us
        });
        let centre = mean(self.pulses.iter().filter_map(|p| p.mean_cents).map(Cents::get))
            .or_else(|| mean(self.cents.iter().copied()));
        let offsets = times.iter().filter_map(|&us| music.nearest_tick(us)).map(|tick| tick.offset_ms);
        SpanResult {
            seq,
            score_version: music.score().version,
            span_idx: u16::try_from(span_idx).unwrap_or(u16::MAX),
            n_pulses: u32::try_from(times.len()).unwrap_or(u32::MAX),
            pulse_rate_hz: mean_us.and_then(|us| Hertz::clamped((1e10 / us).round() / 1e4)),
            depth_db_pp: middle(self.pulses.iter().map(|p| p.depth_db.get()))
                .and_then(|db| Decibels::clamped(hundredths(db))),
            swing_cents_pp: middle(self.pulses.iter().map(|p| p.swing_cents.get()))
                .and_then(|cents| Cents::clamped(hundredths(cents))),
            centre_cents: centre.and_then(|cents| Cents::clamped(hundredths(cents))),
            evenness_cv: evenness.and_then(|cv| Ratio::clamped((cv * 1e4).round() / 1e4)),
            timing_ms: middle(offsets).map(|ms| (ms * 10.0).round() / 10.0),
        }
    }
}
