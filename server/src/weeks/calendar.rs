//! Weeks as ISO 8601 counts them: from Monday, week 1 is that with the year's first Thursday. Of UTC's dates, since this
//! program knows no time zones: who rehearses around midnight UTC may find Monday's first hours in the week before. Pure.

use crate::roster::dates::{DAY_MS, civil};
use serde::Serialize;

/// Days of a week.
const WEEK_DAYS: i64 = 7;
/// 1970-01-01 was a Thursday: three days after a Monday.
const FIRST_MONDAY_BEFORE: i64 = 3;

/// A week, as the number of weeks since that of 1970-01-01, so that weeks can be counted from one to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub(crate) struct IsoWeek(i64);

impl IsoWeek {
    /// The one in which a moment lies.
    pub(crate) fn of_unix_ms(unix_ms: i64) -> Self {
        Self((unix_ms.div_euclid(DAY_MS) + FIRST_MONDAY_BEFORE).div_euclid(WEEK_DAYS))
    }

    /// Days from 1970-01-01 to its Monday.
    fn monday(self) -> i64 {
        self.0 * WEEK_DAYS - FIRST_MONDAY_BEFORE
    }

    /// When it begins.
    pub(crate) fn begins_unix_ms(self) -> i64 {
        self.monday() * DAY_MS
    }

    /// The year it is counted in, and its number there, 1 to 53.
    pub(crate) fn year_and_number(self) -> (i64, i64) {
        let thursday = self.monday() + 3;
        let (year, _, _) = civil(thursday);
        // One more than there are Thursdays of the same year before it.
        let mut number = 1;
        while civil(thursday - number * WEEK_DAYS).0 == year {
            number += 1;
        }
        (year, number)
    }

    /// Such as "2026-W48".
    pub(crate) fn in_full(self) -> String {
        let (year, number) = self.year_and_number();
        format!("{year:04}-W{number:02}")
    }

    /// Year, month and day of its Monday.
    pub(crate) fn monday_date(self) -> (i64, i64, i64) {
        civil(self.monday())
    }

    /// So many weeks on; back where that is negative.
    pub(crate) fn plus(self, n_weeks: i64) -> Self {
        Self(self.0 + n_weeks)
    }

    /// Weeks since another one.
    pub(crate) fn since(self, earlier: Self) -> i64 {
        self.0 - earlier.0
    }
}

#[cfg(test)]
#[path = "calendar_tests.rs"]
mod tests;
