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

/// The same with milliseconds, such as "2026-11-25T23:28:00.250Z": nothing is lost.
pub(crate) fn to_the_ms(unix_ms: i64) -> String {
    let text = in_full(unix_ms);
    format!("{}.{:03}Z", text.trim_end_matches('Z'), unix_ms.rem_euclid(1000))
}

/// The same with microseconds, from microseconds since 1970.
pub(crate) fn to_the_us(unix_us: i64) -> String {
    let text = in_full(unix_us.div_euclid(1000));
    format!("{}.{:06}Z", text.trim_end_matches('Z'), unix_us.rem_euclid(1_000_000))
}

/// Days since 1970-01-01 of a date, the other way round.
fn days_of(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let month_from_march = (month + 9) % 12;
    let day_of_year = (153 * month_from_march + 2) / 5 + day - 1;
    let year_of_era = year.rem_euclid(400);
    era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719_468
}

/// Milliseconds since 1970 of a time as this program writes it: UTC with "Z", with or without a fraction of a second. `None` for
/// anything else, also a day that no month has.
pub(crate) fn unix_ms_of(text: &str) -> Option<i64> {
    let (date, rest) = text.strip_suffix('Z')?.split_once('T')?;
    let (time, fraction) = rest.split_once('.').unwrap_or((rest, "0"));
    let numbers = |text: &str, sign, lengths: [usize; 3]| -> Option<[i64; 3]> {
        let parts: Vec<&str> = text.split(sign).collect();
        let is_number =
            |(part, n): (&&str, usize)| part.len() == n && part.bytes().all(|b| b.is_ascii_digit());
        if parts.len() != 3 || !parts.iter().zip(lengths).all(is_number) {
            return None;
        }
        Some([parts[0].parse().ok()?, parts[1].parse().ok()?, parts[2].parse().ok()?])
    };
    let [year, month, day] = numbers(date, '-', [4, 2, 2])?;
    let [hour, minute, second] = numbers(time, ':', [2, 2, 2])?;
    let days = days_of(year, month, day);
    let is_there = civil(days) == (year, month, day) && hour < 24 && minute < 60 && second < 60;
    if !is_there || fraction.is_empty() || fraction.len() > 9 || !fraction.bytes().all(|b| b.is_ascii_digit())
    {
        return None;
    }
    let ms: i64 = format!("{fraction:0<3}")[..3].parse().ok()?;
    Some(days * DAY_MS + ((hour * 60 + minute) * 60 + second) * 1000 + ms)
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
            assert_eq!(unix_ms_of(full), Some(unix_s * 1000));
        }
    }

    #[test]
    fn times_come_back_to_the_millisecond() {
        // By Python 3.11: datetime.fromisoformat(...).timestamp().
        for (text, unix_ms) in [
            ("2026-11-25T23:55:09.250Z", 1_795_650_909_250),
            ("2000-02-29T12:00:00.007Z", 951_825_600_007),
            ("1969-12-31T23:59:59.999Z", -1),
        ] {
            assert_eq!((unix_ms_of(text), to_the_ms(unix_ms).as_str()), (Some(unix_ms), text));
        }
        assert_eq!(to_the_us(1_795_650_909_250_017), "2026-11-25T23:55:09.250017Z");
        for bad in [
            "2026-02-29T00:00:00Z",
            "2026-13-01T00:00:00Z",
            "2026-11-25T24:00:00Z",
            "2026-11-25T23:55:09",
            "2026-11-25 23:55:09Z",
            "2026-11-25T23:55:09.Z",
            "2026-11-25T23:55:09+01:00",
            "26-11-25T23:55:09Z",
            "",
        ] {
            assert_eq!(unix_ms_of(bad), None, "{bad}");
        }
    }
}
