//! Something the conductor should know while everything goes on: what is odd, and what to do.

use crate::words::{Language, Words};
use std::fmt;
use windrow_protocol::phrase::Phrase;

/// What is odd, and what to do.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Warning {
    /// What is odd, as one or two sentences.
    pub(crate) text: Phrase,
    /// What to do about it, as sentences.
    pub(crate) what_to_do: Phrase,
}

impl Warning {
    pub(crate) fn new(text: Phrase, what_to_do: Phrase) -> Self {
        Self { text, what_to_do }
    }
}

/// On the terminal, which speaks English.
impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let english = Words::new(Language::English);
        write!(f, "{} {}", english.phrase(&self.text), english.phrase(&self.what_to_do))
    }
}
