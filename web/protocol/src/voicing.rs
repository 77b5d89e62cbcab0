//! Which chair plays which note: one note for all, or a chord dealt so that equal notes sit far apart. Pure; knows neither
//! rooms nor players.

use crate::instrument::Instrument;
use crate::note::Note;
use crate::span::ChairNote;
use crate::units::Cents;
use serde::{Deserialize, Serialize};

/// How an exercise's note is spread over the chairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Voicing {
    /// The same sounding note; another octave for whom it lies badly.
    #[default]
    Unison,
    /// The same note, each in the octave that lies best.
    Octaves,
    /// Root and fifth.
    Fifth,
    /// A major triad.
    Triad,
    /// The first three steps of a major scale.
    Steps,
}

/// Where the notes of a chord lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tuning {
    /// Twelve equal steps to the octave.
    #[default]
    Equal,
    /// In whole-number ratios to the root.
    Just,
}

impl Voicing {
    /// All of them.
    pub const ALL: [Voicing; 5] =
        [Voicing::Unison, Voicing::Octaves, Voicing::Fifth, Voicing::Triad, Voicing::Steps];

    /// What a teacher calls it.
    pub fn word(self) -> &'static str {
        match self {
            Voicing::Unison => "unison",
            Voicing::Octaves => "octaves",
            Voicing::Fifth => "fifth",
            Voicing::Triad => "triad",
            Voicing::Steps => "steps",
        }
    }

    /// Semitones over the root, in the order in which chairs get them.
    fn degrees(self) -> &'static [i32] {
        match self {
            Voicing::Unison | Voicing::Octaves => &[0],
            Voicing::Fifth => &[0, 7],
            Voicing::Triad => &[0, 4, 7],
            Voicing::Steps => &[0, 2, 4],
        }
    }

    /// The same as frequency ratios to the root, in just intonation: 9/8, 5/4 and 3/2.
    fn ratios(self) -> &'static [f64] {
        match self {
            Voicing::Unison | Voicing::Octaves => &[1.0],
            Voicing::Fifth => &[1.0, 3.0 / 2.0],
            Voicing::Triad => &[1.0, 5.0 / 4.0, 3.0 / 2.0],
            Voicing::Steps => &[1.0, 9.0 / 8.0, 5.0 / 4.0],
        }
    }

    /// A note for each chair. Neighbours get different notes where there are several: of chairs in a row, equal notes then
    /// sit as far apart as the number of different ones allows.
    pub fn deal(self, root: Note, tuning: Tuning, chairs: &[(u16, Instrument)]) -> Vec<ChairNote> {
        self.deal_of_line(root, &[root], tuning, chairs)
    }

    /// The same for a note of a line, which each instrument plays in one octave: taken one by one, its notes would part where
    /// the staff ends.
    pub fn deal_of_line(
        self,
        root: Note,
        line: &[Note],
        tuning: Tuning,
        chairs: &[(u16, Instrument)],
    ) -> Vec<ChairNote> {
        let degrees = self.degrees().iter().copied().zip(self.ratios()).cycle();
        let dealt = chairs.iter().zip(degrees).map(|(&(chair, instrument), (degree, ratio))| {
            let wanted = root.transposed(degree).unwrap_or(root);
            let note = match self {
                Voicing::Octaves if line.len() == 1 => instrument.friendliest(wanted),
                _ => wanted.transposed(instrument.octaves_for(line, degree)).unwrap_or(wanted),
            };
            let off_cents = 1200.0 * ratio.log2() - 100.0 * f64::from(degree);
            let is_off = tuning == Tuning::Just && degree != 0;
            ChairNote { chair, note, cents: Cents::clamped(off_cents).filter(|_| is_off) }
        });
        dealt.collect()
    }
}

/// Written notes on the staff, from its lowest line to its highest: E4 to F5 in the treble clef, G2 to A3 in the bass clef.
/// They lie well in the hands of a student and away from the ends of the range, where notes bend too easily; common
/// practice, no source.
const TREBLE_STAFF: (i32, i32) = (64, 77);
const BASS_STAFF: (i32, i32) = (43, 57);

impl Instrument {
    /// Lowest and highest sounding note that are written on the staff.
    fn staff(self) -> (i32, i32) {
        let (low, high) = match self {
            Instrument::Bassoon | Instrument::Contrabassoon => BASS_STAFF,
            _ => TREBLE_STAFF,
        };
        (low + self.transposition(), high + self.transposition())
    }

    /// Whether a sounding note is written on the staff.
    pub fn lies_well(self, note: Note) -> bool {
        let (low, high) = self.staff();
        (low..=high).contains(&i32::from(note.midi()))
    }

    /// Semitones, whole octaves, by which a line that lies `degree` semitones over the written one is moved: so that as many of
    /// its notes as can be are written on the staff, and all within the range where that is possible; of several the least move.
    pub fn octaves_for(self, line: &[Note], degree: i32) -> i32 {
        let (low, high) = self.sounding_range();
        let badly = |octaves: &i32| {
            let moved = |note: &Note| note.transposed(degree + 12 * octaves);
            let count = |is_well: &dyn Fn(Note) -> bool| {
                line.iter().filter(|note| !moved(note).is_some_and(is_well)).count()
            };
            let n_beyond = count(&|note| (low..=high).contains(&note));
            (n_beyond, count(&|note| self.lies_well(note)), octaves.abs())
        };
        12 * (-7..=7).min_by_key(badly).unwrap_or(0)
    }

    /// The same note in the octave nearest to the middle of the staff.
    fn friendliest(self, note: Note) -> Note {
        let (low, high) = self.staff();
        self.on_the_staff(note, (low + high) / 2)
    }

    fn on_the_staff(self, note: Note, near: i32) -> Note {
        let (low, high) = self.staff();
        let same = (low..=high).filter(|midi| (midi - i32::from(note.midi())) % 12 == 0);
        let nearest = same.min_by_key(|midi| (midi - near).abs());
        nearest.and_then(Note::from_midi).unwrap_or(note)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(name: &str) -> Note {
        name.parse().unwrap()
    }

    fn names(voicing: Voicing, root: &str, instruments: &[Instrument]) -> Vec<String> {
        let chairs: Vec<_> = (1..).zip(instruments.iter().copied()).collect();
        voicing.deal(note(root), Tuning::Equal, &chairs).iter().map(|dealt| dealt.note.to_string()).collect()
    }

    #[test]
    fn every_note_of_every_voicing_can_be_played_and_is_on_the_staff() {
        for &instrument in Instrument::ALL {
            let (low, high) = instrument.sounding_range();
            for voicing in Voicing::ALL {
                for midi in 24..100 {
                    let root = Note::from_midi(midi).unwrap();
                    for dealt in voicing.deal(
                        root,
                        Tuning::Equal,
                        &[(1, instrument), (2, instrument), (3, instrument)],
                    ) {
                        assert!((low..=high).contains(&dealt.note), "{} {}", instrument.label(), dealt.note);
                        assert!(instrument.lies_well(dealt.note), "{} {}", instrument.label(), dealt.note);
                    }
                }
            }
        }
    }

    #[test]
    fn a_unison_is_one_sounding_note_but_for_whom_it_lies_badly() {
        use Instrument::{AltoSax, Bassoon, ClarinetBb, Flute, Piccolo, TenorSax};
        let all = [Flute, ClarinetBb, AltoSax, TenorSax, Bassoon, Piccolo];
        // Written: F4, G4, D5; F4 would be G5 for a tenor sax (over the staff), F4 for a bassoon and F3 for a piccolo.
        assert_eq!(names(Voicing::Unison, "F4", &all), ["F4", "F4", "F4", "F3", "F3", "F5"]);
    }

    #[test]
    fn a_line_stays_in_one_octave() {
        // A bassoon's staff ends at A3: A4 alone comes down an octave, Bb4 two; in a line both do.
        let line = ["A#4", "C5", "A4"].map(note);
        let dealt = |instrument| {
            let deal =
                |&root: &Note| Voicing::Unison.deal_of_line(root, &line, Tuning::Equal, &[(1, instrument)]);
            line.iter().map(|root| deal(root)[0].note.to_string()).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(dealt(Instrument::Bassoon), "A#2 C3 A2");
        assert_eq!(dealt(Instrument::Flute), "A#4 C5 A4");
        assert_eq!(names(Voicing::Unison, "A4", &[Instrument::Bassoon]), ["A3"]);
    }

    #[test]
    fn a_chord_is_dealt_so_that_neighbours_differ() {
        let flutes = [Instrument::Flute; 7];
        assert_eq!(names(Voicing::Triad, "F4", &flutes), ["F4", "A4", "C5", "F4", "A4", "C5", "F4"]);
        assert_eq!(names(Voicing::Fifth, "F4", &flutes[..4]), ["F4", "C5", "F4", "C5"]);
        assert_eq!(names(Voicing::Steps, "G4", &flutes[..3]), ["G4", "A4", "B4"]);
        for voicing in [Voicing::Fifth, Voicing::Triad, Voicing::Steps] {
            let dealt = names(voicing, "G4", &flutes);
            assert!(dealt.windows(2).all(|pair| pair[0] != pair[1]), "{dealt:?}");
        }
    }

    #[test]
    fn just_notes_lie_where_the_ratios_put_them() {
        // Cents from equal temperament: 5/4 -13.69, 3/2 +1.96, 9/8 +3.91 (common tables; 1200 log2 of the ratio).
        let cents = |voicing: Voicing| {
            let chairs = [(1, Instrument::Flute), (2, Instrument::Flute), (3, Instrument::Flute)];
            let dealt = voicing.deal(note("F4"), Tuning::Just, &chairs);
            dealt.iter().map(|d| d.cents.map(|c| (c.get() * 100.0).round() / 100.0)).collect::<Vec<_>>()
        };
        assert_eq!(cents(Voicing::Triad), [None, Some(-13.69), Some(1.96)]);
        assert_eq!(cents(Voicing::Steps), [None, Some(3.91), Some(-13.69)]);
        assert_eq!(cents(Voicing::Unison), [None, None, None]);
    }

    #[test]
    fn a_concert_b_flat_is_written_as_every_band_knows_it() {
        // C for instruments in B flat, G for those in E flat, F for those in F, D flat for the clarinet in A, E flat for the
        // alto flute in G; the octave is that on the staff nearest to its middle. Transpositions:
        // orchestrationresources.com/woodwinds/overview.
        use Instrument::*;
        let b_flat = note("Bb3");
        for (written, instruments) in [
            ("B♭4", &[Piccolo, Flute, Oboe][..]),
            ("E♭5", &[AltoFlute]),
            ("C5", &[ClarinetBb, BassClarinet, SopranoSax, TenorSax]),
            ("G4", &[ClarinetEb, AltoSax, BaritoneSax]),
            ("F4", &[CorAnglais, Horn]),
            ("D♭5", &[ClarinetA]),
            ("B♭2", &[Bassoon, Contrabassoon]),
        ] {
            for &instrument in instruments {
                let dealt = Voicing::Octaves.deal(b_flat, Tuning::Equal, &[(1, instrument)]);
                let read = instrument.written(dealt[0].note).map(Note::spelled);
                assert_eq!(read.as_deref(), Some(written), "{instrument:?}");
            }
        }
    }

    #[test]
    fn octaves_put_each_in_the_middle_of_the_staff() {
        use Instrument::{Contrabassoon, Flute, Piccolo};
        assert_eq!(names(Voicing::Octaves, "A4", &[Flute, Piccolo, Contrabassoon]), ["A4", "A5", "A1"]);
    }
}
