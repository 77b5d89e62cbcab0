//! What each player of a rehearsal plays next: by the rules of the pages over weeks, so that both say the same, and by what was
//! known when the rehearsal was over. It must know no rule and no SQL.

use super::results_words::practise;
use super::week_words::rung;
use crate::records::Past;
use crate::roster::weeks::played;
use crate::store::{Store, StoreError, StretchRow};
use crate::weeks::{IsoWeek, Next, Played, Why, next, weeks};
use crate::words::Words;
use std::collections::BTreeMap;

/// More than the weeks that the rules look back.
const WEEKS_BACK: i64 = 8;

/// In words; for the report's last column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NextSaid {
    /// The rung.
    pub(super) rung: String,
    /// What to play at home.
    pub(super) home: String,
}

/// Of everybody in a rehearsal, by the name there; nobody of whom there is nothing to say.
pub(super) async fn next_of_all(
    store: &Store,
    words: Words,
    past: &Past,
) -> Result<BTreeMap<String, NextSaid>, StoreError> {
    let from_unix_ms = IsoWeek::of_unix_ms(past.began_unix_ms()).plus(-WEEKS_BACK).begins_unix_ms();
    let rows = store.stretches_of_section(past.section_name(), from_unix_ms).await?;
    Ok(of_rows(&rows, &past.rehearsal_id)
        .into_iter()
        .filter_map(|(name, next)| Some((name, said(words, &next)?)))
        .collect())
}

fn of_rows(rows: &[StretchRow], rehearsal_id: &str) -> BTreeMap<String, Next> {
    let own = || rows.iter().filter(|row| row.rehearsal_id == rehearsal_id);
    let Some(over_unix_ms) = own().map(|row| row.began_unix_ms).max() else { return BTreeMap::new() };
    // With the instrument played last there.
    let players: BTreeMap<&str, &StretchRow> = own().map(|row| (row.name.as_str(), row)).collect();
    let of = |(name, last): (&str, &StretchRow)| {
        let is_theirs = |row: &&StretchRow| match (&row.person_id, &last.person_id) {
            (Some(one), Some(other)) => one == other,
            (None, None) => row.name == last.name,
            _ => false,
        };
        let until_then = rows.iter().filter(|row| row.began_unix_ms <= over_unix_ms).filter(is_theirs);
        let with_it: Vec<Played> =
            until_then.filter(|row| row.instrument == last.instrument).filter_map(played).collect();
        (name.to_owned(), next(&weeks(&with_it), IsoWeek::of_unix_ms(over_unix_ms)))
    };
    players.into_iter().map(of).collect()
}

fn said(words: Words, next: &Next) -> Option<NextSaid> {
    let rung = match (next.rung, next.why) {
        (Some(to), _) => rung(words, to),
        (None, Why::Musical { .. }) => words.say("report-next-music"),
        (None, _) => return None,
    };
    let home = next.home.as_ref().map(|home| practise(words, &home.practise)).unwrap_or_default();
    Some(NextSaid { rung, home })
}
