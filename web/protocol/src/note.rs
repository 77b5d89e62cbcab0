//! Notes by name. C4 is middle C (MIDI note 60), as ISO 16's A4 = 440 Hz is MIDI note 69.

use serde::{Deserialize, Serialize};

/// A sounding or written pitch class with its octave, as a MIDI note number from 0 to 127. On the wire it is its name,
/// such as `"F#3"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Note(u8);

/// Text that does not name a note from C-1 to G9.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadNote(String);

impl std::fmt::Display for BadNote {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "\"{}\" is not a note: write a letter, # or b if needed, and an octave, such as C4, F#3 or Bb2",
            self.0
        )
    }
}

impl std::error::Error for BadNote {}

/// The spelling wind parts use most for each of the twelve: common practice, no source.
const SPELLINGS: [&str; 12] = ["C", "D♭", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B"];

/// As they stand on the wire.
const NAMES: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];

impl Note {
    /// From a MIDI note number; `None` above 127 or below 0.
    pub fn from_midi(midi: i32) -> Option<Self> {
        u8::try_from(midi).ok().filter(|&m| m <= 127).map(Self)
    }

    /// MIDI note number, 0 to 127.
    pub fn midi(self) -> u8 {
        self.0
    }

    /// As a player reads it, such as "B♭4"; on the wire the same note is "A#4".
    pub fn spelled(self) -> String {
        format!("{}{}", SPELLINGS[usize::from(self.0 % 12)], self.octave())
    }

    fn octave(self) -> i32 {
        i32::from(self.0 / 12) - 1
    }

    /// The note `semitones` higher, or `None` where MIDI has no number for it.
    pub fn transposed(self, semitones: i32) -> Option<Self> {
        Self::from_midi(i32::from(self.0) + semitones)
    }
}

impl std::fmt::Display for Note {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", NAMES[usize::from(self.0 % 12)], self.octave())
    }
}

impl std::str::FromStr for Note {
    type Err = BadNote;

    fn from_str(text: &str) -> Result<Self, BadNote> {
        let bad = || BadNote(text.chars().take(20).collect());
        let mut rest = text.trim().chars();
        let step = match rest.next().map(|c| c.to_ascii_uppercase()) {
            Some('C') => 0,
            Some('D') => 2,
            Some('E') => 4,
            Some('F') => 5,
            Some('G') => 7,
            Some('A') => 9,
            Some('B') => 11,
            _ => return Err(bad()),
        };
        let tail = rest.as_str();
        let (alter, octave) = match tail.chars().next() {
            Some('#' | '♯') => (1, tail.trim_start_matches(['#', '♯'])),
            Some('b' | '♭') => (-1, tail.trim_start_matches(['b', '♭'])),
            _ => (0, tail),
        };
        // One accidental at the most: "C##4" and "Cbb4" are not names this project writes.
        if alter != 0 && tail.chars().count() - octave.chars().count() != 1 {
            return Err(bad());
        }
        let octave: i32 = octave.parse().map_err(|_| bad())?;
        if !(-1..=9).contains(&octave) {
            return Err(bad());
        }
        Self::from_midi((octave + 1) * 12 + step + alter).ok_or_else(bad)
    }
}

impl TryFrom<String> for Note {
    type Error = BadNote;
    fn try_from(text: String) -> Result<Self, BadNote> {
        text.parse()
    }
}

impl From<Note> for String {
    fn from(note: Note) -> String {
        note.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_numbers_agree_with_the_midi_convention() {
        // MIDI: middle C is note 60, A4 = 69; contrabassoon's low B flat is 22, piccolo's top C is 108.
        for (name, midi) in [
            ("C4", 60),
            ("A4", 69),
            ("Bb0", 22),
            ("C8", 108),
            ("F#3", 54),
            ("Cb4", 59),
            ("c-1", 0),
            ("G9", 127),
        ] {
            assert_eq!(name.parse::<Note>().unwrap().midi(), midi, "{name}");
        }
    }

    #[test]
    fn every_note_reads_back_its_own_name() {
        for midi in 0..=127 {
            let note = Note::from_midi(midi).unwrap();
            assert_eq!(note.to_string().parse::<Note>().unwrap(), note);
            assert_eq!(note.spelled().parse::<Note>().unwrap(), note);
        }
    }

    #[test]
    fn players_read_flats_where_parts_have_them() {
        let names: Vec<_> = (58..70).map(|midi| Note::from_midi(midi).unwrap().spelled()).collect();
        let expected = ["B♭3", "B3", "C4", "D♭4", "D4", "E♭4", "E4", "F4", "F♯4", "G4", "A♭4", "A4"];
        assert_eq!(names, expected);
    }

    #[test]
    fn what_is_not_a_note_is_refused() {
        for bad in ["", "H4", "C", "C##4", "C44", "Cb-1", "G#9", "4C", "C 4x"] {
            assert!(bad.parse::<Note>().is_err(), "{bad}");
        }
    }
}
