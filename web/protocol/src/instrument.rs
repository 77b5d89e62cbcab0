//! The wind instruments a player can choose, with transposition and sounding range.
//!
//! Transpositions are those of common orchestration tables (written to sounding, in semitones). The sounding ranges
//! come from published range tables; those of oboe and the top of the contrabassoon are from memory.

use crate::note::Note;
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
    fn wire_names_are_the_slugs() {
        for &instrument in Instrument::ALL {
            let json = serde_json::to_string(&instrument).unwrap();
            assert_eq!(json, format!("\"{}\"", instrument.slug()));
            assert_eq!(Instrument::from_slug(instrument.slug()), Some(instrument));
        }
    }
}
