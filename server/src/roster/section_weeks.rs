//! What a whole section played over weeks, from the records, a player at a time. It must know no page and no figure.

use super::weeks::played;
use super::{Roster, RosterError};
use crate::store::{PersonRow, SectionRunRow, SessionKind, StretchRow};
use crate::weeks::{IsoWeek, Played, SectionRun};
use std::collections::BTreeMap;

/// Everything of a section that counts over weeks.
#[derive(Debug, Default)]
pub(crate) struct SectionPlayed {
    /// Runs of rehearsals, the oldest first.
    pub(crate) runs: Vec<SectionRun>,
    /// In chair order, those without a place in the list last.
    pub(crate) players: Vec<OnePlayed>,
    /// Whether any of it was made up for a demonstration.
    pub(crate) invented: bool,
}

/// One player of a section: somebody in its list, or a nickname.
#[derive(Debug)]
pub(crate) struct OnePlayed {
    /// Absent for a nickname.
    pub(crate) person_id: Option<String>,
    pub(crate) name: String,
    /// The oldest first; with the instrument played last.
    pub(crate) played: Vec<Played>,
}

impl Roster {
    /// What the section in the room played: all its runs, and what each player came to within so many weeks of the newest rehearsal.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn section_played(&self, n_weeks: i64) -> Result<SectionPlayed, RosterError> {
        let section = self.section().to_string();
        let rows = self.store.section_runs(&section, i64::MIN).await?;
        let runs: Vec<&SectionRunRow> = rows.iter().filter(|r| r.kind == SessionKind::Rehearsal).collect();
        let Some(newest) = runs.last().map(|r| IsoWeek::of_unix_ms(r.began_unix_ms)) else {
            return Ok(SectionPlayed::default());
        };
        let from_unix_ms = newest.plus(1 - n_weeks).begins_unix_ms();
        let stretches = self.store.stretches_of_section(&section, from_unix_ms).await?;
        let mut people = self.store.people(&self.chosen().section_id).await?;
        people.retain(|person| !person.is_removed);
        Ok(SectionPlayed {
            invented: runs.iter().any(|r| r.invented) || stretches.iter().any(|s| s.invented),
            runs: runs.into_iter().map(run).collect(),
            players: players(&stretches, &people),
        })
    }
}

fn run(row: &SectionRunRow) -> SectionRun {
    SectionRun {
        began_unix_ms: row.began_unix_ms,
        ended_unix_ms: row.ended_unix_ms,
        n_judged: row.n_judged,
        matched: row.matched,
        together: row.together,
        spread_ms: row.spread_ms,
    }
}

/// Who was taken out of the list is not shown; their records stay where they are.
fn players(rows: &[StretchRow], people: &[PersonRow]) -> Vec<OnePlayed> {
    // By place in the list; nicknames after it, by chair.
    let mut found: BTreeMap<(usize, i64, &str), Vec<&StretchRow>> = BTreeMap::new();
    for row in rows {
        let key = match &row.person_id {
            Some(id) => match people.iter().position(|p| p.person_id == *id) {
                Some(place) => (place, 0, id.as_str()),
                None => continue,
            },
            None => (people.len(), 0, row.name.as_str()),
        };
        found.entry(key).or_default().push(row);
    }
    let one = |((place, _, name), rows): ((usize, i64, &str), Vec<&StretchRow>)| {
        let person = people.get(place);
        let instrument = rows.last().map(|row| row.instrument.clone()).unwrap_or_default();
        let with_it = rows.iter().filter(|row| row.instrument == instrument);
        OnePlayed {
            person_id: person.map(|p| p.person_id.clone()),
            name: person.map_or_else(|| name.to_owned(), |p| p.name.clone()),
            played: with_it.filter_map(|row| played(row)).collect(),
        }
    };
    found.into_iter().map(one).collect()
}
