//! Dates as files and scripts take them, from milliseconds since 1970, by UTC: this program knows no time zones.

/// One day, ms.
pub(crate) const DAY_MS: i64 = 86_400_000;

/// Year, month from 1, day, of days since 1970-01-01; the usual conversion by eras of 400 years counted from March.
pub(crate) fn civil(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let day_of_era = shifted.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year, month, day)
}

/// Such as "2026-11-25T23:28:00Z" (RFC 3339).
pub(crate) fn in_full(unix_ms: i64) -> String {
    let (year, month, day) = civil(unix_ms.div_euclid(DAY_MS));
    let second = unix_ms.rem_euclid(DAY_MS) / 1000;
    let (hour, minute) = (second / 3600, second / 60 % 60);
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{:02}Z", second % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_those_that_other_programs_give() {
        // By `date -u -d @...` of GNU coreutils.
        for (unix_s, full) in [
            (0, "1970-01-01T00:00:00Z"),
            (951_782_399, "2000-02-28T23:59:59Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (1_795_650_909, "2026-11-25T23:55:09Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
        ] {
            assert_eq!(in_full(unix_s * 1000), full);
        }
    }
}
