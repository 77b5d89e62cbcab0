//! The invented section: Larkmoor Youth Winds. Every name, player and fault is made up.

use super::{Habit, Place, SimulatedPlayer};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;
use windrow_protocol::units::Name;

/// Name of the section.
pub const NAME: &str = "Larkmoor Youth Winds";

/// Eight players in chair order, on a chord of F major in the comfortable middle of each instrument.
pub fn players() -> Vec<SimulatedPlayer> {
    [
        ("Imogen", Instrument::Flute, 77, Habit::Matched),
        ("Tobias", Instrument::Flute, 72, Habit::Late),
        ("Wren", Instrument::Flute, 69, Habit::Fast),
        ("Hadley", Instrument::Oboe, 72, Habit::DriftingSharp),
        ("Sorrel", Instrument::Oboe, 69, Habit::Shallow),
        ("Piers", Instrument::AltoSax, 65, Habit::PitchLed),
        ("Anouk", Instrument::AltoSax, 60, Habit::ChokedValleys),
        ("Callum", Instrument::Bassoon, 53, Habit::Matched),
    ]
    .into_iter()
    .zip(1..)
    .map(|((name, instrument, midi, habit), seed)| SimulatedPlayer {
        name: Name::new(name).expect("an invented name is a name"),
        instrument,
        note: Note::from_midi(midi).expect("the table holds MIDI numbers"),
        habit,
        seed,
    })
    .collect()
}

/// Two rows of four, so far apart.
pub fn rows(apart_m: f64) -> Vec<Place> {
    (0..8).map(|i| Place { x_m: f64::from(i % 4) * apart_m, y_m: f64::from(i / 4) * apart_m }).collect()
}

/// Where they sit in a room check: two rows, 1.6 m from each other, but the last two share a corner.
pub fn places() -> Vec<Place> {
    const APART_M: f64 = 1.6;
    const CORNER_M: f64 = 0.5;
    let mut places = rows(APART_M);
    places[7].x_m = places[6].x_m + CORNER_M;
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn everybody_has_a_name_of_their_own_and_a_note_they_can_play() {
        let players = players();
        let names: HashSet<&str> = players.iter().map(|p| p.name.as_str()).collect();
        assert_eq!((players.len(), names.len()), (8, 8));
        for p in &players {
            let (low, high) = p.instrument.sounding_range();
            assert!((low..=high).contains(&p.note), "{}", p.name.as_str());
        }
        assert!(Name::new(NAME).is_ok());
    }
}
