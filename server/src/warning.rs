//! Something the conductor should know while everything goes on: what is odd, and what to do.

use serde::Serialize;
use std::fmt;

/// What is odd, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Warning {
    /// What is odd, as one or two sentences.
    pub(crate) text: String,
    /// What to do about it, as sentences.
    pub(crate) what_to_do: String,
}

impl Warning {
    pub(crate) fn new(text: impl Into<String>, what_to_do: impl Into<String>) -> Self {
        Self { text: text.into(), what_to_do: what_to_do.into() }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.text, self.what_to_do)
    }
}
