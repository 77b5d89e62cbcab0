//! Results as a table for people. Must not know how anything was measured.

use super::record::Record;

/// Stands where a value cannot be told.
const NONE: &str = "-";

/// A header line and one line a file, columns wide enough for what they hold.
pub(super) fn table(records: &[Record]) -> String {
    let with_beat = records.iter().any(|r| r.against_the_beat.is_some());
    let mut head =
        vec!["file", "note", "centre", "pulses", "depth", "swing", "evenness", "drift in 10 s", "state"];
    if with_beat {
        head.extend(["timing", "spread"]);
    }
    let mut rows: Vec<Vec<String>> = vec![head.into_iter().map(str::to_owned).collect()];
    rows.extend(records.iter().map(|r| row(r, with_beat)));
    let n_columns = rows[0].len();
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..n_columns).map(width).collect();
    rows.iter().map(|row| line(row, &widths)).collect()
}

fn row(r: &Record, with_beat: bool) -> Vec<String> {
    let text = |value: Option<f64>, digits: usize, sign: bool, unit: &str| match value {
        None => NONE.to_owned(),
        Some(v) if sign => format!("{v:+.digits$}{unit}"),
        Some(v) => format!("{v:.digits$}{unit}"),
    };
    let mut row = vec![
        r.file.clone(),
        r.note.clone().unwrap_or_else(|| NONE.to_owned()),
        text(r.centre_cents, 1, true, " cents"),
        text(r.pulse_rate_hz, 2, false, " Hz"),
        text(r.depth_db_pp, 1, false, " dB"),
        text(r.swing_cents_pp, 0, false, " cents"),
        text(r.evenness_cv.map(|cv| 100.0 * cv), 0, false, " %"),
        text(r.drift_cents_per_10s, 1, true, " cents"),
        r.state.to_owned(),
    ];
    if with_beat {
        let beat = r.against_the_beat.as_ref();
        row.push(text(beat.and_then(|b| b.timing_ms), 0, true, " ms"));
        row.push(text(beat.and_then(|b| b.spread), 0, false, " ms"));
    }
    row
}

/// Two spaces between columns, none at the end.
fn line(row: &[String], widths: &[usize]) -> String {
    let cells: Vec<String> = row.iter().zip(widths).map(|(cell, &width)| format!("{cell:<width$}")).collect();
    format!("{}\n", cells.join("  ").trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::measure::record::AgainstTheBeat;

    fn record(file: &str, pulse_rate_hz: Option<f64>) -> Record {
        Record {
            file: file.to_owned(),
            duration_s: 2.0,
            sample_rate_hz: 48_000,
            a4_hz: 440.0,
            note: Some("F#4".to_owned()),
            f0_hz: Some(370.0),
            centre_cents: Some(4.25),
            pulse_rate_hz,
            depth_db_pp: pulse_rate_hz.map(|_| 6.04),
            swing_cents_pp: pulse_rate_hz.map(|_| 12.3),
            evenness_cv: None,
            drift_cents_per_10s: Some(-0.2),
            pulse_times_s: Vec::new(),
            state: "matched",
            trusted: true,
            first_trusted_s: Some(0.5),
            against_the_beat: None,
        }
    }

    #[test]
    fn columns_line_up_whatever_they_hold() {
        let table = table(&[record("übung.wav", Some(5.0)), record("a.flac", None)]);
        assert_eq!(
            table,
            "file       note  centre      pulses   depth   swing     evenness  drift in 10 s  state\n\
             übung.wav  F#4   +4.2 cents  5.00 Hz  6.0 dB  12 cents  -         -0.2 cents     matched\n\
             a.flac     F#4   +4.2 cents  -        -       -         -         -0.2 cents     matched\n"
        );
    }

    #[test]
    fn a_tempo_adds_timing_and_spread() {
        let mut record = record("a.wav", Some(5.0));
        record.against_the_beat = Some(AgainstTheBeat { timing_ms: Some(-12.4), spread: None });
        let table = table(&[record]);
        assert!(table.lines().next().unwrap().ends_with("timing  spread"), "{table}");
        assert!(table.lines().nth(1).unwrap().ends_with("-12 ms  -"), "{table}");
    }
}
