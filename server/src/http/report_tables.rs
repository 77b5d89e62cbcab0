//! The tables of a report: exercises as they were played, and what each player came to in them. It must know no rule of a rehearsal;
//! verdicts, shares and what somebody needs come from the room.

use super::report_next::NextSaid;
use super::results_words::{decimals, need, practise, state_word, wire_word};
use crate::words::Words;
use std::collections::BTreeMap;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{PlayerResult, Review};
use windrow_protocol::score::Target;
use windrow_room::{KeptRun, Stretch};

/// Exercises that stand side by side on a page that stands upright; more go into another table.
const COLUMNS: usize = 10;
/// A rest under this is a breath between two runs, s.
const LEAST_REST_S: f64 = 10.0;

/// An exercise, however many times it was played.
#[derive(Debug)]
pub(super) struct ExerciseRow {
    /// In the order in which they were begun, from 1.
    pub(super) number: usize,
    pub(super) name: String,
    /// What the last time asked for.
    pub(super) asked: String,
    pub(super) n_times: usize,
    /// Minutes and seconds.
    pub(super) lasted: String,
    /// The same until something else was played; empty for none.
    pub(super) rest: String,
    /// Of the last time; empty where nobody could be judged.
    pub(super) matched: String,
    pub(super) together: String,
    /// Places of its runs.
    runs: Vec<usize>,
}

/// What players came to in up to ten exercises.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<PlayerRow>,
    /// The last one says what each held and needs as well.
    pub(super) is_last: bool,
    pub(super) first_number: usize,
}

#[derive(Debug)]
pub(super) struct Column {
    pub(super) number: usize,
    pub(super) name: String,
}

#[derive(Debug)]
pub(super) struct PlayerRow {
    pub(super) name: String,
    pub(super) part: String,
    /// As many as there are columns; none where this player was not in.
    pub(super) fields: Vec<Option<Field>>,
    pub(super) held: String,
    /// The next rung, or what the trouble was.
    pub(super) need: String,
    pub(super) practise: String,
}

#[derive(Debug)]
pub(super) struct Field {
    /// As on the wire.
    pub(super) state: String,
    pub(super) word: String,
    /// What is right is plain: its shape says enough.
    pub(super) is_plain: bool,
}

/// Exercises in the order in which they were first played.
pub(super) fn exercises(words: Words, runs: &[KeptRun]) -> Vec<ExerciseRow> {
    let mut places: Vec<Vec<usize>> = Vec::new();
    for (i, run) in runs.iter().enumerate() {
        let is_same = |known: &&mut Vec<usize>| {
            let first = &runs[known[0]].told;
            (first.exercise, &first.name) == (run.told.exercise, &run.told.name)
        };
        match places.iter_mut().find(is_same) {
            Some(known) => known.push(i),
            None => places.push(vec![i]),
        }
    }
    (1..).zip(places).map(|(number, places)| exercise(words, runs, number, places)).collect()
}

fn exercise(words: Words, runs: &[KeptRun], number: usize, places: Vec<usize>) -> ExerciseRow {
    let last_place = places[places.len() - 1];
    let last = &runs[last_place];
    let played_s: f64 = places.iter().map(|&i| (runs[i].ended_us - runs[i].began_us) / 1e6).sum();
    // The longest silence after one of its times.
    let rests = places.iter().filter_map(|&i| Some((runs.get(i + 1)?.began_us - runs[i].ended_us) / 1e6));
    let rest_s = rests.fold(0.0, f64::max);
    let section = &last.told.section;
    let matched = words.of("report-of").arg("n", section.n_matched).arg("of", section.n_judged);
    ExerciseRow {
        number,
        name: words.phrase(&last.told.name),
        asked: asked(words, last),
        n_times: places.len(),
        lasted: clock(played_s),
        rest: if rest_s >= LEAST_REST_S { clock(rest_s) } else { String::new() },
        matched: if section.n_judged > 0 { matched.to_string() } else { String::new() },
        together: section.together.map(|share| decimals(words, share.get(), 2)).unwrap_or_default(),
        runs: places,
    }
}

fn asked(words: Words, run: &KeptRun) -> String {
    match &run.told.spans[..] {
        [] => String::new(),
        [one] => words.phrase(one),
        [first, .., last] if first == last => {
            let parts = words.of("report-parts-same").arg("first", words.phrase(first));
            parts.arg("n", run.told.spans.len()).to_string()
        }
        [first, .., last] => {
            let parts = words.of("report-parts").arg("first", words.phrase(first));
            parts.arg("last", words.phrase(last)).arg("n", run.told.spans.len()).to_string()
        }
    }
}

/// "3:05".
fn clock(s: f64) -> String {
    let s = s.max(0.0).round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

/// Everybody by name, in the chair order of the last run that each was in.
fn people(runs: &[KeptRun]) -> Vec<&PlayerResult> {
    let mut people: Vec<&PlayerResult> = Vec::new();
    for player in runs.iter().rev().flat_map(|run| &run.told.players) {
        if !people.iter().any(|known| known.name == player.name) {
            people.push(player);
        }
    }
    people.sort_by_key(|player| player.chair);
    people
}

/// Players by exercises, ten in a table.
pub(super) fn tables(
    words: Words,
    runs: &[KeptRun],
    exercises: &[ExerciseRow],
    review: &Review,
    next: &BTreeMap<String, NextSaid>,
) -> Vec<Table> {
    let people = people(runs);
    let n_tables = exercises.len().div_ceil(COLUMNS);
    // As wide as one another: two of six rather than ten and two.
    let n_columns = exercises.len().div_ceil(n_tables.max(1)).max(1);
    let table = |(i, columns): (usize, &[ExerciseRow])| Table {
        rows: people.iter().map(|player| player_row(words, player, runs, columns, review, next)).collect(),
        is_last: i + 1 == n_tables,
        first_number: columns[0].number,
        columns: columns.iter().map(|c| Column { number: c.number, name: c.name.clone() }).collect(),
    };
    exercises.chunks(n_columns).enumerate().map(table).collect()
}

fn player_row(
    words: Words,
    player: &PlayerResult,
    runs: &[KeptRun],
    columns: &[ExerciseRow],
    review: &Review,
    next: &BTreeMap<String, NextSaid>,
) -> PlayerRow {
    let found = review.needs.iter().find(|need| need.player_id == player.player_id);
    // Where the device was the trouble, no rung helps.
    let is_heard = found.is_none_or(|found| !matches!(found.state, State::NotHeard | State::Blended));
    let (need, practise) = match (next.get(player.name.as_str()).filter(|_| is_heard), found) {
        (Some(next), _) => (next.rung.clone(), next.home.clone()),
        (None, Some(found)) => (need(words, found.state), practise(words, &found.practise)),
        (None, None) => Default::default(),
    };
    let field = |column: &ExerciseRow| {
        let of_run = |&i: &usize| runs[i].told.players.iter().find(|one| one.name == player.name);
        let result = column.runs.iter().rev().find_map(of_run)?;
        Some(Field {
            state: wire_word(result.whole.state),
            word: short_word(words, result),
            is_plain: result.whole.state == State::Matched,
        })
    };
    PlayerRow {
        name: player.name.to_string(),
        part: words.part_by_itself(&player.part),
        fields: columns.iter().map(field).collect(),
        held: highest_held(words, player, runs),
        need,
        practise,
    }
}

/// Columns are a centimetre wide: the longest word has a shorter one here.
fn short_word(words: Words, result: &PlayerResult) -> String {
    match result.whole.state {
        State::ChokedValleys => words.say("report-short-choked-valleys"),
        _ => state_word(words, &result.whole),
    }
}

/// The rung with the most pulses a second, of two alike the faster tempo.
fn highest_held(words: Words, player: &PlayerResult, runs: &[KeptRun]) -> String {
    let rung = |stretch: &Stretch| match stretch.target {
        Target::Pulses { per_beat } => {
            Some((f64::from(per_beat.get()) * stretch.bpm.get(), stretch.bpm.get(), per_beat.get()))
        }
        _ => None,
    };
    let ids = |run: &KeptRun| {
        let own = run.told.players.iter().find(|one| one.name == player.name);
        own.map(|one| one.player_id.clone())
    };
    let held = runs.iter().flat_map(|run| {
        let id = ids(run);
        let own = run.stretches.iter().filter(move |stretch| Some(&stretch.player_id) == id.as_ref());
        own.filter(|stretch| stretch.held).filter_map(rung)
    });
    let highest = held.max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    match highest {
        Some((_, bpm, per_beat)) => words
            .of("review-how-faster")
            .arg("value", words.say(&format!("review-value-{per_beat}")))
            .arg("bpm", bpm_word(words, bpm))
            .to_string(),
        None => words.say("report-held-none"),
    }
}

fn bpm_word(words: Words, bpm: f64) -> String {
    if bpm.fract() == 0.0 { format!("{bpm:.0}") } else { decimals(words, bpm, 1) }
}

#[cfg(test)]
#[path = "report_tables_tests.rs"]
mod tests;
