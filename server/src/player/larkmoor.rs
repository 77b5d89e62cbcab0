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

/// Names of those who join the eight where more are asked for.
const MORE_NAMES: [&str; 40] = [
    "Maeve", "Rowan", "Odette", "Jasper", "Linnet", "Corin", "Faye", "Ansel", "Bryony", "Dashiell",
    "Elspeth", "Fenn", "Greer", "Hollis", "Isolde", "Jory", "Keziah", "Lorcan", "Merrin", "Nell", "Oriel",
    "Perrin", "Quilla", "Rafe", "Saskia", "Tamsin", "Ulric", "Verity", "Winslow", "Xanthe", "Yarrow",
    "Zennor", "Alder", "Blythe", "Cressida", "Denby", "Ember", "Flora", "Garth", "Hester",
];

/// Names beyond so many people, of whom the eight and then those who join them are the first.
pub(crate) fn more_names(beyond: usize) -> impl Iterator<Item = &'static str> {
    MORE_NAMES.into_iter().skip(beyond.saturating_sub(8))
}

/// Most players of the section.
pub const MOST_PLAYERS: u8 = 48;

/// So many players, up to [`MOST_PLAYERS`]: the eight again and again, instrument by instrument, each with a name and chance
/// of its own.
pub fn many(n_players: u8) -> Vec<SimulatedPlayer> {
    let eight = players();
    let n = usize::from(n_players.min(MOST_PLAYERS));
    let names: Vec<Name> = eight
        .iter()
        .map(|player| player.name.clone())
        .chain(MORE_NAMES.iter().map(|name| Name::new(name).expect("an invented name is a name")))
        .collect();
    let seeds = 1..;
    let mut all: Vec<_> = (0..n)
        .zip(names)
        .zip(seeds)
        .map(|((i, name), seed)| SimulatedPlayer { name, seed, ..eight[i % eight.len()].clone() })
        .collect();
    // Who plays the same sits together; of these whoever came first.
    all.sort_by_key(|player| eight.iter().position(|one| one.instrument == player.instrument));
    all
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

    #[test]
    fn a_large_section_has_names_of_their_own_and_sits_by_instrument() {
        let names = |players: &[SimulatedPlayer]| -> Vec<String> {
            players.iter().map(|p| p.name.as_str().to_owned()).collect()
        };
        assert_eq!(names(&many(8)), names(&players()), "eight are the eight");
        let all = many(MOST_PLAYERS);
        let different: HashSet<String> = names(&all).into_iter().collect();
        assert_eq!((all.len(), different.len()), (48, 48));
        let changes = all.windows(2).filter(|pair| pair[0].instrument != pair[1].instrument).count();
        assert_eq!(changes, 3, "flutes, oboes, alto saxophones, bassoons");
        let seeds: HashSet<_> = all.iter().map(|p| p.seed).collect();
        assert_eq!(seeds.len(), 48, "nobody plays like another");
        assert_eq!(many(0).len(), 0);
    }
}
