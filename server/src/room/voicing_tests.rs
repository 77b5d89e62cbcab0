//! Notes that the room deals to its chairs.

use super::desk::Desk;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::voicing::Voicing;

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
fn where_any_note_will_do_none_is_dealt() {
    let mut desk = section();
    desk.command(ConductorSays::Start);
    assert_eq!(notes(&desk), ["", "", "", ""]);
}
