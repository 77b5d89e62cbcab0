//! What is being played: the score that everybody knows, where its spans come from, and how it goes on when something
//! changes. Pure; knows only the protocol.

use super::book::{Book, Draft, Notes};
use super::exercise::Place;
use super::lesson::Wishes;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Moment;
use windrow_protocol::score::{ChairNote, Score, Span, Target, TickFrom};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Beats, Micros};

/// A change is not put on a beat nearer than this, so that every device knows in time. Our own choice.
const NOTICE_US: f64 = 300_000.0;

/// A score and its origin.
#[derive(Debug, Clone)]
pub(super) struct Course {
    pub(super) timeline: Timeline,
    /// Where each span of the score comes from.
    places: Vec<Place>,
    /// As the conductor had set them at the start, and what the exercise wished then.
    notes: Notes,
    wishes: Wishes,
    /// The span that is played goes on until told otherwise.
    pub(super) is_held: bool,
    /// The exercise that follows by itself when the present one ends.
    pub(super) queued: Option<usize>,
    /// Nothing of the book is played: each in turn holds a note.
    pub(super) is_check: bool,
}

/// The score has more spans than it may.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooManyChanges;

/// What all scores of a room share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Heading {
    pub(super) version: u32,
    pub(super) start_us: Micros,
    pub(super) beats_per_bar: u8,
    pub(super) tick: TickFrom,
}

impl Course {
    pub(super) fn new(
        heading: Heading,
        draft: Draft,
        notes: Notes,
        wishes: Wishes,
    ) -> Result<Self, TooManyChanges> {
        let Heading { version, start_us, beats_per_bar, tick } = heading;
        if draft.spans.len() > Score::MAX_SPANS {
            return Err(TooManyChanges);
        }
        let score = Score { version, start_us, beats_per_bar, tick, spans: draft.spans };
        let timeline = Timeline::new(score).expect("exercises hold only what a score may have");
        let (places, is_held, queued, is_check) = (draft.places, false, None, false);
        Ok(Self { timeline, places, notes, wishes, is_held, queued, is_check })
    }

    /// The same music with other spans.
    pub(super) fn redrafted(&self, heading: Heading, draft: Draft) -> Result<Self, TooManyChanges> {
        let (is_held, queued, is_check) = (self.is_held, self.queued, self.is_check);
        let course = Self::new(heading, draft, self.notes.clone(), self.wishes)?;
        Ok(Self { is_held, queued, is_check, ..course })
    }

    /// Where each span of the score comes from.
    pub(super) fn places(&self) -> &[Place] {
        &self.places
    }

    /// From now on with these notes, as for another start.
    pub(super) fn take_notes(&mut self, notes: Notes, wishes: Wishes) {
        (self.notes, self.wishes) = (notes, wishes);
    }

    /// The score with notes for those who are not among the chairs of the start: they come behind the others, who keep theirs.
    /// `None` where that changes nothing.
    pub(super) fn draft_with_latecomers(&mut self, seated: &[(u16, Instrument)]) -> Option<Draft> {
        let is_late = |known: &[(u16, Instrument)], chair| known.iter().all(|&(other, _)| other != chair);
        let late: Vec<_> =
            seated.iter().filter(|&&(chair, _)| is_late(&self.notes.seated, chair)).copied().collect();
        if late.is_empty() {
            return None;
        }
        self.notes.seated.extend(&late);
        let mut draft = self.draft();
        let notes = self.notes.wished(&self.wishes);
        let given = |i: usize| {
            let exercise = draft.places[i].exercise;
            let with_it =
                draft.spans.iter().zip(&draft.places).filter(|(_, place)| place.exercise == exercise);
            let notes = notes.over(with_it.map(|(span, _)| span));
            let mut given = notes.given(&draft.spans[i]);
            given.retain(|own| late.iter().any(|l| l.0 == own.chair));
            given
        };
        let given: Vec<Vec<ChairNote>> = (0..draft.spans.len()).map(given).collect();
        let is_changed = given.iter().any(|given| !given.is_empty());
        for (span, given) in draft.spans.iter_mut().zip(given) {
            span.notes.extend(given);
        }
        is_changed.then_some(draft)
    }

    /// The score as it is.
    pub(super) fn draft(&self) -> Draft {
        Draft { spans: self.timeline.score().spans.clone(), places: self.places.clone() }
    }

    /// The score up to a beat.
    pub(super) fn draft_until(&self, beat: f64) -> Draft {
        let spans = self.timeline.score().spans_until(beat);
        let places = self.places[..spans.len()].to_vec();
        Draft { spans, places }
    }

    /// The score up to a beat as it is, from there on as the book has it now; `None` past the end.
    pub(super) fn draft_from(&self, line: f64, book: &Book) -> Option<Draft> {
        let place = self.place_at(line)?;
        let (span, first_beat) = self.span_at(line)?;
        let played = line.max(0.0) - first_beat;
        // What follows by itself follows once.
        let mut rest = match self.has_queue_begun(line) {
            true => book.rest(place, &self.notes.wished(&book.exercises[place.exercise].wishes)),
            false => self.on_from(place, book),
        };
        if span.target == Target::CountIn {
            rest = match played > 0.0 {
                true => Draft { spans: vec![span.part(played, None)], places: vec![place] }.then(rest),
                false => book.counted_in(place, rest),
            };
        }
        let first_bar = span.first_bar.filter(|_| played <= 0.0);
        rest.spans[0].first_bar = rest.spans[0].first_bar.or(first_bar);
        Some(self.draft_until(line).then(rest))
    }

    /// Whether a beat lies in what follows by itself. Behind a span that is held nothing follows.
    pub(super) fn has_queue_begun(&self, beat: f64) -> bool {
        let Some(exercise) = self.queued.filter(|_| !self.is_held) else { return false };
        let first = self.places.iter().rposition(|&p| p == Place::start_of(exercise));
        // The count-in leads to the same place.
        let spans = &self.timeline.score().spans;
        let first = first.map(|i| i - usize::from(i > 0 && spans[i - 1].target == Target::CountIn));
        first.and_then(|i| self.timeline.span_start(i)).is_some_and(|start| beat >= start)
    }

    /// The score up to a beat, then an exercise from its start, counted in.
    pub(super) fn draft_turning_to(&self, exercise: usize, line: f64, book: &Book, notes: &Notes) -> Draft {
        self.draft_until(line).then(book.start_of(exercise, notes))
    }

    /// The score up to a beat, then what follows the span that is held.
    pub(super) fn draft_letting_go(&self, line: f64, book: &Book) -> Option<Draft> {
        let after = match self.next_place(self.place_at(line)?, book) {
            Some(next) => self.rest(next, book),
            None => self.queue(book),
        };
        Some(self.draft_until(line).then(after))
    }

    /// The span at a beat and its first beat.
    pub(super) fn span_at(&self, beat: f64) -> Option<(&Span, f64)> {
        let i = self.timeline.span_index_at(beat.max(0.0))?;
        Some((&self.timeline.score().spans[i], self.timeline.span_start(i)?))
    }

    pub(super) fn counts_in_at(&self, beat: f64) -> bool {
        self.span_at(beat).is_some_and(|(span, _)| span.target == Target::CountIn)
    }

    /// Whether something of the span at a beat is heard before it, and not only the count that leads to it.
    pub(super) fn has_begun_by(&self, beat: f64) -> bool {
        self.span_at(beat).is_none_or(|(span, first)| span.target != Target::CountIn && first < beat)
    }

    /// The place in the book at a beat, or where the count-in leads; `None` past the end.
    pub(super) fn place_at(&self, beat: f64) -> Option<Place> {
        let place = self.places[self.timeline.span_index_at(beat.max(0.0))?];
        let (span, first_beat) = self.span_at(beat)?;
        let played = if span.target == Target::CountIn { 0.0 } else { beat.max(0.0) - first_beat };
        Some(Place { beats: place.beats + played, ..place })
    }

    /// The first beat that every device can still know of in time.
    pub(super) fn earliest_beat(&self, now_us: f64) -> f64 {
        self.timeline.beat_at(now_us + NOTICE_US).max(0.0)
    }

    /// The beat at which a change takes effect, at most the end.
    pub(super) fn line(&self, now_us: f64, at: Moment) -> f64 {
        let earliest = self.earliest_beat(now_us);
        let end = self.timeline.end_beat().unwrap_or(f64::INFINITY);
        let line = match at {
            Moment::Now | Moment::Beat => {
                let bar = self.timeline.bar_line_at(earliest);
                bar + (earliest - bar).ceil()
            }
            Moment::Bar => self.timeline.bar_line_from(earliest),
            Moment::Exercise => end,
        };
        line.min(end)
    }

    /// The beat at which a change of an exercise takes effect: not before it has begun, where it is still to come.
    pub(super) fn line_in(&self, exercise: usize, now_us: f64, at: Moment) -> f64 {
        self.line(now_us, at).max(self.beginning_of(exercise, now_us))
    }

    /// The span that is played when a command given now is known to all; the first of an exercise that is still to come.
    fn this_span(&self, exercise: usize, now_us: f64) -> Option<usize> {
        let beat = self.earliest_beat(now_us).max(self.beginning_of(exercise, now_us));
        self.timeline.span_index_at(beat)
    }

    /// Where in the book that span comes from.
    pub(super) fn this_place(&self, exercise: usize, now_us: f64) -> Option<Place> {
        self.this_span(exercise, now_us).map(|i| self.places[i])
    }

    /// The score as it is to the end of the span that is played, which is held or not; then as the book has it now.
    pub(super) fn draft_going_on(&self, exercise: usize, now_us: f64, book: &Book) -> Option<Draft> {
        let i = self.this_span(exercise, now_us)?;
        let (span, place) = (&self.timeline.score().spans[i], self.places[i]);
        let start = self.timeline.span_start(i)?;
        if span.target == Target::CountIn {
            let end = start + span.length_beats.map_or(0.0, f64::from);
            return Some(self.draft_until(end).then(self.on_from(place, book)));
        }
        // A tempo on its way is held where it has arrived; anything else goes on as it began.
        let is_stayed = self.is_held && span.bpm_to.is_some();
        let from = if is_stayed { self.line(now_us, Moment::Beat) } else { start };
        let mut here = span.part(from - start, None);
        // One that was held for longer than it is written ends at the next bar line.
        let to_bar = self.line(now_us, Moment::Bar) - start;
        let written = book.span(place).length_beats.map(|l| (l.get() - place.beats).max(to_bar));
        let written = written.and_then(Beats::clamped);
        (here.length_beats, here.bpm_to) = match self.is_held {
            true => (None, None),
            false => (here.length_beats.or(written), here.bpm_to),
        };
        let here =
            Draft { spans: vec![here], places: vec![Place { beats: place.beats + from - start, ..place }] };
        let draft = self.draft_until(from).then(here);
        if self.is_held {
            return Some(draft);
        }
        Some(match self.next_place(place, book) {
            Some(next) => draft.then(self.rest(next, book)),
            None => draft.then(self.queue(book)),
        })
    }

    /// The span after a place in its exercise.
    fn next_place(&self, place: Place, book: &Book) -> Option<Place> {
        let next = Place { span: place.span + 1, beats: 0.0, ..place };
        (next.span < book.exercises[next.exercise].spans.len()).then_some(next)
    }

    /// The span at a place for as long as it is held; else what is left, and what follows by itself.
    fn on_from(&self, place: Place, book: &Book) -> Draft {
        match self.is_held {
            true => book.held(place, &self.notes.wished(&self.wishes)),
            false => self.rest(place, book),
        }
    }

    /// What is left of an exercise, and what follows it by itself.
    fn rest(&self, place: Place, book: &Book) -> Draft {
        book.rest(place, &self.notes.wished(&self.wishes)).then(self.queue(book))
    }

    fn queue(&self, book: &Book) -> Draft {
        self.queued.map_or_else(Draft::default, |exercise| book.start_of(exercise, &self.notes))
    }

    /// First beat of an exercise that is still to come; 0 for one that is being played.
    fn beginning_of(&self, exercise: usize, now_us: f64) -> f64 {
        let earliest = self.earliest_beat(now_us);
        if self.place_at(earliest).is_none_or(|p| p.exercise == exercise) {
            return 0.0;
        }
        let starts = (0..self.places.len()).filter(|&i| self.places[i].exercise == exercise);
        starts.filter_map(|i| self.timeline.span_start(i)).find(|&start| start >= earliest).unwrap_or(0.0)
    }

    /// Whether the end is too near for anything to follow on it in time.
    pub(super) fn is_ending(&self, now_us: f64) -> bool {
        self.span_at(self.earliest_beat(now_us)).is_none()
    }

    pub(super) fn is_over(&self, now_us: f64) -> bool {
        self.timeline.end_beat().is_some_and(|end| self.timeline.beat_at(now_us) >= end)
    }
}
