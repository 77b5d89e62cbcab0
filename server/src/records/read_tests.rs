//! What a rehearsal's file may be and what is said of one that is none. The example is written by hand after the schema, not by this
//! program.

use super::*;
use serde_json::{Value, json};

const EXAMPLE: &str = include_str!("../../records/example.session.json");

fn example() -> Value {
    serde_json::from_str(EXAMPLE).unwrap()
}

/// What is said of the example with something else at a place.
fn said(pointer: &str, value: Value) -> String {
    let mut document = example();
    *document.pointer_mut(pointer).unwrap_or_else(|| panic!("there is no {pointer}")) = value;
    read(&document.to_string()).expect_err(pointer).to_string()
}

#[test]
fn the_example_is_read_and_written_as_it_was() {
    let document = read(EXAMPLE).unwrap();
    let written: Value = serde_json::to_value(&document).unwrap();
    // Absent and null are the same where a measure could not be told.
    assert_eq!(read(&written.to_string()).unwrap(), document);
    assert_eq!(written["sessions"][0]["players"], example()["sessions"][0]["players"]);
    assert_eq!(written["sessions"][0]["runs"][0]["traces"], example()["sessions"][0]["runs"][0]["traces"]);
}

#[test]
fn what_is_wrong_is_said_with_its_place() {
    let run = "/sessions/0/runs/0";
    for (pointer, value, expected) in [
        ("/format", json!("something"), "this is no file of rehearsals from Windrow"),
        ("/version", json!(2), "this file is of version 2"),
        ("/version", json!("one"), "version: must be 1"),
        ("/rehearsal_id", json!("../x"), "rehearsal_id: must be 1 to 64 letters"),
        ("/sessions", json!([]), "sessions: must not be empty"),
        ("/sessions/0/kind", json!("party"), "there is no \"party\" here"),
        (
            "/sessions/0/time_nought_utc",
            json!("yesterday"),
            "session 1, time_nought_utc: must be a time such as",
        ),
        ("/sessions/0/a4_hz", json!("440"), "session 1, a4_hz: must be"),
        ("/sessions/0/players/0/chair", json!(0), "session 1, player 1, chair: chairs count from 1"),
        ("/sessions/0/players/0/instrument", json!("kazoo"), "there is no \"kazoo\" here"),
        (
            "/sessions/0/players/0/pulses/choked",
            json!([]),
            "session 1, player 1, pulses: all columns must be equally long",
        ),
        ("/sessions/0/players/0/pulses/depth_db_pp/3", json!(1e6), "pulses, depth_db_pp"),
        (&format!("{run}/ended_us"), json!(1.0), "session 1, run 1, ended_us: must not be before began_us"),
        (
            &format!("{run}/stretches/0/player_id"),
            json!("x"),
            "run 1, stretches: x is none of the session's players",
        ),
        (&format!("{run}/stretches/0/part"), json!(7), "run 1, stretches: part 7 is not there"),
        (&format!("{run}/stretches/1/bpm"), json!(5), "bpm"),
        (
            &format!("{run}/told/players/0/spans"),
            json!([]),
            "run 1, told, players: every player needs as many spans",
        ),
        (&format!("{run}/score/spans"), json!([]), "run 1, score: cannot be played"),
    ] {
        let said = said(pointer, value);
        assert!(said.contains(expected), "{pointer}: {said}");
    }
}

#[test]
fn what_no_file_of_ours_is_is_said_in_a_sentence() {
    for (text, expected) in [
        ("", "the file is empty"),
        ("name,instrument\r\n", "no file of rehearsals"),
        ("[1, 2]", "no file of rehearsals"),
        ("{\"format\": \"windrow-plan\", \"version\": 1}", "no file of rehearsals"),
        (&EXAMPLE[..EXAMPLE.len() / 2], "the file ends too early, in line 1"),
        (&EXAMPLE.replacen("\"version\":1,", "\"version\":1;", 1), "the file is damaged in line 1"),
        (&EXAMPLE.replacen("\"version\":1,", "\"version\":1,\"colour\":\"red\",", 1), "\"colour\""),
    ] {
        let said = read(text).unwrap_err().to_string();
        assert!(said.contains(expected), "{said}");
    }
}

#[test]
fn a_file_may_begin_with_the_mark_of_some_editors() {
    assert!(read(&format!("\u{feff}{EXAMPLE}")).is_ok());
}

#[test]
fn numbers_that_cannot_have_been_are_refused() {
    let run = "/sessions/0/runs/0";
    for (pointer, value) in [
        (format!("{run}/ended_us"), json!(1e17)),
        (format!("{run}/began_us"), json!(-1e300)),
        (format!("{run}/stretches/0/asked_s"), json!(1e308)),
        (format!("{run}/traces/0/left_out_ms"), json!(-1e15)),
        ("/sessions/0/players/0/pulses/time_us/0".to_owned(), json!(i64::MIN)),
        ("/sessions/0/ended_us".to_owned(), json!(i64::MAX)),
    ] {
        let said = said(&pointer, value);
        assert!(said.contains("larger than anything can be"), "{pointer}: {said}");
    }
    for year in ["0001", "1989", "2100"] {
        let said = said("/sessions/0/time_nought_utc", json!(format!("{year}-06-01T00:00:00Z")));
        assert!(said.contains("must be a time such as"), "{said}");
    }
}

#[test]
fn lists_that_would_take_more_memory_than_the_file_are_refused() {
    // Forty times their size: what is measured of a part is large, the word for nothing is not.
    let nothing = vec![Value::Null; 65];
    assert!(said("/sessions/0/runs/0/told/players/0/spans", json!(nothing)).contains("at most 64 parts"));
    for sign in
        [json!([[1, {"a": null}], "x", -1.5]), json!({"a": [true]}), json!(-1), json!(1.5), json!(true)]
    {
        assert!(said("/format", sign.clone()).contains("no file of rehearsals"));
        assert!(said("/version", sign).contains("version: must be 1"));
    }
    let player = example().pointer("/sessions/0/players/0").unwrap().clone();
    let many = vec![player; MAX_PLAYERS + 1];
    assert!(said("/sessions/0/players", json!(many)).contains("can hold 1024 at most"));
}
