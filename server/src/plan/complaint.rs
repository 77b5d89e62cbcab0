//! Something that is wrong with a plan, and where. Plain data; it knows no rule of plans and no language.

use super::place::Place;
use crate::words::english;
use windrow_protocol::phrase::Phrase;

/// One thing that is wrong with a plan. Shows itself as the command line and the log say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Complaint {
    /// Index of the exercise; none where it is about the plan as a whole.
    pub(crate) exercise: Option<usize>,
    /// The field, from the plan or the exercise on, such as `play.ladder.from_bpm`; may be empty. As the file has it, in every
    /// language.
    pub(crate) field: String,
    /// What is wrong and what may stand there.
    pub(crate) text: Phrase,
    /// Number and title of the exercise; empty for the plan.
    name: Phrase,
}

impl Complaint {
    pub(super) fn of_plan(place: &Place, text: Phrase) -> Self {
        Self { exercise: None, field: place.to_string(), text, name: Phrase::default() }
    }

    pub(super) fn of_exercise(index: usize, name: &Phrase, place: &Place, text: Phrase) -> Self {
        Self { exercise: Some(index), field: place.to_string(), text, name: name.clone() }
    }

    /// What is wrong, with its place.
    pub(crate) fn phrase(&self) -> Phrase {
        let place = match (self.name.is_empty(), self.field.is_empty()) {
            (true, true) => return self.text.clone(),
            (true, false) => Phrase::from(self.field.as_str()),
            (false, true) => self.name.clone(),
            (false, false) => Phrase::of("plan-field-of")
                .with("exercise", self.name.clone())
                .with("field", self.field.as_str()),
        };
        Phrase::of("plan-at").with("place", place).with("text", self.text.clone())
    }
}

impl std::fmt::Display for Complaint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&english(&self.phrase()))
    }
}
