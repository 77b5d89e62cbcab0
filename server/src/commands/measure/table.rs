//! Results as a table for people. Must not know how anything was measured.

use super::record::Record;
use crate::commands::columns::{columns, quantity, signed};

/// A header line and one line a file; then, for each file of several spans, a line for each of them.
pub(super) fn table(records: &[Record]) -> String {
    let with_beat = records.iter().any(|r| r.against_the_beat.is_some());
    let mut head =
        vec!["file", "note", "centre", "pulses", "depth", "swing", "evenness", "drift in 10 s", "state"];
    if with_beat {
        head.extend(["timing", "spread"]);
    }
    let with_microphone = records.iter().any(|r| !r.microphone.in_words().is_empty());
    if with_microphone {
        head.push("microphone");
    }
    let mut rows: Vec<Vec<String>> = vec![head.into_iter().map(str::to_owned).collect()];
    rows.extend(records.iter().map(|r| row(r, with_beat, with_microphone)));
    let mut table = columns(&rows);
    for record in records.iter().filter(|r| r.spans.len() > 1) {
        table.push('\n');
        table.push_str(&span_table(record));
    }
    table
}

fn span_table(record: &Record) -> String {
    let head = ["note", "span", "centre", "pulses", "depth", "swing", "eased over"];
    let mut rows = vec![vec![record.file.clone()]];
    rows[0].extend(head.map(str::to_owned));
    rows.extend(record.spans.iter().map(|s| {
        vec![
            format!("{:.1} to {:.1} s", s.start_s, s.end_s),
            s.note.clone().unwrap_or_else(|| "-".to_owned()),
            s.kind.to_owned(),
            signed(s.centre_cents, 1, "cents"),
            quantity(s.pulse_rate_hz, 2, "Hz"),
            quantity(s.depth_db_pp, 1, "dB"),
            quantity(s.swing_cents_pp, 0, "cents"),
            match &s.ease {
                Some(ease) if ease.abrupt => "abrupt".to_owned(),
                ease => quantity(ease.as_ref().map(|e| e.time_s), 1, "s"),
            },
        ]
    }));
    columns(&rows)
}

fn row(r: &Record, with_beat: bool, with_microphone: bool) -> Vec<String> {
    let mut row = vec![
        r.file.clone(),
        r.note.clone().unwrap_or_else(|| "-".to_owned()),
        signed(r.centre_cents, 1, "cents"),
        quantity(r.pulse_rate_hz, 2, "Hz"),
        quantity(r.depth_db_pp, 1, "dB"),
        quantity(r.swing_cents_pp, 0, "cents"),
        quantity(r.evenness_cv.map(|cv| 100.0 * cv), 0, "%"),
        signed(r.drift_cents_per_10s, 1, "cents"),
        r.state.to_owned(),
    ];
    if with_beat {
        let beat = r.against_the_beat.as_ref();
        row.push(signed(beat.and_then(|b| b.timing_ms), 0, "ms"));
        row.push(quantity(beat.and_then(|b| b.spread), 0, "ms"));
    }
    if with_microphone {
        row.push(r.microphone.in_words());
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::measure::record::{AgainstTheBeat, Microphone};
    use crate::commands::measure::span_record::{EaseRecord, SpanRecord};

    fn record(file: &str, pulse_rate_hz: Option<f64>) -> Record {
        Record {
            file: file.to_owned(),
            duration_s: 2.0,
            sample_rate_hz: 48_000,
            a4_hz: 440.0,
            note: Some("F#4".to_owned()),
            f0_hz: Some(370.0),
            centre_cents: Some(4.25),
            upper_cents: pulse_rate_hz.map(|_| 10.4),
            pulse_rate_hz,
            depth_db_pp: pulse_rate_hz.map(|_| 6.04),
            swing_cents_pp: pulse_rate_hz.map(|_| 12.3),
            evenness_cv: None,
            drift_cents_per_10s: Some(-0.2),
            pulse_times_s: Vec::new(),
            state: "matched",
            trusted: true,
            first_trusted_s: Some(0.5),
            microphone: Microphone { clipped_share: 0.0, clips: false, band_hz: None, gain_riding: false },
            against_the_beat: None,
            spans: Vec::new(),
            hairpin: None,
            track: None,
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
    fn a_microphone_that_changes_the_sound_gets_a_column() {
        let mut bad = record("bad.wav", Some(5.0));
        bad.microphone =
            Microphone { clipped_share: 0.02, clips: true, band_hz: Some(8_000.0), gain_riding: true };
        let table = table(&[bad, record("good.wav", None)]);
        let lines: Vec<&str> = table.lines().collect();
        assert!(lines[0].ends_with("  microphone"), "{table}");
        assert!(lines[1].ends_with("  clips, ends at 8 kHz, gain rides"), "{table}");
        assert!(lines[2].trim_end().ends_with("matched"), "{table}");
    }

    #[test]
    fn a_tempo_adds_timing_and_spread() {
        let mut record = record("a.wav", Some(5.0));
        record.against_the_beat = Some(AgainstTheBeat { timing_ms: Some(-12.4), spread: None });
        let table = table(&[record]);
        assert!(table.lines().next().unwrap().ends_with("timing  spread"), "{table}");
        assert!(table.lines().nth(1).unwrap().ends_with("-12 ms  -"), "{table}");
    }

    #[test]
    fn a_file_of_several_spans_has_a_line_for_each() {
        let mut record = record("a.wav", Some(5.0));
        let straight = SpanRecord {
            start_s: 0.05,
            end_s: 2.98,
            kind: "straight",
            note: Some("F#4".to_owned()),
            centre_cents: Some(4.25),
            n_pulses: 0,
            pulse_rate_hz: None,
            depth_db_pp: None,
            swing_cents_pp: None,
            ease: None,
            pulses_per_beat: None,
        };
        record.spans = vec![straight.clone()];
        assert_eq!(table(&[record.clone()]).lines().count(), 2, "one span says nothing new");
        let ease = Some(EaseRecord { time_s: 1.61, abrupt: false });
        let rate = (Some(5.0), Some(3.1), Some(12.0));
        let (pulse_rate_hz, depth_db_pp, swing_cents_pp) = rate;
        let growing = SpanRecord {
            start_s: 2.98,
            end_s: 5.0,
            kind: "growing",
            n_pulses: 10,
            pulse_rate_hz,
            depth_db_pp,
            swing_cents_pp,
            ease,
            ..straight.clone()
        };
        record.spans = vec![straight, growing];
        let table = table(&[record]);
        assert!(
            table.ends_with(
                "\n\
                 a.wav         note  span      centre      pulses   depth   swing     eased over\n\
                 0.1 to 3.0 s  F#4   straight  +4.2 cents  -        -       -         -\n\
                 3.0 to 5.0 s  F#4   growing   +4.2 cents  5.00 Hz  3.1 dB  12 cents  1.6 s\n"
            ),
            "{table}"
        );
    }
}
