//! `windrow measure --session` as a teacher runs it: recordings of known sound added to a player's records while the server runs. What the
//! sound is follows from a formula (`measure::pulsing`, or the head of `measure_mp3`).

use super::measure::{dir, measure, pulsing};
use std::path::Path;
use std::process::Output;
use windrow::store::{PersonFields, SessionKind, Store, StretchRow};
use windrow_analysis::signals::{Timbre, render};
use windrow_tests::TestServer;
use windrow_tests::flac_file::write_flac;
use windrow_tests::wave_file::{Encoding, write_wave};

const SECTION: &str = "Larkmoor Youth Winds";
/// Triplets at 66 are 3.3 pulses a second.
const TRIPLETS: [&str; 4] = ["--tempo", "66", "--pulses-per-beat", "3"];

/// F4 with 3.3 pulses a second of 6 dB and 10 cents, the first peak at 0.1 s.
fn tone(sample_rate_hz: u32, seconds: f64) -> Vec<f32> {
    let tone = pulsing(349.228, 3.3);
    render(f64::from(sample_rate_hz), Timbre::falling(8), -66.0, 5, seconds, |t| tone.at(t))
}

async fn add_people(data_dir: &Path, people: &[(&str, &str, &str)]) {
    let store = Store::open(data_dir).await.unwrap();
    let row = |&(section, name, instrument): &(&str, &str, &str)| {
        let fields =
            PersonFields { name: name.to_owned(), instrument: instrument.to_owned(), part: String::new() };
        (section.to_owned(), fields)
    };
    store.import_people(&people.iter().map(row).collect::<Vec<_>>()).await.unwrap();
    store.close().await;
}

fn session(files: &Path, data_dir: &Path, arguments: &[&str]) -> Output {
    let data = ["--session", "--data", data_dir.to_str().unwrap(), "--at", "2026-11-20T17:30Z"];
    measure(files, &[&data, arguments].concat())
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// What was added, the oldest first.
async fn added(data_dir: &Path) -> Vec<StretchRow> {
    let store = Store::open(data_dir).await.unwrap();
    let rows = store.stretches_of_section(SECTION, 0).await.unwrap();
    store.close().await;
    assert!(rows.iter().all(|row| row.kind == SessionKind::Recording), "{rows:?}");
    rows
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn recordings_of_every_kind_come_to_what_they_are_and_count_once() {
    let server = TestServer::start().await;
    let data_dir = server.data_dir();
    add_people(data_dir, &[(SECTION, "Wren", "flute")]).await;
    let files = dir("session");
    write_wave(&files.join("a.wav"), 44_100, 1, Encoding::Int16, &tone(44_100, 18.0));
    let twice: Vec<f32> = tone(96_000, 18.0).iter().flat_map(|&x| [x, x]).collect();
    write_wave(&files.join("stereo.wav"), 96_000, 2, Encoding::Int24, &twice);
    write_flac(&files.join("b.flac"), 48_000, &tone(48_000, 18.0));
    std::fs::write(files.join("c.mp3"), include_bytes!("sounds/f4-mono.mp3")).unwrap();
    let names = ["a.wav", "stereo.wav", "b.flac", "c.mp3"];
    let arguments = [&["--player", "wren"], &TRIPLETS[..], &names].concat();
    let dry = session(&files, data_dir, &[&arguments[..], &["--dry-run"]].concat());
    assert!(dry.status.success() && said(&dry).contains("dry run"), "{}", said(&dry));
    assert_eq!(added(data_dir).await.len(), 0);
    for _ in 0..2 {
        let output = session(&files, data_dir, &arguments);
        assert!(output.status.success(), "{}", said(&output));
        let rows = added(data_dir).await;
        assert_eq!(rows.len(), names.len(), "each once: {}", said(&output));
        for row in &rows {
            assert_eq!((row.name.as_str(), row.invented), ("Wren", false), "{row:?}");
            // 17:30 on 20 November 2026, by `date -u -d 2026-11-20T17:30 +%s` of GNU coreutils; to the microseconds that are cut off.
            assert!((row.began_unix_ms - 1_795_195_800_000).abs() <= 1, "{row:?}");
            assert!((row.pulse_rate_hz.unwrap() / 3.3 - 1.0).abs() < 0.006, "{row:?}");
            // As far as tests/reference/lossy.py allows an MP3 file of this size.
            assert!((row.depth_db_pp.unwrap() - 6.0).abs() < 1.1, "{row:?}");
            assert!((row.swing_cents_pp.unwrap() - 10.0).abs() < 2.0, "{row:?}");
            assert!(row.centre_cents.unwrap().abs() < 1.0, "{row:?}");
            assert_eq!((row.timing_ms, row.timing_spread_ms), (None, None), "nobody told where the beat is");
        }
        // Eighteen seconds hold four bars of 3.64 s, four seconds one.
        let held: Vec<bool> = rows.iter().map(|row| row.held).collect();
        assert_eq!(held.iter().filter(|held| **held).count(), 3, "{rows:?}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn with_a_beat_early_and_late_are_told() {
    let server = TestServer::start().await;
    add_people(server.data_dir(), &[(SECTION, "Wren", "flute")]).await;
    let files = dir("session-beat");
    write_wave(&files.join("late.wav"), 44_100, 1, Encoding::Int16, &tone(44_100, 18.0));
    // Peaks at 0.1 s and on lie 70 ms after ticks at 0.03 s and on; the usual band is 50 ms.
    let arguments = [&["--player", "Wren", "--beat-at", "0.03", "late.wav"], &TRIPLETS[..]].concat();
    let output = session(&files, server.data_dir(), &arguments);
    assert!(output.status.success(), "{}", said(&output));
    let rows = added(server.data_dir()).await;
    assert!((rows[0].timing_ms.unwrap() - 70.0).abs() < 5.0, "{rows:?}");
    assert_eq!(rows[0].state, "late", "{rows:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_exercise_of_a_plan_is_measured_part_by_part() {
    let server = TestServer::start().await;
    add_people(server.data_dir(), &[(SECTION, "Wren", "flute")]).await;
    let files = dir("session-plan");
    let plan = r#"{"format": "windrow-plan", "version": 1, "name": "two", "title": "Two", "beats_per_bar": 4, "exercises": [
        {"play": {"straight": {"bpm": 60, "bars": 1}}},
        {"title": "Both", "note": "F4", "play": {"pulses": {"bpm": 66, "values": ["triplets", "sixteenths"], "times": 1}}}]}"#;
    std::fs::write(files.join("two.json"), plan).unwrap();
    // A second of silence before a bar and more of triplets, where sixteenths are asked for in the second bar.
    let mut samples = vec![0.0; 44_100];
    samples.extend(tone(44_100, 8.0));
    write_wave(&files.join("plan.wav"), 44_100, 1, Encoding::Int16, &samples);
    let which = ["--player", "Wren", "--plan", "two.json", "--beat-at", "1.1", "plan.wav"];
    let output = session(&files, server.data_dir(), &which);
    assert!(said(&output).contains("has 2 exercises: say with --exercise which"), "{}", said(&output));
    let output = session(&files, server.data_dir(), &[&which[..], &["--exercise", "2"]].concat());
    assert!(output.status.success(), "{}", said(&output));
    let rows = added(server.data_dir()).await;
    assert_eq!(rows.len(), 2, "{rows:?}");
    assert_eq!((rows[0].per_beat, rows[0].state.as_str()), (Some(3), "matched"), "{rows:?}");
    assert!(rows[0].timing_ms.unwrap().abs() < 5.0, "{rows:?}");
    assert_eq!((rows[1].per_beat, rows[1].state.as_str()), (Some(4), "slow"), "{rows:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_wrong_is_named_and_the_rest_is_added() {
    let server = TestServer::start().await;
    let people =
        [(SECTION, "Wren", "flute"), (SECTION, "Hadley", "oboe"), ("Reeds", "Hadley", "clarinet-bb")];
    add_people(server.data_dir(), &people).await;
    let files = dir("session-wrong");
    write_wave(&files.join("good.wav"), 22_050, 1, Encoding::Int16, &tone(22_050, 18.0));
    write_wave(&files.join("short.wav"), 22_050, 1, Encoding::Int16, &tone(22_050, 2.5));
    write_wave(&files.join("silence.wav"), 22_050, 1, Encoding::Int16, &vec![0.0; 22_050 * 5]);
    std::fs::write(files.join("letter.mp3"), "Long notes, then triplets.\n".repeat(200)).unwrap();
    let all = ["short.wav", "silence.wav", "letter.mp3", "missing.flac", "good.wav"];
    let output = session(&files, server.data_dir(), &[&["--player", "Wren"], &TRIPLETS[..], &all].concat());
    assert_eq!(output.status.code(), Some(1));
    for says in [
        "short.wav: its tone lasts",
        "silence.wav: no tone is heard",
        "letter.mp3: this is not a WAV, FLAC or MP3 file",
        "missing.flac: there is no such file",
        "Added to the records of Wren",
    ] {
        assert!(said(&output).contains(says), "{says}: {}", said(&output));
    }
    assert_eq!(added(server.data_dir()).await.len(), 1);
    for (player, says) in [
        ("Hadley", "several have the name \"Hadley\": Hadley (oboe, in Larkmoor Youth Winds)"),
        ("Wrem", "Is it Wren?"),
        ("Nobody", "nobody in the list has the name \"Nobody\""),
    ] {
        let output =
            session(&files, server.data_dir(), &[&["--player", player, "good.wav"], &TRIPLETS[..]].concat());
        assert!(!output.status.success() && said(&output).contains(says), "{player}: {}", said(&output));
    }
    let which = [&["--player", "Hadley", "--section", "Reeds", "good.wav"], &TRIPLETS[..]].concat();
    let output = session(&files, server.data_dir(), &which);
    // The same file against the same is the same recording, whoever is said to have played it.
    assert!(said(&output).contains("in the records already"), "{}", said(&output));
}
