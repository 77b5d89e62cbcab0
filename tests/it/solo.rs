//! `windrow play --solo` as a player runs it at home, with a recording as its microphone, and what becomes of that in the teacher's records.

use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};
use windrow::store::{SessionKind, Store};
use windrow_analysis::signals::{Timbre, render};
use windrow_tests::TestServer;
use windrow_tests::wave_file::{Encoding, write_wave};

/// Eighths at 99 are 3.3 pulses a second; four bars of them last 9.7 s.
const PLAN: &str = r#"{"format": "windrow-plan", "version": 1, "name": "at-home", "title": "At home", "beats_per_bar": 4, "exercises": [
    {"title": "Four bars", "say": "Even puffs.", "note": "F4", "play": {"pulses": {"bpm": 99, "values": ["eighths"], "times": 4}}}]}"#;

/// A directory with the plan, and with a minute of what it asks for.
fn home(test: &str) -> PathBuf {
    let dir = super::measure::dir("solo").join(format!("{test}-{}", std::process::id()));
    std::fs::create_dir_all(&dir).unwrap();
    std::fs::write(dir.join("plan.json"), PLAN).unwrap();
    let pulsing = super::measure::pulsing(349.228, 3.3);
    let tone = render(24_000.0, Timbre::falling(8), -66.0, 5, 60.0, |t| pulsing.at(t));
    write_wave(&dir.join("tone.wav"), 24_000, 1, Encoding::Int16, &tone);
    dir
}

fn program(dir: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    command.current_dir(dir).args(arguments).env("WINDROW_DATA", dir.join("data"));
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

async fn ended(child: Child) -> Output {
    tokio::task::spawn_blocking(|| child.wait_with_output()).await.unwrap().unwrap()
}

const SOLO: [&str; 7] = ["play", "--solo", "plan.json", "--wav", "tone.wav", "--instrument", "alto-sax"];

/// The one practice that is kept.
fn kept(dir: &Path) -> Option<(PathBuf, Value)> {
    let files = std::fs::read_dir(dir.join("data/practice")).ok()?;
    let path =
        files.map(|file| file.unwrap().path()).find(|path| path.extension().is_some_and(|e| e == "json"))?;
    let text = std::fs::read_to_string(&path).unwrap();
    Some((path, serde_json::from_str(&text).unwrap()))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_plan_is_practised_alone_kept_and_handed_in_once() {
    let dir = home("whole");
    let output = ended(program(&dir, &SOLO).spawn().unwrap()).await;
    let told = said(&output);
    assert!(output.status.success(), "{told}");
    // F4 sounding is D5 for the alto saxophone.
    for says in [
        "Exercise: Four bars",
        "Even puffs.",
        "Eighths at 99, D5 (sounds F4)",
        "Four bars: matched for",
        "Kept: ",
    ] {
        assert!(told.contains(says), "{says}: {told}");
    }
    let (_, practice) = kept(&dir).unwrap();
    assert_eq!((&practice["plan_title"], &practice["instrument"]), (&"At home".into(), &"alto-sax".into()));
    let list = said(&program(&dir, &["practice", "list"]).output().unwrap());
    assert!(list.contains("At home") && list.contains("held eighths at 99, not handed in"), "{list}");

    let server = TestServer::start().await;
    let link = server.url(&format!("/join/{}", server.code()));
    for says in ["handed in", "Nothing waits"] {
        let output =
            ended(program(&dir, &["practice", "hand-in", "--name", "Wren", &link]).spawn().unwrap()).await;
        assert!(output.status.success() && said(&output).contains(says), "{says}: {}", said(&output));
    }
    // The file by its name, as somebody would whose computer lost the answer.
    let (path, _) = kept(&dir).unwrap();
    let again =
        program(&dir, &["practice", "hand-in", path.to_str().unwrap(), &server.url("")]).spawn().unwrap();
    let again = ended(again).await;
    assert!(again.status.success() && said(&again).contains("counts once"), "{}", said(&again));
    let data_dir = server.stop().await;
    let store = Store::open(&data_dir).await.unwrap();
    let sessions = store.rehearsals(None).await.unwrap();
    let practices: Vec<_> = sessions.iter().filter(|s| s.kind == SessionKind::Practice).collect();
    assert_eq!((practices.len(), practices[0].n_runs), (1, 1), "{sessions:?}");
    let runs = store.kept_runs(&practices[0].rehearsal_id).await.unwrap();
    assert!(runs[0].1.stretches[0].held && runs[0].1.told.players[0].name.as_str() == "Wren", "{runs:?}");
    store.close().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_practice_that_is_killed_is_kept_as_far_as_it_was_written() {
    let dir = home("killed");
    let mut child = program(&dir, &SOLO).spawn().unwrap();
    let begun = Instant::now();
    while kept(&dir).is_none() && begun.elapsed() < Duration::from_secs(60) {
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let (_, practice) = kept(&dir).expect("it is written while it goes on");
    let runs = practice["kept"].as_array().unwrap().iter().filter(|one| one["type"] == "run").count();
    assert_eq!(runs, 1, "{practice}");
    let list = said(&program(&dir, &["practice", "list"]).output().unwrap());
    assert!(list.contains("At home"), "{list}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn lines_command_and_the_end_is_clean() {
    let dir = home("lines");
    let mut child = program(&dir, &SOLO).stdin(Stdio::piped()).spawn().unwrap();
    let mut lines = child.stdin.take().unwrap();
    for line in ["what?", "+", "99", "q"] {
        writeln!(lines, "{line}").unwrap();
    }
    let output = ended(child).await;
    let told = said(&output);
    assert!(output.status.success(), "{told}");
    assert!(told.contains("Nothing was played, so nothing is kept."), "{told}");
    assert!(
        told.matches("Type and press Enter").count() == 2,
        "what means nothing is answered with help: {told}"
    );
    assert!(kept(&dir).is_none());
}

#[test]
fn what_is_wrong_is_said_with_what_to_do() {
    let dir = home("wrong");
    for (arguments, says) in [
        (vec!["play", "--solo", "no-such-plan", "--wav", "tone.wav"], "there is no plan \"no-such-plan\""),
        (vec!["play", "--solo", "plan.json"], "give --wav FILE or --microphone"),
        (vec!["play", "--solo", "plan.json", "--server", "http://10.0.0.5"], "cannot be used with"),
        (
            vec!["practice", "hand-in", "--name", "Wren", "none.json", "http://127.0.0.1:9"],
            "none.json cannot be read",
        ),
        (
            vec!["practice", "hand-in", "plan.json", "http://127.0.0.1:9/join/KF3M7P"],
            "could not be understood",
        ),
    ] {
        let output = program(&dir, &arguments).output().unwrap();
        assert!(!output.status.success() && said(&output).contains(says), "{arguments:?}: {}", said(&output));
    }
}
