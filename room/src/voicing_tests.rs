//! Notes that the room deals to its chairs.

use super::desk::{Desk, cannot};
use super::event::Effect;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::voicing::Voicing;
use windrow_words::InEnglish as _;

/// Notes of the music now, chair by chair.
fn notes(desk: &Desk) -> Vec<String> {
    let timeline = desk.timeline().unwrap();
    let span = timeline.score().spans.last().unwrap().clone();
    (1..=4).map(|chair| span.note_of(chair).map_or_else(String::new, |note| note.to_string())).collect()
}

fn section() -> Desk {
    let mut desk = Desk::new();
    for (name, instrument) in [
        ("Imogen", Instrument::Flute),
        ("Hadley", Instrument::Oboe),
        ("Piers", Instrument::AltoSax),
        ("Callum", Instrument::Bassoon),
    ] {
        desk.join_with(name, |hello| hello.instrument = instrument);
    }
    desk
}

#[test]
fn each_start_deals_the_chord_to_whoever_is_in() {
    let mut desk = section();
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Triad });
    desk.command(ConductorSays::SetNote { note: "G4".parse().ok(), chair: None });
    desk.command(ConductorSays::Start);
    // G, B and D again and again; a bassoon's staff ends at A3.
    assert_eq!(notes(&desk), ["G4", "B4", "D4", "G3"]);
    // Nothing changes under the players' fingers; from the next start on it does.
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Unison });
    assert_eq!(notes(&desk), ["G4", "B4", "D4", "G3"]);
    desk.now_us += 3e6;
    desk.command(ConductorSays::Again { at: Moment::Now });
    assert_eq!(notes(&desk), ["G4", "G4", "G4", "G3"]);
}

#[test]
fn a_note_set_by_hand_comes_before_the_one_that_was_dealt() {
    let mut desk = section();
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Fifth });
    desk.command(ConductorSays::SetNote { note: "A4".parse().ok(), chair: Some(2) });
    desk.command(ConductorSays::Start);
    // A chord without a note stands on F.
    assert_eq!(notes(&desk), ["F4", "A4", "F4", "C3"]);
}

#[test]
fn a_note_that_a_chair_cannot_play_is_refused_with_the_range() {
    let mut desk = section();
    let note = |name: &str, chair| ConductorSays::SetNote { note: name.parse().ok(), chair };
    for (refused, text) in [
        (
            note("B3", Some(1)),
            "B3 is too low for the flute on chair 1: choose a note that sounds from C4 to D7",
        ),
        (
            note("F5", Some(4)),
            "F5 is too high for the bassoon on chair 4: choose a note that sounds from B♭1 to E5",
        ),
    ] {
        let effects = desk.command(refused);
        assert_eq!(cannot(&effects).unwrap().as_str(), text);
    }
    // Everybody's note is brought into each one's range, and nobody knows who will sit on an empty chair.
    for taken in [note("B3", None), note("B3", Some(9)), note("Bb1", Some(4))] {
        let effects = desk.command(taken);
        assert!(!effects.iter().any(|e| matches!(e, Effect::CannotDo { .. })), "{effects:?}");
    }
}

#[test]
fn where_any_note_will_do_none_is_dealt() {
    let mut desk = section();
    desk.command(ConductorSays::Start);
    assert_eq!(notes(&desk), ["", "", "", ""]);
}
