//! Notes and instruments in the reader's language. It must know no page and no plan.

use super::Words;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;
use windrow_protocol::phrase::Phrase;

impl Words {
    /// As a player reads it, such as "B♭4", in German "B4"; files and the wire have names of their own.
    #[must_use]
    pub fn note(self, note: Note) -> String {
        self.phrase(&Phrase::note(note))
    }

    /// "flute".
    #[must_use]
    pub fn instrument(self, instrument: Instrument) -> String {
        self.phrase(&instrument.phrase())
    }

    /// The same where the instrument is not at hand: it stands in a part that the program made.
    #[must_use]
    pub fn part_by_itself(self, part: &str) -> String {
        let labels = Instrument::ALL.iter().copied();
        // The longest first: "alto flute 1" is no flute's.
        let made = labels.filter(|i| part.starts_with(i.label())).max_by_key(|i| i.label().len());
        made.map_or_else(|| part.to_owned(), |instrument| self.part(part, instrument))
    }

    /// A player's part. One that the program made, "flute 2", is said in the reader's language; what a person typed stays.
    #[must_use]
    pub fn part(self, part: &str, instrument: Instrument) -> String {
        let number = part.strip_prefix(instrument.label()).and_then(|rest| rest.strip_prefix(' '));
        match number.and_then(|number| number.parse::<u32>().ok()) {
            Some(n) => self
                .of("part-numbered")
                .arg("instrument", self.instrument(instrument))
                .arg("n", n)
                .to_string(),
            None => part.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Language;
    use super::*;

    const ENGLISH: Words = Words { language: Language::English };
    const GERMAN: Words = Words { language: Language::German };

    #[test]
    fn notes_are_named_as_in_each_language() {
        for midi in 0..=127 {
            let note = Note::from_midi(midi).unwrap();
            assert_eq!(ENGLISH.note(note), note.spelled());
        }
        // The names of the twelve as German school books have them, B the note below H: from memory.
        let names: Vec<String> = (58..70).map(|midi| GERMAN.note(Note::from_midi(midi).unwrap())).collect();
        let expected = ["B3", "H3", "C4", "Des4", "D4", "Es4", "E4", "F4", "Fis4", "G4", "As4", "A4"];
        assert_eq!(names, expected);
    }

    #[test]
    fn instruments_have_a_name_in_each_language() {
        for &instrument in Instrument::ALL {
            assert_eq!(ENGLISH.instrument(instrument), instrument.label());
            let german = GERMAN.instrument(instrument);
            assert!(german.starts_with(char::is_uppercase) && !german.contains("instrument-"), "{german}");
        }
    }

    #[test]
    fn a_part_that_nobody_named_is_said_in_the_reader_s_language() {
        assert_eq!(GERMAN.part("flute 2", Instrument::Flute), "Flöte 2");
        assert_eq!(GERMAN.part("clarinet in B flat 1", Instrument::ClarinetBb), "B-Klarinette 1");
        assert_eq!(ENGLISH.part("flute 2", Instrument::Flute), "flute 2");
        for (part, expected) in
            [("alto flute 1", "Altflöte 1"), ("flute 2", "Flöte 2"), ("first flute", "first flute")]
        {
            assert_eq!(GERMAN.part_by_itself(part), expected);
        }
        for typed in ["solo", "flute", "flute two", "flute 2nd", "oboe 1", ""] {
            assert_eq!(GERMAN.part(typed, Instrument::Flute), typed);
        }
    }
}
