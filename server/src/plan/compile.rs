//! What a room plays of a plan: every exercise as spans of a score. Pure; the ranges of a plan's numbers are the check's work,
//! and whatever passes it can be compiled.

use super::words::{one_value, usual_name};
use super::{
    Each, Ease, Exercise, Free, Hairpin, Ladder, Music, Pass, Plan, Play, PulseValue, Pulses, Straight,
};
use crate::room::{Climb, Lesson, Piece, Wishes};
use windrow_protocol::judge;
use windrow_protocol::messages::Brief;
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{self, Dynamic, Dynamics, Span, Target};
use windrow_protocol::units::{Beats, Bpm, Share};

/// Share of the full vibrato at both ends of a hairpin: soft notes have a small one, not none. Our own choice.
const HAIRPIN_LEAST: f64 = 0.3;

/// Compiles a plan that has passed its check.
pub(crate) fn compile(plan: &Plan) -> Lesson {
    let beats_per_bar = f64::from(plan.beats_per_bar);
    let mut part = String::new();
    let pieces = plan.exercises.iter().map(|exercise| {
        part = exercise.part.clone().unwrap_or_else(|| std::mem::take(&mut part));
        piece(exercise, &part, beats_per_bar)
    });
    let pieces = pieces.collect();
    let text = super::write::write(plan);
    Lesson { title: plan.title.clone(), text, beats_per_bar: plan.beats_per_bar, pieces }
}

fn piece(exercise: &Exercise, part: &str, beats_per_bar: f64) -> Piece {
    let (spans, ladder) = spans(&exercise.play, beats_per_bar);
    Piece {
        brief: Brief {
            name: exercise
                .title
                .clone()
                .map(Phrase::from)
                .or_else(|| made_name(&exercise.play))
                .unwrap_or_default(),
            part: part.to_owned(),
            say: exercise.say.clone(),
            goal: exercise.goal.clone(),
            cautions: exercise.cautions.clone(),
        },
        spans,
        wishes: Wishes {
            note: exercise.note,
            voicing: exercise.voicing,
            tuning: exercise.tuning,
            turns: exercise.turns,
        },
        bands: bands(&exercise.bands),
        rest_s: exercise.rest_s,
        ladder,
    }
}

/// What an exercise without a title is called; `None` where the room calls it after what it asks, which may change.
fn made_name(play: &Play) -> Option<Phrase> {
    let is_by_target = match play {
        Play::Straight(_) | Play::Free(_) => true,
        Play::Pulses(pulses) => one_value(pulses).is_some(),
        _ => false,
    };
    (!is_by_target).then(|| usual_name(play))
}

fn bands(bands: &super::Bands) -> judge::Bands {
    let usual = judge::Bands::default();
    judge::Bands {
        rate_share: bands.rate_percent.map_or(usual.rate_share, |percent| percent / 100.0),
        timing_ms: bands.timing_ms.unwrap_or(usual.timing_ms),
        centre_cents: bands.centre_cents.unwrap_or(usual.centre_cents),
        shallow_db: bands.depth_db.unwrap_or(usual.shallow_db),
        pitch_led_swing_cents: bands.swing_cents.unwrap_or(usual.pitch_led_swing_cents),
        ..usual
    }
}

/// Spans of an exercise, and how they are climbed if they are a ladder's.
fn spans(play: &Play, beats_per_bar: f64) -> (Vec<Span>, Option<Climb>) {
    let plain = match play {
        Play::Straight(Straight { bpm, bars, dynamic }) => {
            vec![steady(*bpm, Target::Straight, bars.map(|n| f64::from(n) * beats_per_bar), *dynamic)]
        }
        Play::Free(Free { bpm, bars, dynamic }) => {
            vec![steady(*bpm, Target::Free, bars.map(|n| f64::from(n) * beats_per_bar), *dynamic)]
        }
        Play::Pulses(pulses) => in_turn(pulses, beats_per_bar),
        Play::Ladder(ladder) => {
            let (spans, climb) = rungs(ladder, beats_per_bar);
            return (spans, Some(climb));
        }
        Play::Ease(ease) => again(eased(ease), ease.times, ease.bpm, ease.rest),
        Play::Hairpin(hairpin) => again(swelled(hairpin), hairpin.times, hairpin.bpm, hairpin.rest),
        Play::Music(music) => {
            let passes = music.passes.iter().map(|&pass| line(music, pass));
            with_rests_between(passes.collect(), music.bpm, music.rest)
        }
    };
    (plain, None)
}

/// A span of one loudness; without end where no length is given.
fn steady(bpm: Bpm, target: Target, beats: Option<f64>, dynamic: Option<Dynamic>) -> Span {
    let dynamics = dynamic.map(|mark| Dynamics { from: mark, to: mark });
    Span { length_beats: beats.and_then(Beats::clamped), dynamics, ..Span::new(bpm, target) }
}

/// Measured pulses, value after value; equal neighbours are one span.
fn in_turn(pulses: &Pulses, beats_per_bar: f64) -> Vec<Span> {
    let &Pulses { bpm, bpm_to, each, times, dynamic, .. } = pulses;
    let each_beats = match each {
        Each::Bar => beats_per_bar,
        Each::Beat => 1.0,
    };
    if let (Some(value), None, None) = (one_value(pulses), times, bpm_to) {
        return vec![steady(bpm, value.target(), None, dynamic)];
    }
    let mut runs: Vec<(PulseValue, f64)> = Vec::new();
    for &value in std::iter::repeat_n(&pulses.values, times.unwrap_or(1).into()).flatten() {
        match runs.last_mut() {
            Some((last, beats)) if *last == value => *beats += each_beats,
            _ => runs.push((value, each_beats)),
        }
    }
    let whole: f64 = runs.iter().map(|(_, beats)| beats).sum();
    // The tempo changes on the way through all of them as through one span.
    let way = Span { bpm_to, ..steady(bpm, Target::Free, Some(whole), dynamic) };
    let mut from = 0.0;
    let spans = runs.into_iter().map(|(value, beats)| {
        let span = Span { target: value.target(), ..way.part(from, Some(from + beats)) };
        from += beats;
        span
    });
    spans.collect()
}

/// The metronome marks from the first rung to the last, a rest before each but the first.
fn rungs(ladder: &Ladder, beats_per_bar: f64) -> (Vec<Span>, Climb) {
    let marks = std::iter::successors(Some(ladder.from_bpm), |&rung| Step::Faster.from(rung));
    let beats = |bars: u16| f64::from(bars) * beats_per_bar;
    let mut spans = Vec::new();
    let mut places = Vec::new();
    for mark in marks.take_while(|&mark| mark <= ladder.to_bpm || mark == ladder.from_bpm) {
        if !spans.is_empty() && ladder.rest_bars > 0 {
            spans.push(steady(mark, Target::Rest, Some(beats(ladder.rest_bars)), None));
        }
        places.push(spans.len());
        spans.push(steady(mark, ladder.value.target(), Some(beats(ladder.bars_per_rung)), None));
    }
    let &Ladder { go_on, matched, step_back, .. } = ladder;
    (spans, Climb { rungs: places, go_on, matched, step_back })
}

/// Straight, growing, full, fading, straight; without what has no length.
fn eased(ease: &Ease) -> Vec<Span> {
    let full = ease.value.target();
    let parts = [
        (Target::Straight, None, ease.straight),
        (full, Some((0.0, 1.0)), ease.growing),
        (full, None, ease.full),
        (full, Some((1.0, 0.0)), ease.fading),
        (Target::Straight, None, ease.straight_after),
    ];
    let parts = parts.into_iter().filter(|(_, _, length)| length.get() > 0.0);
    let spans = parts.map(|(target, way, length)| {
        let span = Span::new(ease.bpm, target).lasting(length);
        Span { ease: way.map(|(from, to)| share_way(from, to)), ..span }
    });
    spans.collect()
}

fn share_way(from: f64, to: f64) -> score::Ease {
    let share = |value| Share::clamped(value).expect("a number");
    score::Ease { from: share(from), to: share(to) }
}

/// Up and down again; the values of the way up in equal shares of it, back in the other order on the way down.
fn swelled(hairpin: &Hairpin) -> Vec<Span> {
    let &Hairpin { bpm, from, to, growing, fading, .. } = hairpin;
    let way = |length, dynamics, ease| Span {
        dynamics: Some(dynamics),
        ease: Some(ease),
        ..Span::new(bpm, Target::Free).lasting(length)
    };
    let up = way(growing, Dynamics { from, to }, share_way(HAIRPIN_LEAST, 1.0));
    let down = way(fading, Dynamics { from: to, to: from }, share_way(1.0, HAIRPIN_LEAST));
    let there = hairpin.values.iter().copied();
    let mut spans = in_shares(&up, there.clone());
    spans.extend(in_shares(&down, there.rev()));
    spans
}

/// A span in as many equal parts as there are values.
fn in_shares(whole: &Span, values: impl ExactSizeIterator<Item = PulseValue>) -> Vec<Span> {
    let share = whole.length_beats.map_or(0.0, Beats::get) / values.len() as f64;
    let parts = values.enumerate().map(|(i, value)| {
        let (from, to) = (i as f64 * share, (i + 1) as f64 * share);
        Span { target: value.target(), ..whole.part(from, Some(to)) }
    });
    parts.collect()
}

/// A line of written notes, once.
fn line(music: &Music, pass: Pass) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    let mut loudness = None;
    let mut is_tied = false;
    for written in &music.notes {
        let from = written.dynamic.or(loudness);
        let to = written.dynamic_to.or(from);
        loudness = to;
        let target = match (written.note, written.value.unwrap_or(PulseValue::Straight).target()) {
            (None, _) => Target::Rest,
            (Some(_), Target::Pulses { .. }) if pass == Pass::Free => Target::Free,
            (Some(_), target) => target,
        };
        let span = Span {
            note: written.note,
            dynamics: from.zip(to).map(|(from, to)| Dynamics { from, to }),
            loosely: pass == Pass::LessMeasured && target.per_beat().is_some(),
            ..Span::new(music.bpm, target).lasting(written.beats)
        };
        match spans.last_mut().filter(|last| is_tied && goes_on_in(last, &span)) {
            Some(last) => {
                let beats = last.length_beats.map_or(0.0, Beats::get) + written.beats.get();
                last.length_beats = Beats::clamped(beats);
            }
            None => spans.push(span),
        }
        is_tied = written.tied;
    }
    spans
}

/// Whether a tied note asks for nothing else than the one before.
fn goes_on_in(last: &Span, next: &Span) -> bool {
    let stays = |span: &Span| span.dynamics.is_none_or(|d| d.from == d.to);
    (last.note, last.target, last.loosely) == (next.note, next.target, next.loosely)
        && (last.dynamics == next.dynamics && stays(last))
}

/// The same so often, with a rest between.
fn again(once: Vec<Span>, times: u16, bpm: Bpm, rest: Beats) -> Vec<Span> {
    with_rests_between(vec![once; usize::from(times)], bpm, rest)
}

fn with_rests_between(parts: Vec<Vec<Span>>, bpm: Bpm, rest: Beats) -> Vec<Span> {
    let mut spans = Vec::new();
    for part in parts {
        if !spans.is_empty() && rest.get() > 0.0 {
            spans.push(Span::new(bpm, Target::Rest).lasting(rest));
        }
        spans.extend(part);
    }
    spans
}

#[cfg(test)]
mod tests;
