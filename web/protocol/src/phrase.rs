//! Something to be read by a person, whatever language they read: a text of the catalogue named by its id, with what fills
//! its gaps; or words that a person wrote, as they stand. Who says it knows no language, who shows it words it. It must
//! not know the catalogue.

use crate::note::Note;
use serde::de::{Error, MapAccess, SeqAccess, Unexpected, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeMap;

/// Something to be read. What is decoded is bounded by [`Phrase::MAX_DEPTH`] and [`Phrase::MAX_BYTES`]: a text may use a gap
/// twice, so that phrases within phrases grow like powers of two when they are worded.
#[derive(Debug, Clone, PartialEq, Serialize)]
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
#[derive(Debug, Clone, PartialEq, Serialize)]
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
    /// Most phrases within one another that are decoded. Those of a room have up to six.
    pub const MAX_DEPTH: usize = 10;
    /// Most text of a phrase that is decoded, with all within it, bytes. The longest of a room have some hundred.
    pub const MAX_BYTES: usize = 4096;
    /// Most phrases in a list that are decoded: a room has at most 256 chairs.
    pub const MAX_SEVERAL: usize = 512;

    /// How many phrases lie within one another here, and how much text is in all of them, bytes.
    fn extent(&self) -> (usize, usize) {
        let (id, args) = match self {
            Self::Plain(text) => return (1, text.len()),
            Self::Said { id, args } => (id, args),
        };
        let (mut depth, mut n_bytes) = (0, id.len());
        for (name, arg) in args {
            let several = match arg {
                Arg::Number(_) => &[],
                Arg::Phrase(phrase) => std::slice::from_ref(phrase),
                Arg::Several(several) => &several[..],
            };
            n_bytes += name.len() + size_of::<f64>();
            for phrase in several {
                let (inner_depth, inner_bytes) = phrase.extent();
                depth = depth.max(inner_depth);
                n_bytes += inner_bytes;
            }
        }
        (depth + 1, n_bytes)
    }

    fn bounded<E: Error>(self) -> Result<Self, E> {
        let (depth, n_bytes) = self.extent();
        if depth > Self::MAX_DEPTH || n_bytes > Self::MAX_BYTES {
            let (depth_most, bytes_most) = (Self::MAX_DEPTH, Self::MAX_BYTES);
            return Err(E::custom(format!(
                "a phrase may hold {depth_most} within one another and {bytes_most} bytes, but this one has {depth} \
                 and {n_bytes}"
            )));
        }
        Ok(self)
    }

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

/// By hand, since a decoder that tries one kind after the other takes twice as long for each phrase within another.
struct AnArg;

impl<'de> Visitor<'de> for AnArg {
    type Value = Arg;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a text, an id with its gaps, a number or a list of phrases")
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Arg, E> {
        Ok(number.into())
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Arg, E> {
        Ok((number as f64).into())
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Arg, E> {
        Ok((number as f64).into())
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Arg, E> {
        Ok(Phrase::Plain(text.to_owned()).bounded()?.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Arg, A::Error> {
        let mut several = Vec::new();
        while let Some(phrase) = list.next_element()? {
            if several.len() == Phrase::MAX_SEVERAL {
                return Err(A::Error::invalid_length(several.len() + 1, &"a shorter list of phrases"));
            }
            several.push(phrase);
        }
        Ok(Arg::Several(several))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Arg, A::Error> {
        let (mut id, mut args) = (None, None);
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "id" if id.is_some() => return Err(A::Error::duplicate_field("id")),
                "args" if args.is_some() => return Err(A::Error::duplicate_field("args")),
                "id" => id = Some(map.next_value()?),
                "args" => args = Some(map.next_value()?),
                _ => {
                    map.next_value::<serde::de::IgnoredAny>()?;
                }
            }
        }
        let id = id.ok_or_else(|| A::Error::missing_field("id"))?;
        Ok(Phrase::Said { id, args: args.unwrap_or_default() }.bounded()?.into())
    }
}

impl<'de> Deserialize<'de> for Arg {
    fn deserialize<D: Deserializer<'de>>(decoder: D) -> Result<Self, D::Error> {
        decoder.deserialize_any(AnArg)
    }
}

impl<'de> Deserialize<'de> for Phrase {
    fn deserialize<D: Deserializer<'de>>(decoder: D) -> Result<Self, D::Error> {
        match Arg::deserialize(decoder)? {
            Arg::Phrase(phrase) => Ok(phrase),
            Arg::Number(number) => Err(D::Error::invalid_type(Unexpected::Float(number), &"a phrase")),
            Arg::Several(_) => Err(D::Error::invalid_type(Unexpected::Seq, &"a phrase")),
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
    fn what_is_no_phrase_is_refused() {
        for bad in
            ["1", "[]", "null", "true", "{}", r#"{"id":1}"#, r#"{"id":"a","id":"b"}"#, r#"{"args":{}}"#]
        {
            assert!(serde_json::from_str::<Phrase>(bad).is_err(), "{bad}");
        }
    }

    /// `a` within `a` so often.
    fn nested(n: usize) -> String {
        format!("{}\"x\"{}", r#"{"id":"a","args":{"x":"#.repeat(n - 1), "}}".repeat(n - 1))
    }

    #[test]
    fn phrases_within_phrases_and_long_ones_are_bounded() {
        let is_read = |json: &str| serde_json::from_str::<Phrase>(json).is_ok();
        assert!(is_read(&nested(Phrase::MAX_DEPTH)) && !is_read(&nested(Phrase::MAX_DEPTH + 1)));
        let long = |n: usize| format!("\"{}\"", "x".repeat(n));
        assert!(is_read(&long(Phrase::MAX_BYTES)) && !is_read(&long(Phrase::MAX_BYTES + 1)));
        let many = format!(r#"{{"id":"a","args":{{"x":[{}]}}}}"#, vec![long(99); 200].join(","));
        assert!(!is_read(&many));
        let several = |n: usize| format!(r#"{{"id":"a","args":{{"x":[{}]}}}}"#, vec!["\"\""; n].join(","));
        assert!(is_read(&several(Phrase::MAX_SEVERAL)) && !is_read(&several(Phrase::MAX_SEVERAL + 1)));
        // Either of two readings at each of forty levels: a decoder that tries both never comes to an end.
        let either = format!("{}0{}", r#"["a",{"id":"a","args":"#.repeat(40), "}]".repeat(40));
        assert!(!is_read(&format!(r#"{{"id":"a","args":{{"x":{either}}}}}"#)));
    }

    #[test]
    fn what_a_person_wrote_has_no_gaps_and_no_number_is_endless() {
        assert_eq!(Phrase::from("Wren { $name }").with("name", "x"), Phrase::from("Wren { $name }"));
        assert_eq!(Arg::from(f64::NAN), Arg::Number(0.0));
        assert!(Phrase::default().is_empty() && !Phrase::of("count-none").is_empty());
    }
}
