//! What a player's material comes to: the measures of one part of an exercise or of several. Pure; knows only the protocol.

use super::super::statistics::{Offset, constant_offset_ms, mean, median, slope, variation_within};
use super::heard::{Asked, Heard};
use super::shapes::played_intervals_us;
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{Measures, Pulse, SpanResult};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Cents, Decibels, Hertz, Ratio, Share};

/// Least share of the time asked for that must have a verdict for anything to be told: as in our own measurements of rooms,
/// where a verdict is counted from a fifth of the moments on.
const LEAST_JUDGED: f64 = 0.2;
/// From this share of trusted time on what a device says of its span is its player's throughout. Our own choice.
const WHOLLY_TRUSTED: f64 = 0.9;
/// A centre is of the pulses before it: those of a span's first second may be of the span before. Our own choice.
const CENTRE_LAG_US: f64 = 1e6;
/// What lies further from the middle of a part's pitches is another note.
const SEMITONE_CENTS: f64 = 100.0;
/// Points and time that a drift is told from at least.
const DRIFT_POINTS: usize = 4;
const DRIFT_US: f64 = 2e6;

/// Spans of a score that ask the same one after another, or in turns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    pub(super) title: Phrase,
    /// Places in the score, in order.
    pub(super) spans: Vec<usize>,
}

/// A run's music.
#[derive(Debug, Clone, Copy)]
pub(super) struct Music<'a> {
    pub(super) timeline: &'a Timeline,
    /// When it ended or will; infinite where it goes on.
    pub(super) end_us: f64,
    /// What its players are judged by.
    pub(super) bands: Bands,
}

impl<'a> Music<'a> {
    pub(super) fn span(&self, idx: usize) -> &'a Span {
        &self.timeline.score().spans[idx]
    }

    /// When a span begins and ends.
    pub(super) fn bounds_us(&self, idx: usize) -> (f64, f64) {
        let start = self.timeline.span_start(idx).map_or(self.end_us, |beat| self.timeline.time_of(beat));
        let end = self.timeline.span_start(idx + 1).or(self.timeline.end_beat());
        (start, end.map_or(self.end_us, |beat| self.timeline.time_of(beat)).min(self.end_us))
    }

    /// Trusted pulses with their spans, those that were played before the end.
    pub(super) fn pulses<'h>(self, heard: &'h Heard) -> impl Iterator<Item = (usize, &'h Pulse)>
    where
        'a: 'h,
    {
        let in_time = heard.pulses().filter(move |p| p.time_us.get() <= self.end_us);
        in_time.filter_map(move |p| Some((self.timeline.span_of_pulse(p.time_us.get())?, p)))
    }
}

/// Offsets from the ticks of pulses that were to fall on them.
pub(super) fn offsets(music: Music<'_>, pulses: &[(usize, &Pulse)]) -> Vec<Offset> {
    let kept_time = pulses.iter().filter(|(span, _)| !music.span(*span).loosely);
    kept_time
        .filter_map(|(span, p)| music.timeline.nearest_tick_in(*span, p.time_us.get()))
        .map(|t| Offset { offset_ms: t.offset_ms, period_ms: t.period_ms })
        .collect()
}

/// What there is to say of a player who rested, or whose turn did not come.
pub(super) fn resting() -> Measures {
    nothing(State::Resting, none_at_all())
}

fn nothing(state: State, trusted: Share) -> Measures {
    Measures {
        state,
        trusted,
        matched: None,
        n_pulses: 0,
        pulse_rate_hz: None,
        pulses_per_beat: None,
        timing_ms: None,
        depth_db_pp: None,
        swing_cents_pp: None,
        centre_cents: None,
        drift_cents: None,
        from_straight_cents: None,
        evenness_cv: None,
    }
}

/// What a player came to in these parts, of which the time is known; `None` where nothing was asked.
pub(super) fn measures(music: Music<'_>, parts: &[&Part], heard: &Heard, all: &Asked) -> Option<Measures> {
    if all.asked_us <= 0.0 {
        return None;
    }
    let judged_us = all.standing.judged_us();
    let is_judged = judged_us >= LEAST_JUDGED * all.about_us;
    let blended = all.standing.of(State::Blended) > 0.0;
    let unknown = if blended { State::Blended } else { State::NotHeard };
    let state = all.standing.longest().filter(|_| is_judged).unwrap_or(unknown);
    let trusted = Share::clamped(all.trusted_us / all.asked_us).unwrap_or(none_at_all());
    if !is_judged {
        return Some(nothing(state, trusted));
    }
    let figures = figures(music, parts, heard, all);
    let matched = Share::clamped(all.standing.of(State::Matched) / judged_us);
    Some(Measures { state, trusted, matched, ..figures })
}

/// The figures alone, whether they are enough to judge by or not.
pub(super) fn figures(music: Music<'_>, parts: &[&Part], heard: &Heard, all: &Asked) -> Measures {
    let pulses = pulses_of(music, parts, heard);
    let trains = trains(music, parts, &pulses);
    let sizes = |size: fn(&Pulse) -> f64| {
        median(&mut trains.iter().flat_map(|t| &t.pulses).map(|p| size(p)).collect::<Vec<_>>())
    };
    let (sum, n) = all.from_straight;
    let own = Measures {
        n_pulses: u32::try_from(pulses.len()).unwrap_or(u32::MAX),
        pulse_rate_hz: rate_hz(music, &trains).and_then(Hertz::clamped),
        pulses_per_beat: pulses_per_beat(music, &trains).and_then(Ratio::clamped),
        timing_ms: constant_offset_ms(&offsets(music, &pulses))
            .filter(|_| heard.is_calibrated)
            .map(|ms| (ms * 10.0).round() / 10.0),
        depth_db_pp: sizes(|p| p.depth_db.get()).and_then(Decibels::clamped),
        swing_cents_pp: sizes(|p| p.swing_cents.get()).and_then(Cents::clamped),
        centre_cents: centre_cents(music, parts, &pulses, heard).and_then(Cents::clamped),
        drift_cents: drift_cents(music, parts, heard).and_then(Cents::clamped),
        from_straight_cents: (n > 0).then(|| sum / f64::from(n)).and_then(Cents::clamped),
        evenness_cv: variation_within(trains.iter().map(|t| &t.intervals_us[..])).and_then(Ratio::clamped),
        ..nothing(State::NotHeard, none_at_all())
    };
    let Some(told) = told_by_device(parts, heard, all) else { return own };
    Measures {
        n_pulses: told.n_pulses,
        pulse_rate_hz: told.pulse_rate_hz.or(own.pulse_rate_hz),
        depth_db_pp: told.depth_db_pp.or(own.depth_db_pp),
        swing_cents_pp: told.swing_cents_pp.or(own.swing_cents_pp),
        centre_cents: told.centre_cents.or(own.centre_cents),
        evenness_cv: told.evenness_cv.or(own.evenness_cv),
        ..own
    }
}

/// What the device says of one span, which rests on every reading, five times as many as come here.
fn told_by_device<'h>(parts: &[&Part], heard: &'h Heard, all: &Asked) -> Option<&'h SpanResult> {
    let is_wholly_trusted = all.trusted_us >= WHOLLY_TRUSTED * all.asked_us;
    let [Part { spans, .. }] = parts else { return None };
    let mut of_spans = spans.iter().filter_map(|span| heard.told.get(span));
    of_spans.next().filter(|_| is_wholly_trusted && of_spans.next().is_none())
}

/// Whether a part has so many pulses, as its figures would say; without working them all out.
pub(super) fn has_pulses(music: Music<'_>, part: &Part, heard: &Heard, all: &Asked, least: u32) -> bool {
    if let Some(told) = told_by_device(&[part], heard, all) {
        return told.n_pulses >= least;
    }
    let of_part = music.pulses(heard).filter(|(span, _)| part.spans.contains(span));
    of_part.take(least as usize).count() == least as usize
}

/// Trusted pulses of some parts, with their spans.
pub(super) fn pulses_of<'h>(music: Music<'h>, parts: &[&Part], heard: &'h Heard) -> Vec<(usize, &'h Pulse)> {
    let is_of = |span: usize| parts.iter().any(|part| part.spans.contains(&span));
    music.pulses(heard).filter(|(span, _)| is_of(*span)).collect()
}

pub(super) fn none_at_all() -> Share {
    Share::clamped(0.0).expect("nought is a number")
}

/// Pulses of one part, without those of its straight neighbours.
struct Train<'a> {
    target: Target,
    span: usize,
    pulses: Vec<&'a Pulse>,
    intervals_us: Vec<f64>,
}

/// Pulses by part, where vibrato was asked; where it was nowhere, those of the straight tones.
fn trains<'a>(music: Music<'_>, parts: &[&Part], pulses: &[(usize, &'a Pulse)]) -> Vec<Train<'a>> {
    let is_vibrato = |t: Target| matches!(t, Target::Pulses { .. } | Target::Free);
    let target_of = |part: &Part| music.span(part.spans[0]).target;
    let any = parts.iter().any(|part| is_vibrato(target_of(part)));
    let asked = parts.iter().filter(|part| !any || is_vibrato(target_of(part)));
    asked
        .map(|part| {
            let of_part = pulses.iter().filter(|(span, _)| part.spans.contains(span));
            let pulses: Vec<&Pulse> = of_part.map(|(_, p)| *p).collect();
            let intervals_us = played_intervals_us(pulses.iter().map(|p| p.time_us.get()));
            Train { target: target_of(part), span: part.spans[0], pulses, intervals_us }
        })
        .filter(|train| !train.pulses.is_empty())
        .collect()
}

/// Pulses a second, where all parts ask for the same rate.
fn rate_hz(music: Music<'_>, trains: &[Train<'_>]) -> Option<f64> {
    let asked = |train: &Train<'_>| {
        let span = music.span(train.span);
        (span.target, span.bpm, span.bpm_to)
    };
    let is_one = trains.windows(2).all(|pair| asked(&pair[0]) == asked(&pair[1]));
    let intervals: Vec<f64> = trains.iter().flat_map(|t| t.intervals_us.iter().copied()).collect();
    mean(&intervals).filter(|&us| is_one && us > 0.0).map(|us| 1e6 / us)
}

/// Pulses a beat, where all parts ask for the same number.
fn pulses_per_beat(music: Music<'_>, trains: &[Train<'_>]) -> Option<f64> {
    let is_one = trains.windows(2).all(|pair| pair[0].target == pair[1].target);
    let (mut n, mut beats) = (0.0, 0.0);
    for train in trains {
        // An interval across a breath is no pulse, so each is held against the tempo where it lies.
        let longest_us = train.intervals_us.iter().copied().fold(0.0, f64::max);
        for pair in train.pulses.windows(2) {
            let (a_us, b_us) = (pair[0].time_us.get(), pair[1].time_us.get());
            if b_us - a_us <= longest_us {
                n += 1.0;
                beats += music.timeline.beat_at(b_us) - music.timeline.beat_at(a_us);
            }
        }
    }
    (is_one && beats > 0.0).then(|| n / beats)
}

/// Mean pitch of the pulses; of a part without any, that of its straight tone; of several parts, by the time each was
/// asked.
fn centre_cents(music: Music<'_>, parts: &[&Part], pulses: &[(usize, &Pulse)], heard: &Heard) -> Option<f64> {
    let of_part = |part: &Part| {
        let of_pulses: Vec<f64> = pulses
            .iter()
            .filter(|(span, _)| part.spans.contains(span))
            .filter_map(|(_, p)| p.mean_cents.map(Cents::get))
            .collect();
        let is_straight = music.span(part.spans[0]).target == Target::Straight;
        let of_pulses = mean_of_one_note(of_pulses).filter(|_| !is_straight);
        of_pulses.or_else(|| mean_of_one_note(centres(music, part, heard).iter().map(|c| c.1).collect()))
    };
    let asked_us =
        |part: &Part| part.spans.iter().filter_map(|s| heard.spans.get(s)).map(|a| a.asked_us).sum();
    let weighed = parts.iter().filter_map(|part| Some((of_part(part)?, asked_us(part))));
    let (sum, weight) =
        weighed.fold((0.0, 0.0), |(sum, weight), (c, w): (f64, f64)| (sum + c * w, weight + w));
    (weight > 0.0).then(|| sum / weight)
}

/// Mean of pitches without those that are of another note, such as the tail of a neighbour's an octave higher.
fn mean_of_one_note(mut all_cents: Vec<f64>) -> Option<f64> {
    let middle = median(&mut all_cents)?;
    all_cents.retain(|cents| (cents - middle).abs() < SEMITONE_CENTS);
    mean(&all_cents)
}

/// The centre's line at the end minus at the beginning.
fn drift_cents(music: Music<'_>, parts: &[&Part], heard: &Heard) -> Option<f64> {
    let points: Vec<(f64, f64)> = parts.iter().flat_map(|part| centres(music, part, heard)).collect();
    let (first, last) = (points.first()?.0, points.last()?.0);
    let is_enough = points.len() >= DRIFT_POINTS && last - first >= DRIFT_US;
    slope(&points).filter(|_| is_enough).map(|per_us| per_us * (last - first))
}

fn centres(music: Music<'_>, part: &Part, heard: &Heard) -> Vec<(f64, f64)> {
    let played = part.spans.iter().filter(|&span| heard.spans.contains_key(span));
    played
        .flat_map(|&span| {
            let (from_us, to_us) = music.bounds_us(span);
            heard.centres_between(from_us + CENTRE_LAG_US, to_us).iter().copied()
        })
        .collect()
}
