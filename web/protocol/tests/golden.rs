//! A written sample of every message, decoded and encoded again: a change of the wire shows here and not in a rehearsal.
//! The browser's tests may read the same files.

#![expect(clippy::unwrap_used, reason = "all of it is tests")]

use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;
use std::collections::BTreeSet;
use windrow_protocol::messages::{
    ConductorHears, ConductorSays, Moment, PlayerHears, PlayerSays, Replay, Results, Review, RoomCheck,
};

/// Every sample must come back as it was written, and there must be one of each of `types`.
fn check<T: Serialize + DeserializeOwned>(samples: &str, types: &[&str]) {
    let samples = decoded_and_encoded::<T>(samples);
    let found: BTreeSet<&str> = samples.iter().map(|sample| sample["type"].as_str().unwrap()).collect();
    assert_eq!(found, types.iter().copied().collect());
}

fn decoded_and_encoded<T: Serialize + DeserializeOwned>(samples: &str) -> Vec<Value> {
    let samples: Vec<Value> = serde_json::from_str(samples).unwrap();
    for sample in &samples {
        let decoded: T = serde_json::from_value(sample.clone()).unwrap_or_else(|e| panic!("{e}: {sample}"));
        assert_eq!(&serde_json::to_value(&decoded).unwrap(), sample);
    }
    samples
}

#[test]
fn what_a_room_check_found() {
    decoded_and_encoded::<RoomCheck>(include_str!("../golden/room-check.json"));
}

#[test]
fn what_the_section_did() {
    decoded_and_encoded::<Results>(include_str!("../golden/results.json"));
}

#[test]
fn a_review_and_a_replay_keep_their_shape() {
    decoded_and_encoded::<Review>(include_str!("../golden/review.json"));
    decoded_and_encoded::<Replay>(include_str!("../golden/replay.json"));
}

#[test]
fn what_a_player_says() {
    check::<PlayerSays>(
        include_str!("../golden/player-says.json"),
        &["hello", "clock", "reading", "pulses", "span-result", "microphone", "check", "rest", "timing"],
    );
}

#[test]
fn what_a_player_hears() {
    check::<PlayerHears>(
        include_str!("../golden/player-hears.json"),
        &["welcome", "clock", "score", "ack", "exercise", "you", "seat", "notice", "refused"],
    );
}

#[test]
fn what_a_conductor_says() {
    check::<ConductorSays>(
        include_str!("../golden/conductor-says.json"),
        &[
            "clock",
            "changes",
            "start",
            "stop",
            "go-on",
            "again",
            "next",
            "back",
            "hold",
            "slower",
            "faster",
            "set-tempo",
            "set-subdivision",
            "set-count-in",
            "set-note",
            "set-voicing",
            "set-turns",
            "set-tuning",
            "choose",
            "set-flow",
            "step-back",
            "set-tick",
            "check-room",
            "answer",
        ],
    );
}

#[test]
fn what_a_conductor_hears() {
    check::<ConductorHears>(
        include_str!("../golden/conductor-hears.json"),
        &["room", "room-change", "clock", "cannot-do", "refused"],
    );
}

/// Pictures of a rehearsal as one page was sent them, and the room at the end of it.
#[test]
fn changes_make_of_the_first_picture_the_last() {
    let sample: Value = serde_json::from_str(include_str!("../golden/room-pictures.json")).unwrap();
    let messages = decoded_and_encoded::<ConductorHears>(&sample["messages"].to_string());
    let mut shown = None;
    for message in messages {
        match serde_json::from_value(message).unwrap() {
            ConductorHears::Room(room) => shown = Some(room),
            ConductorHears::RoomChange(change) => change.put(shown.as_mut().unwrap()),
            other => panic!("{other:?}"),
        }
    }
    let ConductorHears::Room(last) = serde_json::from_value(sample["room"].clone()).unwrap() else {
        panic!("a picture is whole")
    };
    assert_eq!(shown, Some(last));
}

#[test]
fn a_number_out_of_range_is_refused_by_name() {
    let text = r#"{"type":"set-tempo","bpm":900}"#;
    let said = serde_json::from_str::<ConductorSays>(text).unwrap_err().to_string();
    assert!(said.contains("tempo (bpm) must be from 20 to 300, but is 900"), "{said}");
}

#[test]
fn a_command_without_a_moment_takes_the_usual_one() {
    let at = |text| match serde_json::from_str(text).unwrap() {
        ConductorSays::Stop { at } | ConductorSays::Next { at } | ConductorSays::SetTempo { at, .. } => at,
        other => panic!("{other:?}"),
    };
    assert_eq!(at(r#"{"type":"stop"}"#), Moment::Now);
    assert_eq!(at(r#"{"type":"next"}"#), Moment::Bar);
    assert_eq!(at(r#"{"type":"set-tempo","bpm":72}"#), Moment::Bar);
}
