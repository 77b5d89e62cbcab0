//! The columns of the tables, in their order: one list for what writes them, for the page that explains them and for the text file
//! beside them. Pure.

use crate::words::Words;

/// A column. What it means stands in the catalogue as `records-column-NAME`, with hyphens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Column {
    /// As the header has it, with its unit.
    pub(crate) name: &'static str,
    /// What stands there.
    pub(crate) kind: Kind,
}

/// What a field of a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Signs that stand for something: no language, no meaning of their own.
    Id,
    /// One of a few words.
    Word,
    /// What people wrote or read; guarded against being taken for a formula.
    Text,
    /// Time, ISO 8601, UTC.
    Time,
    /// A whole number.
    Whole,
    /// A number with a decimal point; empty where there is nothing to tell.
    Number,
    /// `true` or `false`.
    Truth,
}

impl Kind {
    /// Id of its word.
    fn word(self) -> &'static str {
        match self {
            Self::Id => "records-kind-id",
            Self::Word => "records-kind-word",
            Self::Text => "records-kind-text",
            Self::Time => "records-kind-time",
            Self::Whole => "records-kind-whole",
            Self::Number => "records-kind-number",
            Self::Truth => "records-kind-truth",
        }
    }
}

impl Column {
    /// Which kind of field, in a word.
    pub(crate) fn kind(self, words: Words) -> String {
        words.say(self.kind.word())
    }

    /// Meaning, unit and range.
    pub(crate) fn meaning(self, words: Words) -> String {
        words.say(&format!("records-column-{}", self.name.replace('_', "-")))
    }
}

const fn column(name: &'static str, kind: Kind) -> Column {
    Column { name, kind }
}

/// A row for each player, run and part.
pub(crate) const RESULTS: [Column; 40] = [
    column("rehearsal_id", Kind::Id),
    column("session_id", Kind::Id),
    column("kind", Kind::Word),
    column("invented", Kind::Truth),
    column("section", Kind::Text),
    column("run", Kind::Whole),
    column("exercise", Kind::Whole),
    column("exercise_name", Kind::Text),
    column("part", Kind::Whole),
    column("part_title", Kind::Text),
    column("began_utc", Kind::Time),
    column("player_id", Kind::Id),
    column("person_id", Kind::Id),
    column("name", Kind::Text),
    column("instrument", Kind::Word),
    column("chair", Kind::Whole),
    column("target", Kind::Word),
    column("asked_per_beat", Kind::Whole),
    column("bpm", Kind::Number),
    column("bpm_to", Kind::Number),
    column("loosely", Kind::Truth),
    column("bars", Kind::Number),
    column("asked_s", Kind::Number),
    column("judged_s", Kind::Number),
    column("held", Kind::Truth),
    column("state", Kind::Word),
    column("trusted_share", Kind::Number),
    column("matched_share", Kind::Number),
    column("n_pulses", Kind::Whole),
    column("pulse_rate_hz", Kind::Number),
    column("pulses_per_beat", Kind::Number),
    column("timing_ms", Kind::Number),
    column("timing_spread_ms", Kind::Number),
    column("depth_db_pp", Kind::Number),
    column("swing_cents_pp", Kind::Number),
    column("centre_cents", Kind::Number),
    column("drift_cents", Kind::Number),
    column("from_straight_cents", Kind::Number),
    column("evenness_cv", Kind::Number),
    column("calibrated", Kind::Truth),
];

/// A row for each pulse.
pub(crate) const PULSES: [Column; 17] = [
    column("rehearsal_id", Kind::Id),
    column("session_id", Kind::Id),
    column("kind", Kind::Word),
    column("invented", Kind::Truth),
    column("section", Kind::Text),
    column("player_id", Kind::Id),
    column("person_id", Kind::Id),
    column("name", Kind::Text),
    column("instrument", Kind::Word),
    column("chair", Kind::Whole),
    column("run", Kind::Whole),
    column("time_utc", Kind::Time),
    column("time_s", Kind::Number),
    column("depth_db_pp", Kind::Number),
    column("swing_cents_pp", Kind::Number),
    column("mean_cents", Kind::Number),
    column("choked", Kind::Truth),
];

/// All of it as a text to lie beside the tables.
pub(crate) fn columns_text(words: Words) -> String {
    let mut text = format!("{}\n\n", words.say("records-text-begin"));
    for (file, id, columns) in [
        ("results.csv", "records-results-are", &RESULTS[..]),
        ("pulses.csv", "records-pulses-are", &PULSES[..]),
    ] {
        text.push_str(&format!("{file}\n{}\n\n", words.say(id)));
        for column in columns {
            text.push_str(&format!(
                "  {} ({})\n      {}\n",
                column.name,
                column.kind(words),
                column.meaning(words)
            ));
        }
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use std::collections::BTreeSet;

    #[test]
    fn every_column_is_explained_in_every_language_and_stands_once() {
        for columns in [&RESULTS[..], &PULSES[..]] {
            let names: BTreeSet<&str> = columns.iter().map(|column| column.name).collect();
            assert_eq!(names.len(), columns.len());
            for column in columns {
                for words in Language::ALL.map(Words::new) {
                    let (kind, meaning) = (column.kind(words), column.meaning(words));
                    assert!(!kind.starts_with("records-") && !meaning.starts_with("records-"), "{column:?}");
                }
            }
        }
    }
}
