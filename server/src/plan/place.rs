//! Where in a plan something stands, in words: `exercise 4, "Ladder", play.ladder.from_bpm`. Pure.

use serde_json::Value;
use serde_path_to_error::{Path, Segment};
use windrow_protocol::phrase::Phrase;

/// Most letters of a field's name: those of the format have under twenty, and a file may hold any.
const MAX_LETTERS: usize = 60;

/// A way from the plan, or from one of its exercises, to one of their fields.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Place(Vec<Step>);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Step {
    Field(String),
    /// In a list, from nought.
    Nth(usize),
}

impl Place {
    /// A field.
    #[must_use]
    pub(super) fn field(mut self, name: &str) -> Self {
        self.0.push(Step::Field(short(name, MAX_LETTERS)));
        self
    }

    /// One of a list, from nought.
    #[must_use]
    pub(super) fn nth(mut self, index: usize) -> Self {
        self.0.push(Step::Nth(index));
        self
    }

    /// The same without its last step, if that is this field.
    #[must_use]
    pub(super) fn without(mut self, name: &str) -> Self {
        let name = short(name, MAX_LETTERS);
        self.0.pop_if(|step| matches!(step, Step::Field(field) if *field == name));
        self
    }

    /// Whether it ends with this field.
    pub(super) fn ends_with(&self, name: &str) -> bool {
        matches!(self.0.last(), Some(Step::Field(field)) if field == name)
    }
}

impl From<&Path> for Place {
    fn from(path: &Path) -> Self {
        let step = |segment: &Segment| match segment {
            Segment::Seq { index } => Some(Step::Nth(*index)),
            Segment::Map { key } => Some(Step::Field(short(key, MAX_LETTERS))),
            Segment::Enum { variant } => Some(Step::Field(short(variant, MAX_LETTERS))),
            Segment::Unknown => None,
        };
        Self(path.iter().filter_map(step).collect())
    }
}

fn short(text: &str, most: usize) -> String {
    text.chars().take(most).collect()
}

/// One of what a list is called after: "note 7" instead of "notes, the seventh".
fn one_of(list: &str) -> &str {
    match list {
        "passes" => "pass",
        list => list.trim_end_matches('s'),
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut words = String::new();
        let mut is_after_number = false;
        for (i, step) in self.0.iter().enumerate() {
            match (step, self.0.get(i + 1)) {
                (Step::Field(list), Some(Step::Nth(index))) => {
                    let between = if words.is_empty() { "" } else { ", " };
                    words.push_str(&format!("{between}{} {}", one_of(list), index + 1));
                    is_after_number = true;
                }
                (Step::Field(name), _) => {
                    words.push_str(match (words.is_empty(), is_after_number) {
                        (true, _) => "",
                        (false, true) => ", ",
                        (false, false) => ".",
                    });
                    words.push_str(name);
                    is_after_number = false;
                }
                (Step::Nth(_), _) => {}
            }
        }
        f.write_str(&words)
    }
}

/// An exercise as complaints name it: by its number and title, or by its kind where it has no title.
pub(super) fn of_exercise(index: usize, exercise: &Value) -> Phrase {
    let title = exercise.get("title").and_then(Value::as_str).filter(|title| !title.trim().is_empty());
    let kind = exercise.get("play").and_then(Value::as_object).and_then(|play| play.keys().next());
    let name = match (title, kind) {
        (Some(title), _) => Phrase::of("plan-exercise-titled").with("title", short(title, 60)),
        (None, Some(kind)) => Phrase::of("plan-exercise-of-kind").with("kind", short(kind, 20)),
        (None, None) => Phrase::of("plan-exercise"),
    };
    name.with("n", index + 1)
}
