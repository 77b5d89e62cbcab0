//! How long a plan takes and how fast its pulses are, from what a room would play of it. Pure.

use super::compile::compile;
use super::model::Plan;
use crate::room::Piece;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{Span, Target};
use windrow_protocol::units::Beats;

/// Silence that counts as a rest from playing, s. Our own choice: three slow breaths.
const LEAST_REST_S: f64 = 10.0;

/// A plan in time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Length {
    /// What each exercise takes, without its rest, s; `None` where it goes on until it is stopped.
    pub(crate) exercises_s: Vec<Option<f64>>,
    /// All of it, s: a bar's count before each exercise, each as it is written (a turn once, a rung once), the rests between
    /// them. What goes on until it is stopped counts nothing.
    pub(crate) whole_s: f64,
    /// Longest playing without a rest of ten seconds, s; counting counts as playing.
    pub(crate) longest_playing_s: f64,
}

/// Fewest and most pulses a second that something asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rates {
    pub(crate) least_hz: f64,
    pub(crate) most_hz: f64,
}

/// How long a plan takes that has passed its check.
pub(crate) fn length(plan: &Plan) -> Length {
    let beats_per_bar = f64::from(plan.beats_per_bar);
    let pieces = compile(plan).pieces;
    let exercises_s = pieces.iter().map(|piece| piece.spans.iter().map(span_s).sum()).collect();
    let (mut whole_s, mut playing_s, mut longest_playing_s) = (0.0, 0.0_f64, 0.0_f64);
    for (i, piece) in pieces.iter().enumerate() {
        let count_s = beats_per_bar * 60.0 / piece.spans.first().map_or(60.0, |span| span.bpm.get());
        let spans = piece.spans.iter().map(|span| (span.target != Target::Rest, span_s(span).unwrap_or(0.0)));
        let rest_s = f64::from(piece.rest_s);
        let is_last = i + 1 == pieces.len();
        for (sounds, s) in std::iter::once((true, count_s)).chain(spans).chain([(false, rest_s)]) {
            if sounds || s < LEAST_REST_S {
                playing_s += s;
            } else {
                playing_s = 0.0;
            }
            longest_playing_s = longest_playing_s.max(playing_s);
            whole_s += s;
        }
        // Nobody waits after the last one.
        whole_s -= if is_last { rest_s } else { 0.0 };
    }
    Length { exercises_s, whole_s, longest_playing_s }
}

/// A tempo that changes evenly in time lasts as long as its length at the mean of both ends.
fn span_s(span: &Span) -> Option<f64> {
    let mean_bpm = (span.bpm.get() + span.bpm_to.unwrap_or(span.bpm).get()) / 2.0;
    span.length_beats.map(|beats| Beats::get(beats) * 60.0 / mean_bpm)
}

/// Pulses a second of an exercise: tempo / 60 times pulses a beat. `None` where none are counted.
pub(crate) fn rates(piece: &Piece) -> Option<Rates> {
    let of_span = |span: &Span| {
        let per_beat = f64::from(span.target.per_beat()?.get());
        let (from, to) = (span.bpm.get(), span.bpm_to.unwrap_or(span.bpm).get());
        Some((from.min(to) / 60.0 * per_beat, from.max(to) / 60.0 * per_beat))
    };
    let rates = piece.spans.iter().filter_map(of_span);
    rates.fold(None, |all: Option<Rates>, (least, most)| {
        let (least_hz, most_hz) = all.map_or((least, most), |a| (a.least_hz.min(least), a.most_hz.max(most)));
        Some(Rates { least_hz, most_hz })
    })
}

impl Rates {
    /// "3 to 4 pulses a second".
    pub(crate) fn phrase(self) -> Phrase {
        let short = |hz: f64| (hz * 100.0).round() / 100.0;
        let (least, most) = (short(self.least_hz), short(self.most_hz));
        if (most - least).abs() < 0.005 {
            Phrase::of("rate").with("hz", most)
        } else {
            Phrase::of("rates").with("least", least).with("most", most)
        }
    }
}

/// Whole minutes as people say them.
pub(crate) fn minutes(s: f64) -> Phrase {
    match (s / 60.0).round() {
        n if n < 1.0 => Phrase::of("minutes-under-one"),
        n => Phrase::of("minutes").with("n", n),
    }
}
