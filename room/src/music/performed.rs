//! What is being played, for whoever keeps account of it: spans, the exercise each comes from, and where one begins. Pure;
//! knows only the protocol.

use super::super::book::Book;
use super::super::exercise::Place;
use super::Music;
use windrow_protocol::judge::Bands;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Target;
use windrow_protocol::timeline::Timeline;

/// A score and the exercises it is made of.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Performed<'a> {
    pub(crate) timeline: &'a Timeline,
    places: &'a [Place],
    book: &'a Book,
}

impl Performed<'_> {
    /// The exercise a span comes from: its place in the plan, from 1, and its name.
    pub(crate) fn exercise_of(&self, span: usize) -> (u16, Phrase) {
        let exercise = self.places[span].exercise;
        (u16::try_from(exercise + 1).unwrap_or(u16::MAX), self.book.exercises[exercise].name())
    }

    /// What the players of a span are judged by.
    pub(crate) fn bands_of(&self, span: usize) -> Bands {
        self.book.exercises[self.places[span].exercise].bands
    }

    /// Whether an exercise begins with a span, for the first time or again.
    pub(crate) fn begins(&self, span: usize) -> bool {
        let spans = &self.timeline.score().spans;
        let Some(before) = span.checked_sub(1) else { return true };
        if spans[span].target == Target::CountIn {
            // One that was changed on the way is several spans.
            return spans[before].target != Target::CountIn;
        }
        let is_start = self.places[span] == Place::start_of(self.places[span].exercise);
        let is_other = self.places[span].exercise != self.places[before].exercise;
        spans[before].target != Target::CountIn && (is_start || is_other)
    }
}

impl Music {
    /// What is played, counted in or just over; not a room check.
    pub(crate) fn performed(&self) -> Option<Performed<'_>> {
        let course = self.course.as_ref().filter(|c| !c.is_check)?;
        Some(Performed { timeline: &course.timeline, places: course.places(), book: &self.book })
    }
}
