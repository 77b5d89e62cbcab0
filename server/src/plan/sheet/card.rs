//! One exercise on the sheet: its picture, its words, and the room both need. Knows no page.

use super::engrave::{Picture, engrave};
use super::ink::short;
use super::letters::{HARD_SPACE, lines, width_em};
use super::line::Line;
use super::rows::Room;
use super::staff::{Clef, Reader};
use super::words as saying;
use super::{LINE, pen};
use crate::plan::{Exercise, Plan};
use crate::words::Words;

/// A tenth of a staff space, em: a staff of 6 mm beside a type of nine points. Our own choice.
const UNIT: f64 = 0.0473;
/// Narrower than this words are hard to read beside a picture. Our own choice.
const LEAST_BESIDE: f64 = 13.0;
/// Between a picture and the words beside it.
const GAP: f64 = 0.9;
/// The exercise's number and what stands around it; the sign of a quarter with its "=".
const NUMBER: f64 = 2.2;
const TEMPO: f64 = 2.4;
/// A metronome's mark with its box: what surrounds the number, and the height of a row of them.
const MARK: f64 = 2.1;
const MARK_ROW: f64 = 1.75;
/// Under a card, and over and under the name of a part.
const CARD_GAP: f64 = 0.65;
const PART: f64 = 1.75;

/// An exercise on the sheet.
#[derive(Debug, Clone)]
pub(crate) struct Card {
    /// From 1.
    pub(crate) number: usize,
    /// The part of the plan that begins with it.
    pub(crate) part: Option<String>,
    pub(crate) title: String,
    pub(crate) tempo: Option<String>,
    pub(crate) facts: String,
    /// Rows of notes, as SVG; none where they are those of an earlier exercise.
    pub(crate) rows: Vec<String>,
    /// The same for whoever cannot see them.
    pub(crate) described: String,
    /// The words stand beside the picture: the style's name for how.
    pub(crate) beside: Option<&'static str>,
    pub(crate) say: String,
    pub(crate) goal: String,
    /// Stands before the goal.
    pub(crate) goal_word: String,
    /// Metronome marks to tick off.
    pub(crate) rungs: Vec<String>,
    pub(super) height: f64,
}

/// All of a plan's, for a column of this width.
pub(super) fn cards(plan: &Plan, reader: Reader, column: f64, is_brief: bool, words: Words) -> Vec<Card> {
    let lines: Vec<Line> = plan
        .exercises
        .iter()
        .map(|exercise| pen::line(exercise, plan.beats_per_bar, reader, words))
        .collect();
    let place = |(i, exercise): (usize, &Exercise)| {
        let same = lines[..i].iter().position(|line| *line == lines[i]).filter(|_| is_brief);
        let notes = same.map_or(Notes::Drawn(&lines[i], reader.clef()), |same| Notes::AsIn(same + 1));
        card(exercise, i + 1, notes, Set { column, is_brief, words })
    };
    plan.exercises.iter().enumerate().map(place).collect()
}

/// What is played in an exercise, drawn or as in an earlier one.
enum Notes<'a> {
    Drawn(&'a Line, Clef),
    AsIn(usize),
}

/// How a card is set.
struct Set {
    column: f64,
    is_brief: bool,
    words: Words,
}

fn card(exercise: &Exercise, number: usize, notes: Notes<'_>, set: Set) -> Card {
    let Set { column, is_brief, words } = set;
    let mut facts = saying::facts(exercise, words);
    if let Notes::AsIn(earlier) = notes {
        let as_in = words.of("sheet-notes-as-in").arg("number", earlier).to_string();
        facts.push(as_in.replace(' ', &String::from(HARD_SPACE)));
    }
    let mut card = Card {
        number,
        part: exercise.part.clone(),
        title: saying::title(exercise, words),
        tempo: saying::tempo(&exercise.play, words),
        // A line may begin with a fact, not with the dot before it.
        facts: facts.join("\u{a0}· "),
        rows: Vec::new(),
        described: saying::described(exercise, words),
        beside: None,
        say: exercise.say.clone(),
        goal: exercise.goal.clone(),
        goal_word: words.say("sheet-goal"),
        rungs: saying::rungs(&exercise.play),
        height: 0.0,
    };
    let mut inner = card.head_height(column) + card.words_height(column);
    if let Notes::Drawn(line, clef) = notes {
        let mut pictures = engrave(line, clef, Room::Rows(column / UNIT));
        inner += height(&pictures);
        // Whatever takes less room: the words below the picture, or beside it.
        let narrow = engrave(line, clef, Room::AsNeeded);
        let left = column - narrow.iter().map(|picture| picture.width * UNIT).sum::<f64>() - GAP;
        if left >= LEAST_BESIDE {
            let beside_height = card.words_height(left);
            let beside = if is_brief {
                height(&narrow).max(card.head_height(left) + beside_height)
            } else {
                card.head_height(column) + height(&narrow).max(beside_height)
            };
            if beside < inner {
                (inner, pictures) = (beside, narrow);
                card.beside = Some(if is_brief { "all-beside" } else { "beside" });
            }
        }
        card.rows = pictures.iter().map(svg).collect();
    }
    let part = card.part.as_ref().map_or(0.0, |_| PART);
    card.height = part + inner + CARD_GAP;
    card
}

fn height(pictures: &[Picture]) -> f64 {
    pictures.iter().map(|picture| picture.height * UNIT + 0.2).sum()
}

impl Card {
    fn head_height(&self, column: f64) -> f64 {
        // What is no word takes its room as if it were one that cannot be broken.
        let room = |em: f64| String::from(HARD_SPACE).repeat((em / width_em("\u{a0}")).ceil() as usize);
        let tempo =
            self.tempo.as_ref().map_or_else(String::new, |tempo| format!("{}{tempo} · ", room(TEMPO)));
        let n_lines =
            lines(&format!("{} {} {tempo}{}", room(NUMBER - width_em(" ")), self.title, self.facts), column);
        f64::from(n_lines) * LINE + 0.2
    }

    fn words_height(&self, width: f64) -> f64 {
        let goal =
            if self.goal.is_empty() { String::new() } else { format!("{} {}", self.goal_word, self.goal) };
        let n_lines = lines(&format!("{} {goal}", self.say), width);
        let mark = |rung: &String| MARK + width_em(rung);
        let mut n_rows = 0.0;
        let mut filled = f64::INFINITY;
        for width_of_one in self.rungs.iter().map(mark) {
            if filled + width_of_one > width {
                n_rows += 1.0;
                filled = 0.0;
            }
            filled += width_of_one;
        }
        f64::from(n_lines) * LINE + n_rows * MARK_ROW
    }
}

/// A picture with its size in the page's type.
fn svg(picture: &Picture) -> String {
    format!(
        "<svg viewBox=\"0 {} {} {}\" width=\"{:.2}em\" height=\"{:.2}em\" aria-hidden=\"true\">{}</svg>",
        short(picture.top),
        short(picture.width),
        short(picture.height),
        picture.width * UNIT,
        picture.height * UNIT,
        picture.svg
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_breaks_where_its_words_do() {
        // A title that fills a line but for the number, and facts that do not fit beside it: three lines, though all of it
        // together is no wider than two.
        let title = "W".repeat(20);
        let card = Card {
            number: 1,
            part: None,
            facts: "rest ".repeat(3),
            tempo: None,
            rows: Vec::new(),
            described: String::new(),
            beside: None,
            say: String::new(),
            goal: String::new(),
            goal_word: String::new(),
            rungs: Vec::new(),
            height: 0.0,
            title,
        };
        let column = width_em(&card.title) + 1.0;
        assert!(NUMBER + width_em(&card.title) + width_em(&card.facts) < 2.0 * column);
        assert_eq!(card.head_height(column), 3.0 * LINE + 0.2);
    }
}
