//! Something to be read by a person, whatever language they read: a text of the catalogue named by its id, with what fills
//! its gaps; or words that a person wrote, as they stand. Who says it knows no language, who shows it words it. It must
//! not know the catalogue.

use crate::note::Note;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Something to be read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Phrase {
    /// As a person wrote it: a name, a sentence of a plan. Shown unchanged.
    Plain(String),
    /// A text of the catalogue.
    Said {
        /// Its id, such as "player-fast".
        id: String,
        /// What fills its gaps, by name.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        args: BTreeMap<String, Arg>,
    },
}

/// What fills a gap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Arg {
    /// Rounded by whoever says it, to as many decimals as are to be read; finite.
    Number(f64),
    /// A phrase of its own, or a name.
    Phrase(Phrase),
    /// Several, to be listed: "Wren, Tobias and Piers".
    Several(Vec<Phrase>),
}

impl Phrase {
    /// The text of that id, without gaps so far.
    #[must_use]
    pub fn of(id: &str) -> Self {
        Self::Said { id: id.to_owned(), args: BTreeMap::new() }
    }

    /// A note by its name and octave, as winds read it.
    #[must_use]
    pub fn note(note: Note) -> Self {
        // As [`Note::spelled`] spells them.
        const NAMES: [&str; 12] =
            ["c", "d-flat", "d", "e-flat", "e", "f", "f-sharp", "g", "a-flat", "a", "b-flat", "b"];
        let midi = i32::from(note.midi());
        let name = NAMES[midi.rem_euclid(12).unsigned_abs() as usize];
        let octave = midi / 12 - 1;
        Self::of("note-named").with("name", Self::of(&format!("note-{name}"))).with("octave", octave)
    }

    /// Fills a gap; of what a person wrote nothing changes.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl Into<Arg>) -> Self {
        if let Self::Said { args, .. } = &mut self {
            args.insert(name.to_owned(), value.into());
        }
        self
    }

    /// Whether there is nothing to read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        matches!(self, Self::Plain(text) if text.is_empty())
    }

    /// The id, if it is a text of the catalogue.
    #[must_use]
    pub fn id(&self) -> Option<&str> {
        match self {
            Self::Plain(_) => None,
            Self::Said { id, .. } => Some(id),
        }
    }
}

// Every number is finite, so that each phrase equals itself.
impl Eq for Arg {}
impl Eq for Phrase {}

impl Default for Phrase {
    fn default() -> Self {
        Self::Plain(String::new())
    }
}

impl From<&str> for Phrase {
    fn from(text: &str) -> Self {
        Self::Plain(text.to_owned())
    }
}

impl From<String> for Phrase {
    fn from(text: String) -> Self {
        Self::Plain(text)
    }
}

impl<P: Into<Phrase>> From<P> for Arg {
    fn from(phrase: P) -> Self {
        Self::Phrase(phrase.into())
    }
}

impl From<Vec<Phrase>> for Arg {
    fn from(several: Vec<Phrase>) -> Self {
        Self::Several(several)
    }
}

impl From<f64> for Arg {
    fn from(number: f64) -> Self {
        Self::Number(if number.is_finite() { number } else { 0.0 })
    }
}

macro_rules! from_whole {
    ($($whole:ty),*) => {$(
        impl From<$whole> for Arg {
            fn from(number: $whole) -> Self {
                Self::Number(f64::from(number))
            }
        }
    )*};
}

from_whole!(u8, u16, u32, i32);

impl From<usize> for Arg {
    fn from(number: usize) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "counts of players and pulses are far below 2^52")]
        Self::Number(number as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(phrase: &Phrase, json: &str) {
        assert_eq!(serde_json::to_string(phrase).unwrap(), json);
        assert_eq!(&serde_json::from_str::<Phrase>(json).unwrap(), phrase, "{json}");
    }

    #[test]
    fn a_phrase_is_an_id_with_its_gaps_or_plain_text() {
        check(&Phrase::from("First lesson"), r#""First lesson""#);
        check(&Phrase::of("player-fast"), r#"{"id":"player-fast"}"#);
        check(
            &Phrase::of("say-fast").with("name", "Wren").with("per_beat", 3_u8),
            r#"{"id":"say-fast","args":{"name":"Wren","per_beat":3.0}}"#,
        );
        check(
            &Phrase::of("say-slow")
                .with("name", vec![Phrase::from("Wren")])
                .with("count", Phrase::of("count-none")),
            r#"{"id":"say-slow","args":{"count":{"id":"count-none"},"name":["Wren"]}}"#,
        );
    }

    #[test]
    fn what_a_person_wrote_has_no_gaps_and_no_number_is_endless() {
        assert_eq!(Phrase::from("Wren { $name }").with("name", "x"), Phrase::from("Wren { $name }"));
        assert_eq!(Arg::from(f64::NAN), Arg::Number(0.0));
        assert!(Phrase::default().is_empty() && !Phrase::of("count-none").is_empty());
    }
}
