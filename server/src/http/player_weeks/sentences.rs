//! What got better and what comes next, in sentences. The rules are `crate::weeks`'s; here they only get words.

use crate::http::results_words::{decimals, need, practise};
use crate::http::week_words::{day, rung, rung_beside};
use crate::weeks::{AtHome, Better, Measure, Next, Week, Why};
use crate::words::Words;
use windrow_protocol::judge::{Bands, State};

/// Weeks from which on progress can be told from chance at all.
const LEAST_WEEKS: usize = 4;

/// What comes next.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct NextTold {
    pub(super) headline: String,
    pub(super) reason: String,
    /// What to play at home; may be empty.
    pub(super) home: String,
}

/// What got better, a sentence each; one sentence where nothing can be told.
pub(super) fn better(words: Words, better: &[Better], weeks: &[Week]) -> Vec<String> {
    if better.is_empty() {
        let n_weeks = weeks.iter().filter(|w| w.rehearsal.is_some()).count();
        let id = if n_weeks < LEAST_WEEKS { "weeks-better-early" } else { "weeks-better-none" };
        return vec![words.say(id)];
    }
    better.iter().map(|one| sentence(words, one)).collect()
}

fn sentence(words: Words, better: &Better) -> String {
    let (measure, before, now) = match *better {
        Better::Rung { to, since, before: Some(before) } => {
            let new =
                words.of("weeks-better-rung").arg("date", day(words, since)).arg("rung", rung(words, to));
            return new.arg("before", rung_beside(words, before, Some(to))).to_string();
        }
        Better::Rung { to, since, before: None } => {
            let first = words.of("weeks-better-first").arg("date", day(words, since));
            return first.arg("rung", rung(words, to)).to_string();
        }
        Better::Measure { measure, before, now, .. } => (measure, before, now),
    };
    // How it is called, how much of it is one of its unit, and decimals.
    let (id, unit, n_decimals) = match measure {
        Measure::Matched => ("weeks-better-matched", 0.01, 0),
        Measure::TimingSpread => ("weeks-better-timing-spread", 1.0, 0),
        Measure::Rate => ("weeks-better-rate", 0.01, 1),
        Measure::Evenness => ("weeks-better-evenness", 0.01, 0),
        Measure::Depth => ("weeks-better-depth", 1.0, 1),
        Measure::Centre => ("weeks-better-centre", 1.0, 0),
        Measure::FromStraight => ("weeks-better-from-straight", 1.0, 0),
    };
    let figure = |value: f64| decimals(words, value / unit, n_decimals);
    words.of(id).arg("now", figure(now)).arg("before", figure(before)).to_string()
}

/// What comes next and why; a plan that a teacher has set for home goes before what the rules would say.
pub(super) fn next(words: Words, next: &Next, home_plan: Option<&str>) -> NextTold {
    let headline = match (next.rung, next.why) {
        (Some(to), _) => words.of("weeks-next").arg("rung", rung(words, to)).to_string(),
        (None, Why::Musical { .. }) => words.say("weeks-next-music"),
        (None, _) => words.say("weeks-next-nothing"),
    };
    let home = match (home_plan, &next.home) {
        (Some(plan), _) => words.of("weeks-home-plan").arg("plan", plan).to_string(),
        (None, Some(home)) => at_home(words, home),
        (None, None) => String::new(),
    };
    NextTold { headline, reason: reason(words, next), home }
}

fn at_home(words: Words, home: &AtHome) -> String {
    let exercise = practise(words, &home.practise);
    words.of("weeks-home").arg("exercise", exercise).arg("n", home.breaths).to_string()
}

fn reason(words: Words, next: &Next) -> String {
    let name = |one| rung_beside(words, one, next.rung);
    let helps = |state: Option<State>| state.map(|state| need(words, state));
    match next.why {
        Why::Nothing => words.say("weeks-why-nothing"),
        Why::FirstPulses => words.say("weeks-why-first-pulses"),
        Why::Away { n_weeks, held: Some(held) } => {
            words.of("weeks-why-away").arg("n", n_weeks).arg("held", name(held)).to_string()
        }
        Why::Away { n_weeks, held: None } => words.of("weeks-why-away-freely").arg("n", n_weeks).to_string(),
        Why::TooFast { tried, n_weeks } => {
            words.of("weeks-why-too-fast").arg("n", n_weeks).arg("tried", name(tried)).to_string()
        }
        Why::NotYet { in_the_way } => match helps(in_the_way) {
            Some(need) => words.of("weeks-why-not-yet-helps").arg("need", need).to_string(),
            None => words.say("weeks-why-not-yet"),
        },
        Why::Stuck { tried, n_weeks, in_the_way, .. } => {
            let need = helps(in_the_way);
            let id = if need.is_some() { "weeks-why-stuck-helps" } else { "weeks-why-stuck" };
            let stuck = words.of(id).arg("n", n_weeks).arg("tried", name(tried));
            stuck.arg("need", need.unwrap_or_default()).to_string()
        }
        Why::Deepen { depth_db_pp, .. } => {
            let wanted = decimals(words, Bands::default().shallow_db, 0);
            let deepen = words.of("weeks-why-deepen").arg("db", decimals(words, depth_db_pp, 1));
            deepen.arg("wanted", wanted).to_string()
        }
        Why::AtHome { held } => words.of("weeks-why-at-home").arg("held", name(held)).to_string(),
        Why::TryAgain { held } => words.of("weeks-why-try-again").arg("held", name(held)).to_string(),
        Why::OnceMore { .. } => words.say("weeks-why-once-more"),
        Why::Onwards { held, n_weeks } => {
            words.of("weeks-why-onwards").arg("n", n_weeks).arg("held", name(held)).to_string()
        }
        Why::Musical { held } => words.of("weeks-why-musical").arg("held", name(held)).to_string(),
    }
}

#[cfg(test)]
#[path = "sentences_tests.rs"]
mod tests;
