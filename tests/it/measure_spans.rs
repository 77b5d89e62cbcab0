//! What `windrow measure --json` says of a file in parts: its spans, its hairpin, its track.

use crate::measure::{dir, json, measure, number};
use serde_json::Value;
use std::f64::consts::TAU;
use windrow_analysis::signals::{Moment, Timbre, render};
use windrow_tests::wave_file::{Encoding, write_wave};

const RATE_HZ: u32 = 44_100;

/// Pulses of a rate, depth (dB) and loudness (dB under full) that follow curves of time.
fn write_pulses(
    path: &std::path::Path,
    seconds: f64,
    f0_hz: impl Fn(f64) -> f64,
    rate_hz: impl Fn(f64) -> f64,
    depth_db: impl Fn(f64) -> f64,
    loudness_db: impl Fn(f64) -> f64,
) {
    let (mut phase, mut last_s) = (0.0, 0.0);
    let samples = render(f64::from(RATE_HZ), Timbre::falling(8), -70.0, 3, seconds, |t| {
        phase += (t - last_s) * rate_hz((t + last_s) / 2.0);
        last_s = t;
        let wave = (TAU * phase).cos();
        let db = loudness_db(t) + depth_db(t) / 2.0 * wave;
        Moment { f0_hz: f0_hz(t) * (depth_db(t) * wave / 1200.0).exp2(), gain: 10f64.powf(db / 20.0) }
    });
    write_wave(path, RATE_HZ, 1, Encoding::Int16, &samples);
}

fn spans(record: &Value) -> &Vec<Value> {
    record["spans"].as_array().unwrap_or_else(|| panic!("no spans: {record}"))
}

#[test]
fn spans_tell_of_every_note_and_of_every_subdivision() {
    let dir = dir("spans");
    // F4 in eighths and triplets at 60, four beats of each, a second of silence, A4 straight for three.
    let f0_hz = |t: f64| if t < 8.5 { 349.228 } else { 440.0 };
    let rate_hz = |t: f64| if t < 4.0 { 2.0 } else { 3.0 };
    let depth_db = |t: f64| if t < 8.5 { 6.0 } else { 0.0 };
    let loudness_db = |t: f64| if (8.0..9.0).contains(&t) { -300.0 } else { -12.0 };
    write_pulses(&dir.join("notes.wav"), 12.0, f0_hz, rate_hz, depth_db, loudness_db);
    let tempo = ["--json", "--tempo", "60", "--pulses-per-beat", "2", "notes.wav"];
    let record = &json(&measure(&dir, &tempo))[0];
    let truth = [
        (0.0, 4.0, "pulsed", "F4", Some(2.0), Value::from(2)),
        (4.0, 8.0, "pulsed", "F4", Some(3.0), Value::from(3)),
        (9.0, 12.0, "straight", "A4", None, Value::Null),
    ];
    assert_eq!(spans(record).len(), truth.len(), "{record}");
    for (span, (start_s, end_s, kind, note, rate_hz, per_beat)) in spans(record).iter().zip(truth) {
        // To about a pulse.
        assert!((number(span, "start_s") - start_s).abs() < 0.3, "{span}");
        assert!((number(span, "end_s") - end_s).abs() < 0.3, "{span}");
        assert_eq!((&span["kind"], &span["note"]), (&Value::from(kind), &Value::from(note)));
        assert_eq!(span["pulses_per_beat"], per_beat, "{span}");
        assert!(number(span, "centre_cents").abs() < 1.0, "{span}");
        match rate_hz {
            Some(rate_hz) => {
                assert!((number(span, "pulse_rate_hz") / rate_hz - 1.0).abs() < 0.02, "{span}");
                assert!((number(span, "depth_db_pp") - 6.0).abs() < 0.3, "{span}");
                // Each dB of depth comes with two cents of swing.
                assert!((number(span, "swing_cents_pp") - 12.0).abs() < 1.0, "{span}");
            }
            None => assert_eq!(span["pulse_rate_hz"], Value::Null, "{span}"),
        }
    }
    assert_eq!(record["hairpin"], Value::Null, "the loudness stays: {record}");
    let untimed = &json(&measure(&dir, &["--json", "notes.wav"]))[0];
    assert!(spans(untimed)[0].get("pulses_per_beat").is_none(), "{untimed}");

    let table = String::from_utf8(measure(&dir, &["notes.wav"]).stdout).unwrap();
    // The file and its head, an empty line, the spans and theirs.
    assert_eq!(table.lines().count(), 7, "{table}");
}

#[test]
fn an_ease_and_a_hairpin_are_told() {
    let dir = dir("hairpin");
    let ramp = |t: f64| ((t - 3.0) / 2.0).clamp(0.0, 1.0);
    write_pulses(&dir.join("ease.wav"), 8.0, |_| 440.0, |_| 5.0, |t| 6.0 * ramp(t), |_| -12.0);
    let way = |t: f64| 1.0 - (t - 5.0).abs() / 5.0;
    write_pulses(
        &dir.join("hairpin.wav"),
        10.0,
        |_| 440.0,
        |t| 4.0 + 2.0 * way(t),
        |t| 2.0 + 6.0 * way(t),
        |t| 12.0 * way(t) - 20.0,
    );
    let records = json(&measure(&dir, &["--json", "ease.wav", "hairpin.wav"]));
    let kinds = |record: &Value| -> Vec<String> {
        spans(record).iter().map(|s| s["kind"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(kinds(&records[0]), ["straight", "growing", "pulsed"]);
    let ease = &spans(&records[0])[1]["ease"];
    // From 10 % to 90 % of a straight ramp of two seconds.
    assert!((number(ease, "time_s") - 1.6).abs() < 0.1 && ease["abrupt"] == false, "{ease}");
    assert_eq!(kinds(&records[1]), ["growing", "shrinking"]);
    let hairpin = &records[1]["hairpin"];
    assert!(number(hairpin, "rate_correlation") > 0.98, "{hairpin}");
    assert!(number(hairpin, "depth_correlation") > 0.98, "{hairpin}");
    for turn in ["loudness_turn_s", "rate_turn_s", "depth_turn_s"] {
        assert!((number(hairpin, turn) - 5.0).abs() < 0.1, "{turn}: {hairpin}");
    }
}

#[test]
fn a_track_has_a_row_each_tenth_of_a_second() {
    let dir = dir("track");
    // A4 with a step of the loudness, ten cents sharp, silent in the last second.
    let loudness_db = |t: f64| {
        if t < 3.0 {
            -12.0
        } else if t < 5.0 {
            -18.0
        } else {
            -300.0
        }
    };
    let f0_hz = 440.0 * (10f64 / 1200.0).exp2();
    write_pulses(
        &dir.join("steps.wav"),
        6.04,
        |_| f0_hz,
        |_| 4.0,
        |t| if t < 3.0 { 4.0 } else { 0.0 },
        loudness_db,
    );
    let record = &json(&measure(&dir, &["--json", "--track", "steps.wav"]))[0];
    let rows = record["track"].as_array().unwrap_or_else(|| panic!("no track: {record}"));
    assert_eq!(rows.len(), 61);
    for (i, row) in rows.iter().enumerate() {
        assert_eq!(row.as_array().map(Vec::len), Some(4), "{row}");
        assert_eq!(row[0].to_string(), format!("{:.1}", i as f64 / 10.0), "{row}");
    }
    // A tone of gain 1 has a power of one half: -3.01 dB. Pulses of 4 dB and 8 cents around it.
    let value = |row: &Value, column: usize| row[column].as_f64().unwrap_or_else(|| panic!("{row}"));
    for row in &rows[5..28] {
        assert!((value(row, 1) + 15.01).abs() < 2.5 && (value(row, 2) - 10.0).abs() < 5.0, "{row}");
    }
    for row in &rows[15..28] {
        assert!((value(row, 3) - 4.0).abs() < 0.1, "{row}");
    }
    for row in &rows[33..48] {
        assert!((value(row, 1) + 21.01).abs() < 0.3 && (value(row, 2) - 10.0).abs() < 0.5, "{row}");
    }
    for row in &rows[56..60] {
        assert!(row[2].is_null() && row[3].is_null() && value(row, 1) < -60.0, "{row}");
    }
    let refused = measure(&dir, &["--track", "steps.wav"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8(refused.stderr).unwrap().contains("--json"));
}
