//! What was to be played in a recording: an exercise of a plan, or pulses at a tempo; and where in the recording it begins. Pure.

use super::heard::Tone;
use crate::room::{Lesson, Piece, Wishes};
use anyhow::{Context, bail, ensure};
use windrow_protocol::judge::Bands;
use windrow_protocol::messages::Brief;
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Span, Target};
use windrow_protocol::units::{Beats, Bpm};

const BEATS_PER_BAR: u8 = 4;
/// A last beat may be cut off by so much and still count. Our own choice.
const CUT_BEATS: f64 = 0.25;
/// A beat that lies before the recording by rounding alone.
const BEFORE_S: f64 = 0.03;

/// What was to be played.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Asked {
    /// One exercise.
    pub(super) lesson: Lesson,
    /// Its number in the plan.
    pub(super) exercise: u16,
    /// Whether it is only a tempo, so that any beat may be the first.
    is_steady: bool,
}

/// Where it begins in the recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beginning {
    /// Of the first note's beat.
    pub(super) at_s: f64,
    /// Whether somebody has told, so that early and late mean something.
    pub(super) is_known: bool,
}

impl Asked {
    /// Pulses at a tempo, for as long as the recording lasts.
    pub(super) fn steady(bpm: Bpm, per_beat: PerBeat, note: Option<Note>) -> Self {
        let target = Target::Pulses { per_beat };
        let piece = Piece {
            brief: Brief { name: target.phrase(), ..Brief::default() },
            spans: vec![Span { note, ..Span::new(bpm, target) }],
            wishes: Wishes::default(),
            bands: Bands::default(),
            rest_s: 0,
            ladder: None,
        };
        let lesson = Lesson {
            title: String::new(),
            text: String::new(),
            beats_per_bar: BEATS_PER_BAR,
            pieces: vec![piece],
        };
        Self { lesson, exercise: 1, is_steady: true }
    }

    /// An exercise of a plan, played as it is written: a ladder goes on by itself, and there are no turns.
    ///
    /// # Errors
    /// When it is not clear which one, or there is none of that number.
    pub(super) fn exercise(
        mut lesson: Lesson,
        number: Option<u16>,
        note: Option<Note>,
    ) -> anyhow::Result<Self> {
        let n_pieces = lesson.pieces.len();
        let number = match number {
            Some(number) => number,
            None if n_pieces == 1 => 1,
            None => bail!(
                "\"{}\" has {n_pieces} exercises: say with --exercise which one was played",
                lesson.title
            ),
        };
        let place = usize::from(number).checked_sub(1).filter(|&place| place < n_pieces);
        let Some(place) = place else {
            bail!("\"{}\" has no exercise {number}, but {n_pieces}", lesson.title)
        };
        let mut piece = lesson.pieces.swap_remove(place);
        piece.ladder = None;
        piece.wishes = Wishes { note: note.or(piece.wishes.note), ..Wishes::default() };
        if note.is_some() {
            piece.spans.iter_mut().for_each(|span| span.note = note);
        }
        lesson.pieces = vec![piece];
        Ok(Self { lesson, exercise: number, is_steady: false })
    }

    fn spans(&self) -> &[Span] {
        &self.lesson.pieces[0].spans
    }

    /// The exercise as long as the recording is, where it has no end of its own.
    ///
    /// # Errors
    /// When the recording is shorter than a bar of it.
    pub(super) fn lesson(&self, tone: &Tone, beginning: &Beginning) -> anyhow::Result<Lesson> {
        let mut lesson = self.lesson.clone();
        let spans = &mut lesson.pieces[0].spans;
        let (last, before) = spans.split_last_mut().context("there is nothing to play")?;
        let before_s: f64 = before.iter().map(lasts_s).sum();
        let left_s = tone.ends_s - beginning.at_s - before_s;
        let beats = (left_s * last.bpm.get() / 60.0 + CUT_BEATS).floor();
        if last.length_beats.is_none() {
            ensure!(
                beats >= f64::from(lesson.beats_per_bar),
                "its tone lasts {left_s:.1} s, less than a bar at {:.0}: play for longer, or look at the tempo",
                last.bpm.get()
            );
            last.length_beats = Beats::new(beats).ok();
        }
        Ok(lesson)
    }

    /// As it is told apart from everything else that could be asked.
    pub(super) fn text(&self) -> String {
        format!("{} {}", self.exercise, serde_json::to_string(&self.lesson).unwrap_or_default())
    }
}

fn lasts_s(span: &Span) -> f64 {
    let mean_bpm = span.bpm_to.map_or(span.bpm.get(), |to| f64::midpoint(span.bpm.get(), to.get()));
    span.length_beats.map_or(0.0, |beats| beats.get() * 60.0 / mean_bpm)
}

impl Beginning {
    /// By the beat that was told, or by the tone.
    ///
    /// # Errors
    /// When the beat lies outside of the recording's tone.
    pub(super) fn of(asked: &Asked, tone: &Tone, beat_at_s: Option<f64>) -> anyhow::Result<Self> {
        let first = asked.spans().first().context("there is nothing to play")?;
        let beat_s = 60.0 / first.bpm.get();
        let Some(told_s) = beat_at_s else {
            let period_s = first.target.per_beat().map_or(beat_s, |n| beat_s / f64::from(n.get()));
            let until_s =
                if asked.is_steady { tone.ends_s } else { tone.begins_s + lasts_s(first).max(4.0 * beat_s) };
            let at_s = match first.target {
                Target::Pulses { .. } => tone.in_phase(tone.begins_s, period_s, until_s),
                _ => tone.begins_s,
            };
            return Ok(Self { at_s, is_known: false });
        };
        if !asked.is_steady {
            ensure!(
                (-BEFORE_S..tone.ends_s).contains(&told_s),
                "the exercise cannot begin at {told_s} s: the tone ends at {:.1} s",
                tone.ends_s
            );
            return Ok(Self { at_s: told_s, is_known: true });
        }
        // Any beat tells where the others are: the first one that the tone has begun by.
        let n = ((tone.begins_s - told_s) / beat_s - CUT_BEATS).ceil();
        Ok(Self { at_s: told_s + n * beat_s, is_known: true })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(begins_s: f64, ends_s: f64) -> Tone {
        // Triplets at 60 from the beginning on.
        let n = ((ends_s - begins_s) * 3.0) as u32;
        Tone {
            begins_s,
            ends_s,
            pulse_times_s: (0..n).map(|i| begins_s + 0.05 + f64::from(i) / 3.0).collect(),
        }
    }

    fn triplets() -> Asked {
        Asked::steady(Bpm::new(60.0).unwrap(), PerBeat::new(3).unwrap(), None)
    }

    #[test]
    fn any_beat_tells_where_the_first_one_is() {
        for told_s in [0.5, 7.5, -3.5] {
            let beginning = Beginning::of(&triplets(), &tone(0.4, 9.0), Some(told_s)).unwrap();
            assert!((beginning.at_s - 0.5).abs() < 1e-9 && beginning.is_known, "{beginning:?}");
        }
    }

    #[test]
    fn without_a_beat_it_begins_on_the_pulses() {
        let beginning = Beginning::of(&triplets(), &tone(0.4, 9.0), None).unwrap();
        assert!((beginning.at_s - 0.45).abs() < 1e-9 && !beginning.is_known, "{beginning:?}");
    }

    #[test]
    fn what_has_no_end_lasts_as_many_beats_as_are_played() {
        let length = |ends_s: f64| {
            let beginning = Beginning { at_s: 0.5, is_known: true };
            triplets()
                .lesson(&tone(0.5, ends_s), &beginning)
                .map(|l| l.pieces[0].spans[0].length_beats.unwrap().get())
        };
        assert_eq!((length(8.5).unwrap(), length(8.3).unwrap(), length(8.1).unwrap()), (8.0, 8.0, 7.0));
        assert!(length(3.5).unwrap_err().to_string().contains("less than a bar at 60"));
    }
}
