//! A device's ear: samples in, protocol messages out. The browser (through the wasm door) and the native player share
//! it. It knows no microphone, no socket and no clock: who feeds it says how its samples lie in server time.

use crate::asked_note::{AskedNote, Counting};
use crate::convert;
use crate::left_out::LeftOut;
use crate::span_tally::SpanTally;
use crate::tick_filter::TickFilter;
use windrow_analysis::{Analyser, Config, ConfigError};
use windrow_protocol::messages::{PlayerSays, Pulse, PulseBatch};
use windrow_protocol::score::{BadScore, Score};
use windrow_protocol::timeline::Timeline;

/// One analyser reading in so many becomes a message: twenty a second come, ten are sent.
const READINGS_PER_MESSAGE: u32 = 2;

/// A span's result is made when the reading is this far past its end, since a pulse becomes certain only after the
/// valley that follows it: one and a half of the slowest pulses (1 Hz).
const CERTAIN_AFTER_US: f64 = 1.5e6;

/// Samples from one look at the score's note to the next: 21 ms at 48 kHz, half of a browser's block.
const LOOK_SAMPLES: usize = 1024;

/// Most span results kept for the next push; a score that is replaced faster than sound comes in loses the oldest.
const MAX_WAITING_SPANS: usize = 8;

/// How samples lie in server time: a straight line, fitted by whoever knows both clocks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeMap {
    server_us_at_sample_zero: f64,
    server_us_per_second: f64,
}

/// A time map no pair of clocks can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BadTimeMap {
    server_us_at_sample_zero: f64,
    server_us_per_second: f64,
}

impl std::fmt::Display for BadTimeMap {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the time map must have a finite start and from 990000 to 1010000 µs a second, but starts at {} µs and \
             has {} µs a second",
            self.server_us_at_sample_zero, self.server_us_per_second
        )
    }
}

impl std::error::Error for BadTimeMap {}

impl TimeMap {
    /// From the server time of the first sample (µs) and the server µs that pass in one second of samples: 1,000,000
    /// where both clocks agree; quartz clocks stay within a few hundred of that, one in a hundred is refused.
    ///
    /// # Errors
    /// [`BadTimeMap`] names both values.
    pub fn new(server_us_at_sample_zero: f64, server_us_per_second: f64) -> Result<Self, BadTimeMap> {
        if server_us_at_sample_zero.is_finite() && (0.99e6..=1.01e6).contains(&server_us_per_second) {
            Ok(Self { server_us_at_sample_zero, server_us_per_second })
        } else {
            Err(BadTimeMap { server_us_at_sample_zero, server_us_per_second })
        }
    }

    /// Server time, µs, of a moment in seconds from the first sample.
    pub fn server_us(&self, time_s: f64) -> f64 {
        self.server_us_at_sample_zero + time_s * self.server_us_per_second
    }

    /// The moment, in seconds from the first sample, of a server time; the inverse of [`TimeMap::server_us`].
    pub fn time_s(&self, server_us: f64) -> f64 {
        (server_us - self.server_us_at_sample_zero) / self.server_us_per_second
    }
}

/// Listens to one player and says what a device has to tell the server: readings (about ten a second), pulses and the
/// result of each span of the score.
///
/// Nothing is said before the first [`Listener::set_time_map`], since every message carries server time; pulses heard
/// before it are forgotten. Pulse batches and span results are counted together from 1; keeping them until they are
/// acknowledged is the sender's work.
pub struct Listener {
    analyser: Analyser,
    ticks: TickFilter,
    left_out: LeftOut,
    time_map: Option<TimeMap>,
    timeline: Option<Timeline>,
    /// Spans being gathered, in order of their index: the one being played, and those that ended in the last
    /// [`CERTAIN_AFTER_US`].
    open_spans: Vec<(usize, SpanTally)>,
    /// Spans before this one have been reported; a pulse that becomes certain too late for one is not counted.
    first_open_span_idx: usize,
    /// Results and the timeline they belong to, waiting for the next push.
    waiting: Vec<(usize, SpanTally, Timeline)>,
    /// What cents count from.
    counting: Counting,
    n_pushed: usize,
    /// Time of the newest reading, s from the first sample.
    heard_until_s: f64,
    n_readings_heard: u32,
    next_reading_seq: u32,
    next_seq: u32,
}

impl Listener {
    /// A listener for samples of one device.
    ///
    /// # Errors
    /// [`ConfigError`] names the setting that is out of range.
    pub fn new(config: Config) -> Result<Self, ConfigError> {
        Ok(Self {
            analyser: Analyser::new(config)?,
            ticks: TickFilter::new(config.sample_rate_hz),
            left_out: LeftOut::default(),
            time_map: None,
            timeline: None,
            open_spans: Vec::new(),
            first_open_span_idx: 0,
            waiting: Vec::new(),
            counting: Counting::default(),
            n_pushed: 0,
            heard_until_s: 0.0,
            n_readings_heard: 0,
            next_reading_seq: 1,
            next_seq: 1,
        })
    }

    /// Sets how samples lie in server time; call it again whenever a better estimate is known.
    pub fn set_time_map(&mut self, time_map: TimeMap) {
        self.time_map = Some(time_map);
    }

    /// Sets the music, or none. The note of each span is taken for this player's: whoever sets the score knows the chair.
    /// A score with the same beat nought goes on (its spans keep what was gathered); any other
    /// ends the spans under way, and their results come with the next push.
    ///
    /// # Errors
    /// [`BadScore`] when the score cannot be played; the music is then none.
    pub fn set_score(&mut self, score: Option<Score>) -> Result<(), BadScore> {
        let timeline = score.map(Timeline::new).transpose();
        let goes_on = match (&self.timeline, &timeline) {
            (Some(old), Ok(Some(new))) => old.score().start_us == new.score().start_us,
            _ => false,
        };
        if !goes_on {
            self.first_open_span_idx = 0;
            if let Some(old) = self.timeline.take() {
                for (span_idx, tally) in self.open_spans.drain(..) {
                    self.waiting.push((span_idx, tally, old.clone()));
                }
                let n_too_many = self.waiting.len().saturating_sub(MAX_WAITING_SPANS);
                self.waiting.drain(..n_too_many);
            }
        }
        self.timeline = timeline?;
        Ok(())
    }

    /// Says whether ticks sound, of this device or another; `None`, as at first, leaves that to the score. While they do,
    /// they are taken out of what is heard, and all is said 48 ms later.
    pub fn set_ticks_sound(&mut self, sounds: Option<bool>) {
        self.ticks.set_sounds(sounds);
    }

    /// How late ticks come back through the microphone, ms, as far as is known: none, one or two ways.
    pub fn tick_delays_ms(&self) -> impl Iterator<Item = f64> + '_ {
        self.ticks.paths().map(|path| path.delay_ms)
    }

    /// Says that the sound of a stretch, in seconds from the first sample, is not to be trusted, since a clock fell behind
    /// while it was taken in: a quarter of a second before it to as long after it no pulse counts and no reading is
    /// trusted. What was said before stays said.
    pub fn leave_out(&mut self, from_s: f64, to_s: f64) {
        self.left_out.add(from_s, to_s);
    }

    /// The music, compiled.
    pub fn timeline(&self) -> Option<&Timeline> {
        self.timeline.as_ref()
    }

    /// Goes on counting pulse batches and span results after `last_seq`, the number the server says is safe; a count
    /// that is already further stays.
    pub fn resume_after(&mut self, last_seq: u32) {
        self.next_seq = self.next_seq.max(last_seq.saturating_add(1));
    }

    /// Takes in samples (mono, full scale ±1), in blocks of any length, and returns what is to be said, in order.
    pub fn push(&mut self, mut samples: &[f32]) -> Vec<PlayerSays> {
        let mut says = Vec::new();
        while !samples.is_empty() {
            // At the same samples however the stream is cut, so that the same sound gives the same messages.
            if self.n_pushed % LOOK_SAMPLES == 0 {
                self.expect_note();
            }
            let until_look = LOOK_SAMPLES - self.n_pushed % LOOK_SAMPLES;
            let (piece, rest) = samples.split_at(until_look.min(samples.len()));
            samples = rest;
            self.push_piece(piece, &mut says);
            self.n_pushed += piece.len();
        }
        says
    }

    fn push_piece(&mut self, samples: &[f32], says: &mut Vec<PlayerSays>) {
        let (timeline, time_map) = (self.timeline.as_ref(), self.time_map.as_ref());
        let heard = self.analyser.push(self.ticks.clean(samples, self.n_pushed, timeline, time_map));
        let Some(time_map) = self.time_map else { return };
        let mut heard_until_us = None;

        for reading in heard.readings {
            let time_us = time_map.server_us(reading.time_s);
            heard_until_us = Some(time_us);
            self.heard_until_s = reading.time_s;
            self.n_readings_heard = self.n_readings_heard.wrapping_add(1);
            let from = self.counting.take(reading);
            let Some(mut said) = convert::reading(reading, from, self.next_reading_seq, time_us) else {
                continue;
            };
            said.trusted &= !self.left_out.holds(reading.time_s);
            if let Some(timeline) = &self.timeline {
                let here = timeline.span_index_at(timeline.beat_at(time_us));
                if let Some(span_idx) = here.filter(|&i| is_open(timeline, i, self.first_open_span_idx)) {
                    tally_of(&mut self.open_spans, span_idx).add_reading(&said);
                }
            }
            if self.n_readings_heard % READINGS_PER_MESSAGE == 0 {
                self.next_reading_seq += 1;
                says.push(PlayerSays::Reading(said));
            }
        }

        let pulses: Vec<Pulse> = heard
            .pulses
            .iter()
            .filter(|pulse| !self.left_out.holds(pulse.time_s))
            .filter_map(|pulse| {
                let time_us = time_map.server_us(pulse.time_s);
                convert::pulse(pulse, self.counting.note_of_pulse(timeline, time_us), time_us)
            })
            .collect();
        if let Some(timeline) = &self.timeline {
            for pulse in &pulses {
                let here = timeline.span_of_pulse(pulse.time_us.get());
                if let Some(span_idx) = here.filter(|&i| is_open(timeline, i, self.first_open_span_idx)) {
                    tally_of(&mut self.open_spans, span_idx).add_pulse(pulse);
                }
            }
        }
        for batch in pulses.chunks(PulseBatch::MAX) {
            let seq = take_seq(&mut self.next_seq);
            says.push(PlayerSays::Pulses(PulseBatch { seq, pulses: batch.to_vec() }));
        }

        self.end_spans(heard_until_us, says);
    }

    /// Tells the analyser the note of the span that is being played, as far as is heard.
    fn expect_note(&mut self) {
        let heard_until_us = self.time_map.map(|map| map.server_us(self.heard_until_s));
        let span = self.timeline.as_ref().zip(heard_until_us).and_then(|(t, us)| t.span_at(t.beat_at(us)));
        let asked = span.and_then(AskedNote::of);
        if self.counting.expect(asked) {
            // A note that no instrument has leaves the nearest one heard.
            let _ = self.analyser.expect_note(asked.map(|asked| asked.note.midi()));
        }
    }

    /// Says the results of replaced scores and of spans that ended long enough before `heard_until_us`.
    fn end_spans(&mut self, heard_until_us: Option<f64>, says: &mut Vec<PlayerSays>) {
        for (span_idx, tally, timeline) in self.waiting.drain(..) {
            let seq = take_seq(&mut self.next_seq);
            says.push(PlayerSays::SpanResult(tally.result(seq, span_idx, &timeline)));
        }
        let (Some(timeline), Some(now_us)) = (&self.timeline, heard_until_us) else { return };
        let is_over = |span_idx: usize| {
            let end = timeline.span_start(span_idx + 1).or(timeline.end_beat());
            end.is_some_and(|beat| now_us > timeline.time_of(beat) + CERTAIN_AFTER_US)
        };
        while let Some((span_idx, _)) = self.open_spans.first() {
            if !is_over(*span_idx) {
                break;
            }
            let (span_idx, tally) = self.open_spans.remove(0);
            self.first_open_span_idx = span_idx + 1;
            let seq = take_seq(&mut self.next_seq);
            says.push(PlayerSays::SpanResult(tally.result(seq, span_idx, timeline)));
        }
    }
}

/// Whether a span still gathers: it has not been told of, and somebody is to play in it.
fn is_open(timeline: &Timeline, span_idx: usize, first_open_span_idx: usize) -> bool {
    span_idx >= first_open_span_idx && timeline.score().spans[span_idx].target.sounds()
}

fn take_seq(next_seq: &mut u32) -> u32 {
    let seq = *next_seq;
    *next_seq = next_seq.saturating_add(1);
    seq
}

/// The tally of a span, begun if it is new.
fn tally_of(open_spans: &mut Vec<(usize, SpanTally)>, span_idx: usize) -> &mut SpanTally {
    let place = match open_spans.iter().position(|(i, _)| *i >= span_idx) {
        Some(place) if open_spans[place].0 == span_idx => place,
        Some(place) => {
            open_spans.insert(place, (span_idx, SpanTally::default()));
            place
        }
        None => {
            open_spans.push((span_idx, SpanTally::default()));
            open_spans.len() - 1
        }
    };
    &mut open_spans[place].1
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tuned_tests;
