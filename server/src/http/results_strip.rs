//! The rehearsal as a strip: a column a run, a row a player, and who needs what. It must know no rule of a rehearsal; what fields
//! show is drawn by the page's script.

use super::results_words::{decimals, need, practise, state_word, summary, wire_word};
use crate::words::Words;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{PlayerResult, Results, Review, Run};

/// What the template writes.
#[derive(Debug, Default)]
pub(super) struct Strip {
    /// How much was played, in a line; empty where nothing was.
    pub(super) summary: String,
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<StripRow>,
}

/// A run.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) number: u16,
    pub(super) name: String,
    /// What it asked for, in a few words.
    pub(super) asked: String,
    /// Such as "0.98"; empty where it could not be told.
    pub(super) together: String,
}

/// A player.
#[derive(Debug)]
pub(super) struct StripRow {
    pub(super) player_id: String,
    pub(super) name: String,
    pub(super) part: String,
    /// As many as there are columns.
    pub(super) fields: Vec<Field>,
    pub(super) need: String,
    pub(super) practise: String,
    /// Nothing stood in the way.
    pub(super) is_ready: bool,
}

/// What a player came to in a run.
#[derive(Debug)]
pub(super) struct Field {
    pub(super) number: u16,
    /// Whose and of which run, to be read out.
    pub(super) label: String,
    /// As on the wire; empty for a player who was not in.
    pub(super) state: String,
    pub(super) word: String,
}

pub(super) fn strip(words: Words, results: &Results, review: &Review) -> Strip {
    if results.runs.is_empty() {
        return Strip::default();
    }
    Strip {
        summary: summary(words, review),
        columns: results.runs.iter().map(|run| column(words, run)).collect(),
        rows: players(results).into_iter().map(|player| row(words, player, results, review)).collect(),
    }
}

fn column(words: Words, run: &Run) -> Column {
    let asked = match &run.spans[..] {
        [one] => words.phrase(one),
        all => words.of("review-parts").arg("n", all.len() as f64).to_string(),
    };
    Column {
        number: run.number,
        name: words.phrase(&run.name),
        asked: if run.is_over { asked } else { words.say("review-being-played") },
        together: run.section.together.map(|t| decimals(words, t.get(), 2)).unwrap_or_default(),
    }
}

/// Everybody who was in a run, as in the last one that each was in, in chair order.
fn players(results: &Results) -> Vec<&PlayerResult> {
    let mut players: Vec<&PlayerResult> = Vec::new();
    for player in results.runs.iter().rev().flat_map(|run| &run.players) {
        if !players.iter().any(|known| known.player_id == player.player_id) {
            players.push(player);
        }
    }
    players.sort_by_key(|player| player.chair);
    players
}

fn row(words: Words, player: &PlayerResult, results: &Results, review: &Review) -> StripRow {
    let found = review.needs.iter().find(|need| need.player_id == player.player_id);
    let field = |run: &Run| {
        let result = run.players.iter().find(|p| p.player_id == player.player_id);
        let label = words.of("review-field").arg("name", player.name.to_string());
        Field {
            number: run.number,
            label: label.arg("number", run.number).arg("exercise", words.phrase(&run.name)).to_string(),
            state: result.map(|r| wire_word(r.whole.state)).unwrap_or_default(),
            word: result.map(|r| state_word(words, &r.whole)).unwrap_or_default(),
        }
    };
    StripRow {
        player_id: player.player_id.clone(),
        name: player.name.to_string(),
        part: words.part_by_itself(&player.part),
        fields: results.runs.iter().map(field).collect(),
        need: found.map(|found| need(words, found.state)).unwrap_or_default(),
        practise: found.map(|found| practise(words, &found.practise)).unwrap_or_default(),
        is_ready: found.is_some_and(|found| found.state == State::Matched),
    }
}
