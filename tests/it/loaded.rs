//! The load tool on a small load: everything said comes through, nothing is lost, and its figures have all their names. Times are not
//! asserted: the machine does other work as well.

use serde_json::Value;
use std::process::Command;

/// What others read from it.
const NAMES: [&str; 11] = [
    "players",
    "rooms",
    "tempo_p50_ms",
    "tempo_p99_ms",
    "bare_relay_p99_ms",
    "ratio",
    "reading_to_page_p99_ms",
    "join_p99_ms",
    "server_cpu_share",
    "rss_per_player_kb",
    "lost",
];

fn load(words: &[&str]) -> Value {
    let done = Command::new(env!("CARGO_BIN_EXE_load")).args(words).arg("--json").output().unwrap();
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(done.status.success(), "{said}");
    serde_json::from_slice(&done.stdout).unwrap_or_else(|e| panic!("{e}: {said}"))
}

#[test]
fn everything_comes_to_everybody_and_nothing_is_lost() {
    let (n_players, n_idle) = (40, 8);
    let figures = load(&["--players", "40", "--rooms", "4", "--idle", "8", "--seconds", "3"]);
    let number =
        |name: &str| figures[name].as_f64().unwrap_or_else(|| panic!("{name} is missing: {figures}"));
    for name in NAMES {
        number(name);
    }
    for nought in ["lost", "tempo_missed", "not_in", "broken", "cannot"] {
        assert_eq!(number(nought), 0.0, "{nought}: {figures}");
    }
    assert_eq!(
        (number("players"), number("idle_stayed")),
        (f64::from(n_players), f64::from(n_idle)),
        "{figures}"
    );
    // A change every two to four seconds, and a value a second of each player whose rhythm is trusted.
    assert!(number("tempo_pairs") >= f64::from(n_players), "{figures}");
    assert!(number("readings_followed") >= f64::from(n_players) / 2.0, "{figures}");
    // Pulses come at about five a second.
    assert!(number("acknowledged") > f64::from(n_players), "{figures}");
    // The relay says as much as the server does, or it would be no measure: the server's pictures grow with the music.
    let ratio = number("bare_relay_bytes_out") / number("bytes_out");
    assert!((0.5..2.0).contains(&ratio), "{ratio}: {figures}");
}

#[test]
fn what_is_no_option_is_refused_in_words() {
    for words in [&["--player", "3"][..], &["--players", "many"], &["--rooms", "65"], &["--seconds"]] {
        let done = Command::new(env!("CARGO_BIN_EXE_load")).args(words).output().unwrap();
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        let refusal = String::from_utf8_lossy(&done.stderr);
        assert!(refusal.contains(&format!("'{}", words[0])), "{words:?}: {refusal}");
    }
}
