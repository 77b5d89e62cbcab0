//! The wind instruments a player can choose, with transposition and sounding range.
//!
//! Transpositions are those of common orchestration tables (written to sounding, in semitones). The sounding ranges
//! come from published range tables; those of oboe and the top of the contrabassoon are from memory.

use crate::note::Note;
use crate::phrase::Phrase;
use serde::{Deserialize, Serialize};

macro_rules! instruments {
    ($($variant:ident $slug:literal $label:literal $transposition:literal $low:literal $high:literal),+ $(,)?) => {
        /// A wind instrument.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        #[expect(missing_docs, reason = "the names are the instruments")]
        pub enum Instrument {
            $(#[serde(rename = $slug)] $variant),+
        }

        impl Instrument {
            /// All of them, in score order.
            pub const ALL: &[Instrument] = &[$(Instrument::$variant),+];

            /// The name on the wire and in the database.
            pub fn slug(self) -> &'static str {
                match self { $(Instrument::$variant => $slug),+ }
            }

            /// The name people read.
            pub fn label(self) -> &'static str {
                match self { $(Instrument::$variant => $label),+ }
            }

            /// The same, to be read in any language.
            pub fn phrase(self) -> Phrase {
                Phrase::of(&format!("instrument-{}", self.slug()))
            }

            /// Semitones from the written to the sounding note.
            pub fn transposition(self) -> i32 {
                match self { $(Instrument::$variant => $transposition),+ }
            }

            /// Lowest and highest sounding note.
            pub fn sounding_range(self) -> (Note, Note) {
                let (low, high) = match self { $(Instrument::$variant => ($low, $high)),+ };
                let note = |midi| Note::from_midi(midi).expect("the table holds MIDI numbers");
                (note(low), note(high))
            }
        }
    };
}

instruments! {
    Piccolo "piccolo" "piccolo" 12 74 108,
    Flute "flute" "flute" 0 60 98,
    AltoFlute "alto-flute" "alto flute" -5 55 91,
    Oboe "oboe" "oboe" 0 58 93,
    CorAnglais "cor-anglais" "cor anglais" -7 52 84,
    ClarinetEb "clarinet-eb" "clarinet in E flat" 3 55 99,
    ClarinetBb "clarinet-bb" "clarinet in B flat" -2 50 94,
    ClarinetA "clarinet-a" "clarinet in A" -3 49 93,
    BassClarinet "bass-clarinet" "bass clarinet" -14 34 77,
    Bassoon "bassoon" "bassoon" 0 34 76,
    Contrabassoon "contrabassoon" "contrabassoon" -12 22 60,
    SopranoSax "soprano-sax" "soprano sax" -2 56 88,
    AltoSax "alto-sax" "alto sax" -9 49 81,
    TenorSax "tenor-sax" "tenor sax" -14 44 76,
    BaritoneSax "baritone-sax" "baritone sax" -21 36 69,
    Horn "horn" "horn" -7 35 77,
}

impl Instrument {
    /// The instrument with this name on the wire.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|i| i.slug() == slug)
    }

    /// Whether a sounding note is in the instrument's range.
    pub fn can_play(self, note: Note) -> bool {
        let (low, high) = self.sounding_range();
        (low..=high).contains(&note)
    }

    /// What the player reads for a sounding note.
    pub fn written(self, sounding: Note) -> Option<Note> {
        sounding.transposed(-self.transposition())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_notes_follow_the_orchestration_tables() {
        // Sounding F4: an alto sax in E flat reads D5, a clarinet in B flat G4, a horn in F C5.
        let f4: Note = "F4".parse().unwrap();
        for (instrument, written) in [
            (Instrument::Flute, "F4"),
            (Instrument::AltoSax, "D5"),
            (Instrument::ClarinetBb, "G4"),
            (Instrument::Horn, "C5"),
            (Instrument::Piccolo, "F3"),
        ] {
            assert_eq!(instrument.written(f4).unwrap().to_string(), written, "{}", instrument.label());
        }
    }

    #[test]
    fn ranges_are_written_as_the_range_tables_have_them() {
        // Written compass: orchestralibrary.com/reftables/rang.html (piccolo, flutes, cor anglais, clarinets; the bass
        // clarinet's lowest note is that of low-C models), hansenmedia.net for the saxophones ("B flat up two and a half
        // octaves"), studystack.com/flashcard-697185 for the horn, orchestration-course slides (K. Heong) for the bassoon and
        // the contrabassoon's lowest note. From memory: oboe, the contrabassoon's highest note, the baritone's low A.
        use Instrument::*;
        let tables = [
            (Piccolo, "D4", "C7"),
            (Flute, "C4", "D7"),
            (AltoFlute, "C4", "C7"),
            (Oboe, "B♭3", "A6"),
            (CorAnglais, "B3", "G6"),
            (ClarinetEb, "E3", "C7"),
            (ClarinetBb, "E3", "C7"),
            (ClarinetA, "E3", "C7"),
            (BassClarinet, "C3", "G6"),
            (Bassoon, "B♭1", "E5"),
            (Contrabassoon, "B♭1", "C5"),
            (SopranoSax, "B♭3", "F♯6"),
            (AltoSax, "B♭3", "F♯6"),
            (TenorSax, "B♭3", "F♯6"),
            (BaritoneSax, "A3", "F♯6"),
            (Horn, "F♯2", "C6"),
        ];
        assert_eq!(tables.map(|(instrument, ..)| instrument), Instrument::ALL);
        for (instrument, low, high) in tables {
            let (lowest, highest) = instrument.sounding_range();
            let written = |note| instrument.written(note).unwrap().spelled();
            assert_eq!((written(lowest).as_str(), written(highest).as_str()), (low, high), "{instrument:?}");
            assert!(instrument.can_play(lowest) && instrument.can_play(highest));
            let beyond = [lowest.transposed(-1), highest.transposed(1)];
            assert!(!beyond.into_iter().flatten().any(|note| instrument.can_play(note)), "{instrument:?}");
        }
    }

    #[test]
    fn wire_names_are_the_slugs() {
        for &instrument in Instrument::ALL {
            let json = serde_json::to_string(&instrument).unwrap();
            assert_eq!(json, format!("\"{}\"", instrument.slug()));
            assert_eq!(Instrument::from_slug(instrument.slug()), Some(instrument));
        }
    }
}
