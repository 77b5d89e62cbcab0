//! Weeks, rungs and figures over weeks in the reader's words. It must know no rule of a rehearsal.

use super::results_words::{decimals, signed};
use crate::charts::WeekLabel;
use crate::weeks::{IsoWeek, Rung};
use crate::words::Words;
use windrow_protocol::score::PerBeat;

/// "triplets".
pub(super) fn value(words: Words, per_beat: PerBeat) -> String {
    words.say(&format!("review-value-{}", per_beat.get()))
}

/// "triplets at 66".
pub(super) fn rung(words: Words, rung: Rung) -> String {
    words.of("weeks-rung").arg("value", value(words, rung.per_beat)).arg("bpm", rung.bpm.mark()).to_string()
}

/// The same beside another rung: "66" where both are of one subdivision.
pub(super) fn rung_beside(words: Words, one: Rung, other: Option<Rung>) -> String {
    match other {
        Some(other) if other.per_beat == one.per_beat => one.bpm.mark(),
        _ => rung(words, one),
    }
}

/// A week by its Monday: "5 Oct".
pub(super) fn day(words: Words, week: IsoWeek) -> String {
    let (_, month, day) = week.monday_date();
    let month = words.say(&format!("weeks-month-{month}"));
    words.of("weeks-date").arg("day", day).arg("month", month).to_string()
}

/// The same with its year: "5 Oct 2025".
pub(super) fn day_of_year(words: Words, week: IsoWeek) -> String {
    let (year, _, _) = week.monday_date();
    words.of("weeks-date-year").arg("day", day(words, week)).arg("year", year.to_string()).to_string()
}

/// A week on an axis.
pub(super) fn label(words: Words, week: IsoWeek) -> WeekLabel {
    WeekLabel { week: day(words, week), year: week.monday_date().0.to_string() }
}

/// Every calendar week from one to another, both included.
pub(super) fn calendar(first: IsoWeek, last: IsoWeek) -> impl Iterator<Item = IsoWeek> {
    (0..=last.since(first)).map(move |n| first.plus(n))
}

/// A figure as the language writes it.
pub(super) fn plain(words: Words) -> impl Fn(f64, usize) -> String {
    move |value, n_decimals| decimals(words, value, n_decimals)
}

/// The same with a plus or a minus.
pub(super) fn with_sign(words: Words) -> impl Fn(f64, usize) -> String {
    move |value, n_decimals| signed(words, value, n_decimals)
}
