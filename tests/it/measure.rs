//! `windrow measure` as a person or a script runs it: the program itself, on files of known sound.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_tests::flac_file::write_flac;
use windrow_tests::wave_file::{Encoding, write_wave};

/// Names of the fields that scripts rely on.
const FIELDS: [&str; 20] = [
    "file",
    "duration_s",
    "sample_rate_hz",
    "a4_hz",
    "note",
    "f0_hz",
    "centre_cents",
    "upper_cents",
    "pulse_rate_hz",
    "depth_db_pp",
    "swing_cents_pp",
    "evenness_cv",
    "drift_cents_per_10s",
    "pulse_times_s",
    "state",
    "trusted",
    "first_trusted_s",
    "microphone",
    "spans",
    "hairpin",
];

/// A directory for the files of one test.
pub(crate) fn dir(test: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("measure").join(test);
    std::fs::create_dir_all(&dir).unwrap();
    dir
}

pub(crate) fn measure(dir: &Path, arguments: &[&str]) -> Output {
    let program = env!("CARGO_BIN_EXE_windrow_under_test");
    Command::new(program).current_dir(dir).arg("measure").args(arguments).output().unwrap()
}

/// The objects printed, one a line.
pub(crate) fn json(output: &Output) -> Vec<Value> {
    let text = std::str::from_utf8(&output.stdout).unwrap();
    text.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}"))).collect()
}

pub(crate) fn number(record: &Value, field: &str) -> f64 {
    record[field].as_f64().unwrap_or_else(|| panic!("{field} of {record}"))
}

/// A tone that pulses by 6 dB and 10 cents, its first peak at 0.1 s.
pub(crate) fn pulsing(f0_hz: f64, rate_hz: f64) -> Pulsing {
    Pulsing {
        f0_hz,
        peak_gain: 0.4,
        rate_hz,
        depth_db: 6.0,
        swing_cents: 10.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    }
}

fn straight(f0_hz: f64) -> Pulsing {
    Pulsing { depth_db: 0.0, swing_cents: 0.0, rate_hz: 0.0, ..pulsing(f0_hz, 1.0) }
}

fn write_tone(path: &Path, sample_rate_hz: u32, seconds: f64, tone: Pulsing) {
    let samples = render(f64::from(sample_rate_hz), Timbre::falling(8), -66.0, 5, seconds, |t| tone.at(t));
    write_wave(path, sample_rate_hz, 1, Encoding::Int16, &samples);
}

/// From the contrabassoon's lowest note to the piccolo's highest (A4 = 440): name and frequency.
const RANGE: [(&str, f64); 11] = [
    ("A#0", 29.135),
    ("F1", 43.654),
    ("A#1", 58.270),
    ("C3", 130.813),
    ("A3", 220.0),
    ("C4", 261.626),
    ("F4", 349.228),
    ("A4", 440.0),
    ("C6", 1046.502),
    ("C7", 2093.005),
    ("C8", 4186.009),
];

#[test]
fn straight_tones_of_the_whole_range_are_found_and_not_called_vibrato() {
    let dir = dir("straight");
    let (mut files, mut worst) = (Vec::new(), 0f64);
    for (i, (name, f0_hz)) in RANGE.into_iter().enumerate() {
        // Off the note by some cents each, so that no table of notes could answer.
        let file = format!("{name}.wav").replace('#', "s");
        write_tone(&dir.join(&file), 44_100, 3.0, straight(f0_hz * (cents(i) / 1200.0).exp2()));
        files.push(file);
    }
    let mut arguments = vec!["--json"];
    arguments.extend(files.iter().map(String::as_str));
    let output = measure(&dir, &arguments);
    assert!(output.status.success());
    let records = json(&output);
    assert_eq!(records.len(), RANGE.len());
    for (i, (record, (name, _))) in records.iter().zip(RANGE).enumerate() {
        assert_eq!(record["note"], name, "{record}");
        assert_eq!(record["pulse_rate_hz"], Value::Null, "{record}");
        assert_eq!(record["trusted"], true, "{record}");
        worst = worst.max((number(record, "centre_cents") - cents(i)).abs());
    }
    // The first issue's budget for clean tones: 2 cents.
    assert!(worst < 2.0, "{worst} cents");
}

fn cents(i: usize) -> f64 {
    (i as f64 * 7.0) % 31.0 - 15.0
}

#[test]
fn pulsed_tones_of_the_whole_range_have_their_rate_depth_and_times() {
    let dir = dir("pulsed");
    let mut files = Vec::new();
    let rate = |i: usize| [3.3, 1.1, 5.5, 2.2, 4.4, 6.6][i % 6];
    for (i, (name, f0_hz)) in RANGE.into_iter().enumerate() {
        let file = format!("{name}.wav").replace('#', "s");
        write_tone(&dir.join(&file), 48_000, 6.0, pulsing(f0_hz * (cents(i) / 1200.0).exp2(), rate(i)));
        files.push(file);
    }
    let mut arguments = vec!["--json"];
    arguments.extend(files.iter().map(String::as_str));
    let records = json(&measure(&dir, &arguments));
    assert_eq!(records.len(), RANGE.len());
    for (i, (record, (name, _))) in records.iter().zip(RANGE).enumerate() {
        assert_eq!(record["note"], name, "{record}");
        let rate_error = number(record, "pulse_rate_hz") / rate(i) - 1.0;
        assert!(rate_error.abs() < 0.02, "{rate_error}: {record}");
        let cents_error = number(record, "centre_cents") - cents(i);
        assert!(cents_error.abs() < 2.0, "{cents_error}: {record}");
        let depth_error = number(record, "depth_db_pp") - 6.0;
        assert!(depth_error.abs() < 0.5, "{depth_error}: {record}");
        let times = record["pulse_times_s"].as_array().unwrap();
        assert!(times.len() as f64 > 0.7 * 6.0 * rate(i), "{} pulses: {record}", times.len());
        for time in times {
            let periods = (time.as_f64().unwrap() - 0.1) * rate(i);
            let error_ms = (periods - periods.round()).abs() / rate(i) * 1000.0;
            assert!(error_ms < 20.0, "a pulse {error_ms} ms off at {time}: {record}");
        }
    }
}

#[test]
fn every_promised_field_is_there_and_a_tempo_adds_two() {
    let dir = dir("fields");
    write_tone(&dir.join("triplets.wav"), 48_000, 6.0, pulsing(349.228, 3.3));
    let plain = &json(&measure(&dir, &["--json", "triplets.wav"]))[0];
    for field in FIELDS {
        assert!(plain.get(field).is_some(), "{field}: {plain}");
    }
    assert_eq!((plain["file"].as_str(), number(plain, "sample_rate_hz")), (Some("triplets.wav"), 48_000.0));
    assert!(plain.get("timing_ms").is_none() && plain.get("track").is_none(), "{plain}");
    assert_eq!(
        plain["microphone"],
        serde_json::json!({"clipped_share": 0.0, "band_hz": null, "gain_riding": false})
    );
    assert!((number(plain, "duration_s") - 6.0).abs() < 1e-3);
    assert!(number(plain, "first_trusted_s") < 2.5, "{plain}");

    // Triplets at 66 whose peaks lie 40 ms after the ticks.
    let late = ["--json", "--tempo", "66", "--pulses-per-beat", "3", "--beat-at", "0.06", "triplets.wav"];
    let late = &json(&measure(&dir, &late))[0];
    assert!((number(late, "timing_ms") - 40.0).abs() < 10.0, "{late}");
    assert!(number(late, "spread") < 10.0, "{late}");
    // As eighths at 120 they would be four a second.
    let slow =
        &json(&measure(&dir, &["--json", "--tempo", "120", "--pulses-per-beat", "2", "triplets.wav"]))[0];
    assert_eq!(slow["state"], "slow", "{slow}");
    let other = &json(&measure(&dir, &["--json", "--a4", "442", "--expect", "E4", "triplets.wav"]))[0];
    assert_eq!((other["note"].as_str(), number(other, "a4_hz")), (Some("E4"), 442.0));
    // A semitone above E4, less the 7.851 cents between 440 and 442 Hz.
    assert!((number(other, "centre_cents") - 92.15).abs() < 2.0, "{other}");
}

#[test]
fn a_bad_microphone_is_told_and_depth_is_not_judged_by_it() {
    let dir = dir("microphone");
    // Pulses of 6 dB, 12 dB over full scale at their tops: the ceiling leaves hardly any depth.
    let loud = Pulsing { peak_gain: 4.0, ..pulsing(349.228, 4.0) };
    write_tone(&dir.join("loud.wav"), 48_000, 5.0, loud);
    write_tone(&dir.join("headset.wav"), 16_000, 5.0, pulsing(349.228, 4.0));
    let output = measure(&dir, &["--json", "loud.wav", "headset.wav"]);
    let [loud, headset] = &json(&output)[..] else { panic!("two records are due") };
    assert!(loud["microphone"]["clipped_share"].as_f64().unwrap() > 0.1, "{loud}");
    assert!(number(loud, "depth_db_pp") < 3.0 && loud["state"] == "matched", "{loud}");
    assert_eq!(headset["microphone"]["band_hz"], 8_000.0, "{headset}");
    let table = measure(&dir, &["loud.wav", "headset.wav"]);
    let table = String::from_utf8(table.stdout).unwrap();
    assert!(table.contains("clips") && table.contains("ends at 8 kHz"), "{table}");
}

#[test]
fn what_cannot_be_read_gets_one_line_each_and_the_rest_is_measured() {
    let dir = dir("errors");
    write_tone(&dir.join("good.wav"), 22_050, 3.0, straight(440.0));
    std::fs::write(dir.join("empty.wav"), b"").unwrap();
    std::fs::write(dir.join("words.wav"), "Long notes, then triplets.\n".repeat(200)).unwrap();
    write_wave(&dir.join("nothing.wav"), 48_000, 1, Encoding::Int16, &[]);
    let bad = ["missing.wav", "empty.wav", "words.wav", "nothing.wav", "."];
    let mut arguments =
        vec!["--json", "missing.wav", "empty.wav", "good.wav", "words.wav", "nothing.wav", "."];
    let output = measure(&dir, &arguments);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr.clone()).unwrap();
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), bad.len(), "{said}");
    for (line, file) in lines.iter().zip(bad) {
        assert!(line.contains(file) && line.len() > file.len() + 15, "{file}: {line}");
    }
    assert!(!said.contains("panicked") && !said.contains("Error {"), "{said}");
    let records = json(&output);
    assert_eq!(records.len(), 1);
    assert_eq!((records[0]["file"].as_str(), records[0]["note"].as_str()), (Some("good.wav"), Some("A4")));

    // The table for people does the same.
    arguments.remove(0);
    let output = measure(&dir, &arguments);
    assert_eq!(output.status.code(), Some(1));
    let table = String::from_utf8(output.stdout).unwrap();
    assert!(table.contains("good.wav") && table.contains("A4") && table.contains("straight"), "{table}");
}

#[test]
fn settings_out_of_range_are_refused_with_their_value() {
    let dir = dir("settings");
    write_tone(&dir.join("tone.wav"), 22_050, 1.0, straight(440.0));
    for (arguments, value) in [
        (["--a4", "500", "tone.wav"], "500"),
        (["--expect", "H4", "tone.wav"], "H4"),
        (["--tempo", "10", "tone.wav"], "10"),
        (["--pulses-per-beat", "9", "tone.wav"], "9"),
    ] {
        let output = measure(&dir, &arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains(value) && said.contains(arguments[0]), "{said}");
    }
}

#[test]
fn rates_widths_and_channels_do_not_change_what_is_heard() {
    let dir = dir("formats");
    let tone = pulsing(440.0, 4.0);
    let samples =
        |rate_hz: u32| render(f64::from(rate_hz), Timbre::falling(6), -70.0, 9, 4.0, |t| tone.at(t));
    let twice = |mono: &[f32]| mono.iter().flat_map(|&x| [x, x]).collect::<Vec<f32>>();
    write_wave(&dir.join("16.wav"), 44_100, 1, Encoding::Int16, &samples(44_100));
    write_wave(&dir.join("24.wav"), 96_000, 1, Encoding::Int24, &samples(96_000));
    write_wave(&dir.join("float.wav"), 16_000, 1, Encoding::Float32, &samples(16_000));
    write_wave(&dir.join("stereo.wav"), 48_000, 2, Encoding::Int16, &twice(&samples(48_000)));
    write_flac(&dir.join("mono.flac"), 44_100, &samples(44_100));
    let output = measure(&dir, &["--json", "16.wav", "24.wav", "float.wav", "stereo.wav", "mono.flac"]);
    let records = json(&output);
    assert_eq!(records.len(), 5, "{}", String::from_utf8_lossy(&output.stderr));
    for record in &records {
        assert_eq!(record["note"], "A4", "{record}");
        assert!((number(record, "pulse_rate_hz") - 4.0).abs() < 0.04, "{record}");
        assert!(number(record, "centre_cents").abs() < 1.0, "{record}");
        assert!((number(record, "depth_db_pp") - 6.0).abs() < 0.4, "{record}");
        assert!((number(record, "duration_s") - 4.0).abs() < 0.001, "{record}");
    }
}

#[test]
fn each_file_gets_its_picture() {
    let dir = dir("plot");
    write_tone(&dir.join("one.wav"), 44_100, 3.0, pulsing(440.0, 3.0));
    write_tone(&dir.join("two.wav"), 44_100, 3.0, straight(220.0));
    assert!(measure(&dir, &["--plot", "single.svg", "one.wav"]).status.success());
    assert!(measure(&dir, &["--plot", "both.svg", "one.wav", "two.wav"]).status.success());
    for picture in ["single.svg", "both-1.svg", "both-2.svg"] {
        let svg = std::fs::read_to_string(dir.join(picture)).unwrap();
        assert!(svg.starts_with("<svg") || svg.starts_with("<?xml"), "{picture}");
        assert!(
            svg.trim_end().ends_with("</svg>") && !svg.contains("NaN") && !svg.contains("inf"),
            "{picture}"
        );
    }
}
