//! What to plan next, who moved, who is stuck, who was away, in sentences. The rules are `crate::weeks`'s; here they only get words.

use crate::http::results_words::{need, practise, wire_word};
use crate::http::week_words::{rung, rung_beside};
use crate::weeks::{Now, PlanNext, PlanWhy, Rung};
use crate::words::Words;
use std::collections::BTreeMap;

/// Everything that is said in words.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Told {
    pub(super) headline: String,
    pub(super) reason: String,
    /// What stood in the way of most, and what helps; may be empty.
    pub(super) help: String,
    /// A line a player, or one that says that there is nobody.
    pub(super) moved: Vec<String>,
    pub(super) stuck: Vec<String>,
    pub(super) away: Vec<String>,
}

/// Lines of one kind that are shown; the rest are counted, since the table has them all.
const MOST_LINES: usize = 6;

/// `names` and `now` of the same players in the same order.
pub(super) fn told(words: Words, names: &[&str], now: &[Now], next: &PlanNext) -> Told {
    let of_each = |line: &dyn Fn(&str, &Now) -> Option<String>, nobody: &str| {
        let lines = names.iter().zip(now).filter_map(|(name, now)| line(name, now)).collect();
        some(words, lines, nobody)
    };
    let help = next.help.as_ref().map(|help| {
        let state = words.say(&format!("state-{}", wire_word(help.state)));
        let said = words.of("section-weeks-help").arg("n", help.n_players).arg("state", state);
        said.arg("exercise", practise(words, &help.practise)).to_string()
    });
    Told {
        headline: headline(words, next),
        reason: reason(words, next),
        help: help.unwrap_or_default(),
        moved: of_each(&|name, now| moved(words, name, now), "section-weeks-moved-nobody"),
        stuck: of_each(&|name, now| stuck(words, name, now), "section-weeks-stuck-nobody"),
        away: some(words, away(words, names, now), "section-weeks-away-nobody"),
    }
}

fn some(words: Words, mut lines: Vec<String>, nobody: &str) -> Vec<String> {
    if lines.is_empty() {
        return vec![words.say(nobody)];
    }
    let n_more = lines.len().saturating_sub(MOST_LINES);
    // A line that counts a single one could as well hold it.
    if n_more > 1 {
        lines.truncate(MOST_LINES);
        lines.push(words.of("section-weeks-and-more").arg("n", n_more).to_string());
    }
    lines
}

fn headline(words: Words, next: &PlanNext) -> String {
    match (next.rung, next.why) {
        (Some(next), _) => words.of("section-weeks-next").arg("rung", rung(words, next)).to_string(),
        (None, PlanWhy::Musical { .. }) => words.say("section-weeks-next-music"),
        (None, _) => words.say("section-weeks-next-nothing"),
    }
}

fn reason(words: Words, next: &PlanNext) -> String {
    let counted = |id: &str, n: usize, n_of: usize, held: Rung| {
        let name = rung_beside(words, held, next.rung);
        words.of(id).arg("n", n).arg("of", n_of).arg("held", name).to_string()
    };
    match next.why {
        PlanWhy::Nothing => words.say("section-weeks-why-nothing"),
        PlanWhy::AfterBreak { n_weeks, held: Some(held) } => {
            let name = rung_beside(words, held, next.rung);
            words.of("section-weeks-why-break").arg("n", n_weeks).arg("held", name).to_string()
        }
        PlanWhy::AfterBreak { n_weeks, held: None } => {
            words.of("section-weeks-why-break-freely").arg("n", n_weeks).to_string()
        }
        PlanWhy::Begin { n_hold, n_of } => {
            words.of("section-weeks-why-begin").arg("n", n_hold).arg("of", n_of).to_string()
        }
        PlanWhy::Stay { held, n_stuck, n_of } => counted("section-weeks-why-stay", n_stuck, n_of, held),
        PlanWhy::Onwards { held, n_hold, n_of } => counted("section-weeks-why-onwards", n_hold, n_of, held),
        PlanWhy::Musical { held, n_hold, n_of } => counted("section-weeks-why-musical", n_hold, n_of, held),
    }
}

fn moved(words: Words, name: &str, now: &Now) -> Option<String> {
    let reached = now.reached.filter(|_| now.has_moved())?;
    let line = match now.before {
        Some(before) => words
            .of("section-weeks-moved")
            .arg("before", rung(words, before))
            .arg("now", rung_beside(words, reached, Some(before))),
        None if now.is_new => words.of("section-weeks-moved-new").arg("now", rung(words, reached)),
        None => words.of("section-weeks-moved-first").arg("now", rung(words, reached)),
    };
    Some(line.arg("name", name).to_string())
}

fn stuck(words: Words, name: &str, now: &Now) -> Option<String> {
    // Who is not there is not stuck.
    let stuck = now.stuck.filter(|_| now.is_present)?;
    let line = match stuck.in_the_way {
        Some(state) => words.of("section-weeks-stuck-helps").arg("need", need(words, state)),
        None => words.of("section-weeks-stuck"),
    };
    Some(line.arg("name", name).arg("rung", rung(words, stuck.rung)).arg("n", stuck.n_weeks).to_string())
}

/// Those who missed the same weeks together, the longest away last.
fn away(words: Words, names: &[&str], now: &[Now]) -> Vec<String> {
    let mut missed: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for (name, now) in names.iter().zip(now).filter(|(_, now)| now.n_missed > 0) {
        missed.entry(now.n_missed).or_default().push(name);
    }
    let line = |(n, names): (usize, Vec<&str>)| {
        words.of("section-weeks-missed").arg("names", names.join(", ")).arg("n", n).to_string()
    };
    missed.into_iter().map(line).collect()
}

#[cfg(test)]
#[path = "sentences_tests.rs"]
mod tests;
