//! Dates as people type them for a recording, by UTC: a part of ISO 8601. Pure.

/// Hour of a day that is given without one: at noon it is the same day nearly everywhere.
const NOON_H: i64 = 12;

/// Milliseconds since 1970 of "2026-11-20", "2026-11-20T17:30", or the same with seconds; a Z at the end changes nothing.
///
/// # Errors
/// A sentence that names the value.
pub(super) fn unix_ms(text: &str) -> Result<i64, String> {
    read(text.trim().trim_end_matches(['Z', 'z']))
        .ok_or_else(|| format!("\"{text}\" is no date like 2026-11-20 or 2026-11-20T17:30Z"))
}

fn read(text: &str) -> Option<i64> {
    let (date, time) = match text.split_once(['T', ' ']) {
        Some((date, time)) => (date, Some(time)),
        None => (text, None),
    };
    let [year, month, day] = numbers(date, '-', [4, 2, 2])?;
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let month_days = [31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let days_in_month = *month_days.get(usize::try_from(month - 1).ok()?)?;
    if !(1..=days_in_month).contains(&day) || !(1970..=9999).contains(&year) {
        return None;
    }
    let years = (1970..year)
        .map(|y| if y % 4 == 0 && (y % 100 != 0 || y % 400 == 0) { 366 } else { 365 })
        .sum::<i64>();
    let months: i64 = month_days[..usize::try_from(month - 1).ok()?].iter().sum();
    let [hour, minute, second] = match time {
        None => [NOON_H, 0, 0],
        Some(time) if time.len() == 5 => numbers(&format!("{time}:00"), ':', [2, 2, 2])?,
        Some(time) => numbers(time, ':', [2, 2, 2])?,
    };
    ((0..24).contains(&hour) && (0..60).contains(&minute) && (0..60).contains(&second))
        .then_some((((years + months + day - 1) * 24 + hour) * 60 + minute) * 60_000 + second * 1000)
}

/// Three numbers of so many figures.
fn numbers(text: &str, between: char, figures: [usize; 3]) -> Option<[i64; 3]> {
    let mut parts = text.split(between);
    let mut found = [0; 3];
    for (number, n_figures) in found.iter_mut().zip(figures) {
        let part = parts.next()?;
        if part.len() != n_figures || !part.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        *number = part.parse().ok()?;
    }
    parts.next().is_none().then_some(found)
}

#[cfg(test)]
mod tests {
    use super::unix_ms;

    #[test]
    fn dates_are_those_that_other_programs_give() {
        // By `date -u -d ... +%s` of GNU coreutils.
        for (text, unix_s) in [
            ("1970-01-01T00:00:00Z", 0),
            ("2000-02-29", 951_825_600),
            ("2026-11-25T23:55:09Z", 1_795_650_909),
            ("2026-11-20T17:30", 1_795_195_800),
            ("2100-03-01 00:00", 4_107_542_400),
        ] {
            assert_eq!(unix_ms(text), Ok(unix_s * 1000), "{text}");
        }
    }

    #[test]
    fn what_is_no_date_is_refused() {
        for text in [
            "",
            "yesterday",
            "2026-13-01",
            "2026-02-29",
            "20-11-2026",
            "2026-11-20T24:00",
            "2026-11-20T1:30",
            "2026-11-20-1",
        ] {
            assert!(unix_ms(text).unwrap_err().contains(text), "{text}");
        }
    }
}
