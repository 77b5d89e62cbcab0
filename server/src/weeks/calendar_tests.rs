//! Weeks against Python's `datetime.date.isocalendar` (3.11), years of 53 weeks among them, and against ISO 8601's rule itself.

use super::*;

/// A date, days since 1970, the ISO year and week, the Monday of that week.
type Known = (&'static str, i64, i64, i64, (i64, i64, i64));

/// By `tests/reference/week_statistics.py`.
#[rustfmt::skip]
const DATES: [Known; 26] = [
    ("1969-12-28", -4, 1969, 52, (1969, 12, 22)),
    ("1970-01-01", 0, 1970, 1, (1969, 12, 29)),
    ("1976-12-31", 2556, 1976, 53, (1976, 12, 27)),
    ("1977-01-02", 2558, 1976, 53, (1976, 12, 27)),
    ("1977-01-03", 2559, 1977, 1, (1977, 1, 3)),
    ("1999-12-31", 10956, 1999, 52, (1999, 12, 27)),
    ("2000-01-03", 10959, 2000, 1, (2000, 1, 3)),
    ("2004-12-31", 12783, 2004, 53, (2004, 12, 27)),
    ("2005-01-01", 12784, 2004, 53, (2004, 12, 27)),
    ("2009-12-31", 14609, 2009, 53, (2009, 12, 28)),
    ("2010-01-03", 14612, 2009, 53, (2009, 12, 28)),
    ("2015-12-31", 16800, 2015, 53, (2015, 12, 28)),
    ("2016-01-03", 16803, 2015, 53, (2015, 12, 28)),
    ("2016-01-04", 16804, 2016, 1, (2016, 1, 4)),
    ("2020-02-29", 18321, 2020, 9, (2020, 2, 24)),
    ("2020-12-28", 18624, 2020, 53, (2020, 12, 28)),
    ("2021-01-03", 18630, 2020, 53, (2020, 12, 28)),
    ("2021-01-04", 18631, 2021, 1, (2021, 1, 4)),
    ("2024-12-30", 20087, 2025, 1, (2024, 12, 30)),
    ("2026-01-01", 20454, 2026, 1, (2025, 12, 29)),
    ("2026-11-26", 20783, 2026, 48, (2026, 11, 23)),
    ("2026-12-31", 20818, 2026, 53, (2026, 12, 28)),
    ("2027-01-03", 20821, 2026, 53, (2026, 12, 28)),
    ("2027-01-04", 20822, 2027, 1, (2027, 1, 4)),
    ("2032-12-31", 23010, 2032, 53, (2032, 12, 27)),
    ("2100-02-28", 47540, 2100, 8, (2100, 2, 22)),
];

#[test]
fn weeks_are_those_of_another_program() {
    for (date, days, year, number, monday) in DATES {
        for ms in [0, DAY_MS - 1] {
            let week = IsoWeek::of_unix_ms(days * DAY_MS + ms);
            assert_eq!(week.year_and_number(), (year, number), "{date}");
            assert_eq!(week.monday_date(), monday, "{date}");
        }
    }
    assert_eq!(IsoWeek::of_unix_ms(20_783 * DAY_MS).in_full(), "2026-W48");
    assert_eq!(IsoWeek::of_unix_ms(0).in_full(), "1970-W01");
}

#[test]
fn a_years_first_week_has_its_fourth_of_january() {
    // ISO 8601: the week with the first Thursday is the one with 4 January. Four hundred years, after which dates repeat.
    let fourths = (0..146_097).filter(|&day| {
        let (_, month, day) = civil(day);
        (month, day) == (1, 4)
    });
    let mut n_years = 0;
    for day in fourths {
        let week = IsoWeek::of_unix_ms(day * DAY_MS);
        assert_eq!(week.year_and_number(), (civil(day).0, 1));
        assert!(matches!(week.plus(-1).year_and_number().1, 52 | 53));
        n_years += 1;
    }
    assert_eq!(n_years, 400);
}

#[test]
fn weeks_follow_one_another_without_a_gap() {
    let first = IsoWeek::of_unix_ms(0);
    assert_eq!(first.plus(1).begins_unix_ms() - first.begins_unix_ms(), 7 * DAY_MS);
    assert_eq!(first.plus(53).since(first), 53);
    let monday = first.plus(100).begins_unix_ms();
    assert_eq!(
        (IsoWeek::of_unix_ms(monday), IsoWeek::of_unix_ms(monday - 1)),
        (first.plus(100), first.plus(99))
    );
}
