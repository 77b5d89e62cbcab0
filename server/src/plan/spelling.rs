//! How a note is spelled in a plan. Pure.

use windrow_protocol::note::Note;

/// The names wind parts use most; common practice, no source. The pages spell alike.
const NAMES: [&str; 12] = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

/// With flats where wind players read flats: Bb4, not A#4.
pub(crate) fn spelled(note: Note) -> String {
    let midi = note.midi();
    format!("{}{}", NAMES[usize::from(midi % 12)], i32::from(midi / 12) - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spelled_note_is_the_same_note() {
        for midi in 0..=127 {
            let note = Note::from_midi(midi).unwrap();
            assert_eq!(spelled(note).parse(), Ok(note));
        }
        assert_eq!(spelled("A#4".parse().unwrap()), "Bb4");
    }
}
