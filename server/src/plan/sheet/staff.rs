//! Where a sounding note stands on the staff of whoever reads it: octave, transposition, spelling, accidentals. Pure; knows no
//! pictures.

use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;

/// Semitones over C of the letters C to B.
const LETTERS: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Clef {
    Treble,
    Bass,
}

impl Clef {
    /// Steps from C0 to the bottom line: E4 in the treble clef, G2 in the bass clef.
    fn bottom_step(self) -> i32 {
        match self {
            Clef::Treble => 4 * 7 + 2,
            Clef::Bass => 2 * 7 + 4,
        }
    }
}

/// A written note as it stands on a staff.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Pitch {
    /// Steps over the bottom line: 0 on it, 1 in the first space, 8 on the top line.
    pub(super) step: i32,
    /// Semitones by which its accidental alters it: -1, 0 or 1.
    pub(super) alter: i32,
}

/// Whose staff.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Reader(pub(super) Option<Instrument>);

impl Reader {
    /// The clef of the instrument; treble for a score in concert pitch.
    pub(super) fn clef(self) -> Clef {
        match self.0 {
            Some(Instrument::Bassoon | Instrument::Contrabassoon) => Clef::Bass,
            _ => Clef::Treble,
        }
    }

    /// A line of sounding notes as it is written for the reader, all of it in the octave that lies best.
    pub(super) fn line(self, sounding: &[Note]) -> Vec<Pitch> {
        // A score in concert pitch is read like a flute's part.
        let instrument = self.0.unwrap_or(Instrument::Flute);
        let up = instrument.octaves_for(sounding, 0) - instrument.transposition();
        let written: Vec<i32> = sounding.iter().map(|note| i32::from(note.midi()) + up).collect();
        let key = if written.len() > 1 { key_of(&written) } else { SINGLE_NOTES };
        written.into_iter().map(|midi| pitch(midi, key, self.clef())).collect()
    }
}

/// The key, in fifths from C, in which single notes are spelled: with C sharp and F sharp, but E, A and B flat, as wind parts do
/// most and as the players' pages do.
const SINGLE_NOTES: i32 = -1;

/// The major key, in fifths from C, that holds most of the notes; of several the one with the fewest accidentals.
fn key_of(written: &[i32]) -> i32 {
    let is_in = |key: i32, midi: i32| {
        // A major scale is the row of fifths from one before its tonic to five after it.
        let place = (midi * 7 - key + 1).rem_euclid(12);
        place <= 6
    };
    let n_in = |key: i32| written.iter().filter(|&&midi| is_in(key, midi)).count();
    let keys = (-5..=4).rev();
    keys.max_by_key(|&key| (n_in(key), -key.abs())).unwrap_or(SINGLE_NOTES)
}

/// Spells a written note in a key: out of the row of twelve fifths from three before its tonic (the flat third) to eight after
/// it (the sharp fifth), so that leading notes are raised and blue ones lowered. Common practice, no source.
fn pitch(midi: i32, key: i32, clef: Clef) -> Pitch {
    let fifths = key - 3 + (midi * 7 - (key - 3)).rem_euclid(12);
    // F C G D A E B, and the same with sharps and flats seven places on and back.
    let letter = (fifths * 4).rem_euclid(7);
    let alter = (fifths + 1).div_euclid(7);
    let octave = (midi - alter - LETTERS[letter as usize]).div_euclid(12) - 1;
    Pitch { step: octave * 7 + letter - clef.bottom_step(), alter }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notes(names: &str) -> Vec<Note> {
        names.split(' ').map(|name| name.parse().unwrap()).collect()
    }

    /// Names of the written notes, from their place on the staff.
    fn check(instrument: Option<Instrument>, sounding: &str, written: &str) {
        let reader = Reader(instrument);
        let name = |pitch: &Pitch| {
            let steps = pitch.step + reader.clef().bottom_step();
            let letter = b"CDEFGAB"[steps.rem_euclid(7) as usize] as char;
            format!("{letter}{}{}", ["b", "", "#"][(pitch.alter + 1) as usize], steps.div_euclid(7))
        };
        let names: Vec<String> = reader.line(&notes(sounding)).iter().map(name).collect();
        assert_eq!(names.join(" "), written, "{sounding} for {instrument:?}");
    }

    #[test]
    fn lines_and_spaces_are_those_of_the_clefs() {
        // Treble: E4 on the bottom line, F5 on the top one; bass: G2 and A3. Middle C lies a ledger line below the one and
        // above the other.
        let steps = |instrument, names| -> Vec<i32> {
            Reader(instrument).line(&notes(names)).iter().map(|pitch| pitch.step).collect()
        };
        assert_eq!(steps(None, "C4 E4 G4 B4 D5 F5 A5"), [-2, 0, 2, 4, 6, 8, 10]);
        assert_eq!(steps(Some(Instrument::Bassoon), "G2 B2 D3 F3 A3 C4"), [0, 2, 4, 6, 8, 10]);
    }

    #[test]
    fn each_instrument_reads_its_own_note_on_its_staff() {
        use Instrument::{
            AltoSax, BaritoneSax, Bassoon, ClarinetBb, CorAnglais, Flute, Horn, Piccolo, TenorSax,
        };
        // Sounding F4. Transpositions by the orchestration tables: an alto sax in E flat sounds a sixth lower than written, a
        // tenor a ninth, a baritone an octave and a sixth; clarinet a tone, horn and cor anglais a fifth, piccolo an octave higher.
        for (instrument, written) in [
            (Flute, "F4"),
            (AltoSax, "D5"),
            (ClarinetBb, "G4"),
            (Horn, "C5"),
            (CorAnglais, "C5"),
            (TenorSax, "G4"),
            (BaritoneSax, "D5"),
            (Piccolo, "F4"),
            (Bassoon, "F3"),
        ] {
            check(Some(instrument), "F4", written);
        }
        check(None, "F4", "F4");
    }

    #[test]
    fn a_line_keeps_its_contour() {
        // Ab4 is the top of an alto sax's staff (written F5), A4 is over it: taken one by one, the notes would part by an octave.
        check(Some(Instrument::AltoSax), "F4 G4 A4 Bb4 C5", "D4 E4 F#4 G4 A4");
        check(Some(Instrument::Bassoon), "F4 G4 A4 Bb4 C5", "F2 G2 A2 Bb2 C3");
        check(Some(Instrument::Flute), "F4 G4 A4 Bb4 C5", "F4 G4 A4 Bb4 C5");
    }

    #[test]
    fn accidentals_follow_the_key() {
        // E flat major as it sounds, and C major for the alto sax; A major for the alto sax has G sharp, not A flat.
        check(None, "Eb4 F4 G4 Ab4 Bb4", "Eb4 F4 G4 Ab4 Bb4");
        check(Some(Instrument::AltoSax), "Eb4 F4 G4 Ab4 Bb4", "C5 D5 E5 F5 G5");
        check(None, "A4 B4 C#5 G#4 A4", "A4 B4 C#5 G#4 A4");
        // A minor with its leading note.
        check(None, "A4 B4 C5 D5 E5 G#4 A4", "A4 B4 C5 D5 E5 G#4 A4");
        for name in ["C#5", "Eb5", "F#4", "Ab4", "Bb4"] {
            check(None, name, name);
        }
    }
}
