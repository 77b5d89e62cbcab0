//! What a room can play: its exercises, the metre, the count-in and the notes, and how a stretch of it becomes spans of a
//! score. Pure; knows only the protocol, neither time nor players.

use super::exercise::{Exercise, Place};
use super::lesson::Wishes;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{ChairNote, Span, Target};
use windrow_protocol::units::Beats;
use windrow_protocol::voicing::{Tuning, Voicing};

/// Who plays which note: what an exercise wishes or the conductor has set, and who is there to play it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Notes {
    /// That everybody's is made from, where a span names none.
    pub(super) all: Option<Note>,
    /// Of single chairs, set by hand.
    pub(super) chairs: Vec<ChairNote>,
    /// How a note is spread over the chairs, and where it then lies.
    pub(super) voicing: Voicing,
    pub(super) tuning: Tuning,
    /// Chairs that are taken, in order.
    pub(super) seated: Vec<(u16, Instrument)>,
    /// Where an exercise writes notes of its own: all of them, since an instrument plays a line in one octave.
    line: Vec<Note>,
}

/// The note that a chord stands on where none was chosen: it lies well for all winds (common practice, no source).
const ROOT_MIDI: i32 = 65;

impl Notes {
    /// Whether a chair can play a note, as far as somebody is on it.
    ///
    /// # Errors
    /// A sentence that names the instrument's range.
    pub(super) fn check_range(&self, note: Note, chair: u16) -> Result<(), Phrase> {
        let Some(&(_, instrument)) = self.seated.iter().find(|(seated, _)| *seated == chair) else {
            return Ok(());
        };
        if instrument.can_play(note) {
            return Ok(());
        }
        let (low, high) = instrument.sounding_range();
        let id = if note < low { "cannot-note-low" } else { "cannot-note-high" };
        let refused = Phrase::of(id).with("note", Phrase::note(note)).with("instrument", instrument.phrase());
        let (low, high) = (Phrase::note(low), Phrase::note(high));
        Err(refused.with("chair", chair).with("low", low).with("high", high))
    }

    /// Sets a chair's note, or everyone's.
    pub(super) fn set(&mut self, note: Option<Note>, chair: Option<u16>) {
        match chair {
            None => self.all = note,
            Some(chair) => {
                self.chairs.retain(|own| own.chair != chair);
                self.chairs.extend(note.map(|note| ChairNote::new(chair, note)));
            }
        }
    }

    /// Gives a span its notes: everybody's, and those of the chairs that have another. A note that is written in the span
    /// comes before what was set by hand. Where any note will do for all, none is dealt.
    pub(super) fn give(&self, span: &mut Span) {
        let is_written = span.note.is_some();
        span.note = span.note.or(match self.voicing {
            Voicing::Unison | Voicing::Octaves => self.all,
            Voicing::Fifth | Voicing::Triad | Voicing::Steps => self.all.or(Note::from_midi(ROOT_MIDI)),
        });
        let by_hand = if is_written { Vec::new() } else { self.chairs.clone() };
        let is_dealt = |dealt: &ChairNote| by_hand.iter().all(|own| own.chair != dealt.chair);
        let dealt: Vec<ChairNote> = self.given(span).into_iter().filter(is_dealt).collect();
        let by_hand = by_hand.iter().filter(|own| is_needed(span, own)).copied();
        span.notes = by_hand.chain(dealt).collect();
    }

    /// What is dealt to the chairs in a span that has everybody's note: to those who play and have another one.
    pub(super) fn given(&self, span: &Span) -> Vec<ChairNote> {
        let deal = |root| match self.line.contains(&root) {
            true => self.voicing.deal_of_line(root, &self.line, self.tuning, &self.seated),
            false => self.voicing.deal(root, self.tuning, &self.seated),
        };
        let dealt = span.note.map(deal);
        dealt.into_iter().flatten().filter(|own| is_needed(span, own)).collect()
    }

    /// The same for spans that write notes of their own.
    #[must_use]
    pub(super) fn over<'a>(&self, spans: impl IntoIterator<Item = &'a Span>) -> Self {
        let mut line: Vec<Note> = spans.into_iter().filter_map(|span| span.note).collect();
        line.sort_unstable();
        line.dedup();
        Self { line, ..self.clone() }
    }

    /// The same with what an exercise wishes.
    #[must_use]
    pub(super) fn wished(&self, wishes: &Wishes) -> Self {
        Self {
            all: wishes.note.or(self.all),
            voicing: wishes.voicing.unwrap_or(self.voicing),
            tuning: wishes.tuning.unwrap_or(self.tuning),
            ..self.clone()
        }
    }
}

/// Whether a chair's note has to be said: not where it has no turn, or a long line would carry everybody's in every turn,
/// and not what all have.
fn is_needed(span: &Span, own: &ChairNote) -> bool {
    span.is_turn_of(own.chair) && (Some(own.note) != span.note || own.cents.is_some())
}

/// Exercises and how they are begun.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Book {
    pub(super) exercises: Vec<Exercise>,
    pub(super) beats_per_bar: u8,
    pub(super) count_in_bars: u8,
}

/// Spans of a score, with the places they come from; for a count-in, where it leads.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Draft {
    pub(super) spans: Vec<Span>,
    pub(super) places: Vec<Place>,
}

impl Draft {
    #[must_use]
    pub(super) fn then(mut self, next: Draft) -> Self {
        self.spans.extend(next.spans);
        self.places.extend(next.places);
        self
    }
}

impl Book {
    pub(super) fn span(&self, place: Place) -> &Span {
        let exercise = &self.exercises[place.exercise];
        &exercise.spans[exercise.within(place).span]
    }

    /// The beginning of the bar that holds a place.
    pub(super) fn bar_of(&self, place: Place) -> Place {
        let exercise = &self.exercises[place.exercise];
        exercise.bar_of(exercise.within(place), f64::from(self.beats_per_bar))
    }

    /// What is left of an exercise from a place on.
    pub(super) fn rest(&self, place: Place, notes: &Notes) -> Draft {
        let place = self.exercises[place.exercise].within(place);
        let exercise = &self.exercises[place.exercise];
        let mut spans = exercise.rest_from(place);
        let notes = notes.over(&exercise.spans);
        spans.iter_mut().for_each(|span| notes.give(span));
        let later = (place.span + 1..).map(|span| Place { span, beats: 0.0, ..place });
        let places = std::iter::once(place).chain(later).take(spans.len()).collect();
        Draft { spans, places }
    }

    /// The span at a place alone, without an end, at the tempo it has there.
    pub(super) fn held(&self, place: Place, notes: &Notes) -> Draft {
        let Draft { mut spans, mut places } = self.rest(place, notes);
        spans.truncate(1);
        places.truncate(1);
        (spans[0].length_beats, spans[0].bpm_to) = (None, None);
        Draft { spans, places }
    }

    /// What counts in to a place, with bars numbered from the exercise's start, and then the rest as given.
    pub(super) fn counted_in(&self, place: Place, mut rest: Draft) -> Draft {
        let place = self.exercises[place.exercise].within(place);
        let beats_per_bar = f64::from(self.beats_per_bar);
        let bar = (self.exercises[place.exercise].beats_to(place) / beats_per_bar).floor() as i32 + 1;
        if self.count_in_bars == 0 {
            rest.spans[0].first_bar = Some(bar);
            return rest;
        }
        let bars = self.count_in_bars;
        let length = Beats::clamped(f64::from(bars) * beats_per_bar).expect("beats are a number");
        // Its notes already stand there, so that a player sees what is to come.
        let count_in = Span {
            target: Target::CountIn,
            bpm_to: None,
            dynamics: None,
            // Everybody hears it.
            turn: Vec::new(),
            first_bar: Some(bar - i32::from(bars)),
            ..rest.spans[0].clone()
        };
        Draft { spans: vec![count_in.lasting(length)], places: vec![place] }.then(rest)
    }

    /// An exercise from its start, counted in, with the notes it wishes.
    pub(super) fn start_of(&self, exercise: usize, notes: &Notes) -> Draft {
        let notes = &notes.wished(&self.exercises[exercise].wishes);
        let place = Place::start_of(exercise);
        self.counted_in(place, self.rest(place, notes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::units::Bpm;

    #[test]
    fn a_written_line_stays_in_one_octave_for_an_instrument() {
        let note = |name: &str| name.parse::<Note>().unwrap();
        let span =
            |name| Span { note: Some(note(name)), ..Span::new(Bpm::new(60.0).unwrap(), Target::Straight) };
        let mut line = ["A#4", "D5", "A4"].map(span);
        let notes = Notes { seated: vec![(1, Instrument::Bassoon)], ..Notes::default() };
        let notes = notes.over(&line);
        line.iter_mut().for_each(|span| notes.give(span));
        // A bassoon's staff ends at A3, where A4 alone would lie.
        let played = line.map(|span| span.note_of(1).unwrap());
        assert_eq!(played, ["A#2", "D3", "A2"].map(note));
    }
}
