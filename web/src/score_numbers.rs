//! A score as a row of numbers, which is how it comes through the wasm door: a page's JavaScript has taken the JSON
//! apart already, and a second JSON decoder would be a quarter of the whole wasm. Must not know pages or memory.
//!
//! The row: version, start (server µs), beats in a bar; then for each span its length in beats, tempo (bpm), tempo at its
//! end (bpm), kind (0 straight, 1 pulses, 2 free, 3 rest, 4 count-in), pulses in a beat (0 unless kind is 1), number of the
//! bar that begins with it, the sounding note of this device's player (MIDI) and where the tuning puts that note (cents from
//! its place in equal temperament). What a span does not have is NaN. Who sounds the tick, how loud the music is and how
//! vibrato grows are not part of it: they are for people.

use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Score, Span, Target, TickFrom};
use windrow_protocol::units::{Beats, Bpm, Cents, Micros};

/// Numbers before the first span.
const HEAD: usize = 3;

/// Numbers of a span.
const SPAN: usize = 8;

/// Most numbers of a score.
pub(crate) const CAPACITY: usize = HEAD + SPAN * Score::MAX_SPANS;

/// Reads a score; it may still be one that cannot be played.
pub(crate) fn read(numbers: &[f64]) -> Result<Score, String> {
    let [version, start_us, beats_per_bar, spans @ ..] = numbers else {
        return Err(wrong_length(numbers.len()));
    };
    if spans.len() % SPAN != 0 {
        return Err(wrong_length(numbers.len()));
    }
    Ok(Score {
        version: whole("score version", *version, u32::MAX)?,
        start_us: Micros::new(*start_us).map_err(|e| e.to_string())?,
        beats_per_bar: whole("beats in a bar", *beats_per_bar, u8::MAX)?,
        tick: TickFrom::default(),
        spans: spans.chunks_exact(SPAN).map(span).collect::<Result<_, _>>()?,
    })
}

fn span(numbers: &[f64]) -> Result<Span, String> {
    let [length_beats, bpm, bpm_to, kind, per_beat, first_bar, midi, cents] = *numbers else {
        return Err(wrong_length(numbers.len()));
    };
    let tempo = |bpm| Bpm::new(bpm).map_err(|e| e.to_string());
    let target = match whole("kind of span", kind, 4)? {
        0u8 => Target::Straight,
        1 => Target::Pulses { per_beat: PerBeat::new(whole("pulses per beat", per_beat, u8::MAX)?)? },
        2 => Target::Free,
        3 => Target::Rest,
        _ => Target::CountIn,
    };
    let note_of = |midi: f64| {
        let midi = whole("note", midi, u8::MAX)?;
        Note::from_midi(midi.into()).ok_or_else(|| format!("there is no note with the MIDI number {midi}"))
    };
    Ok(Span {
        length_beats: given(length_beats).map(Beats::new).transpose().map_err(|e| e.to_string())?,
        bpm_to: given(bpm_to).map(tempo).transpose()?,
        first_bar: given(first_bar).map(|bar| bar as i32),
        note: given(midi).map(note_of).transpose()?,
        cents: given(cents).map(Cents::new).transpose().map_err(|e| e.to_string())?,
        ..Span::new(tempo(bpm)?, target)
    })
}

fn given(number: f64) -> Option<f64> {
    (!number.is_nan()).then_some(number)
}

fn wrong_length(n: usize) -> String {
    format!("a score is {HEAD} numbers and {SPAN} for each span, but there are {n}")
}

/// A whole number from nought to `most`.
fn whole<T: TryFrom<u32> + Into<u32>>(what: &str, value: f64, most: T) -> Result<T, String> {
    let most: u32 = most.into();
    if value.fract() == 0.0 && (0.0..=f64::from(most)).contains(&value) {
        if let Ok(whole) = T::try_from(value as u32) {
            return Ok(whole);
        }
    }
    Err(format!("{what} must be a whole number from 0 to {most}, but is {value}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_number_goes_to_its_place() {
        const NO: f64 = f64::NAN;
        let count_in = [4.0, 60.0, NO, 4.0, 0.0, 0.0, 65.0, NO];
        let rising = [8.0, 60.0, 66.0, 1.0, 3.0, NO, 69.0, -13.69];
        let rest = [2.0, 66.0, NO, 3.0, 0.0, NO, NO, NO];
        let straight = [NO, 72.5, NO, 0.0, 0.0, NO, NO, NO];
        let numbers = [&[3.0, 5e6, 4.0][..], &count_in, &rising, &rest, &straight].concat();
        // As it stands on the socket.
        let text = r#"{"version":3,"start_us":5000000,"beats_per_bar":4,"spans":[
            {"length_beats":4,"bpm":60,"target":{"kind":"count-in"},"first_bar":0,"note":"F4"},
            {"length_beats":8,"bpm":60,"bpm_to":66,"target":{"kind":"pulses","per_beat":3},"note":"A4","cents":-13.69},
            {"length_beats":2,"bpm":66,"target":{"kind":"rest"}},
            {"bpm":72.5,"target":{"kind":"straight"}}]}"#;
        assert_eq!(read(&numbers).unwrap(), serde_json::from_str(text).unwrap());
    }

    #[test]
    fn a_number_that_does_not_fit_is_refused_by_name() {
        let good = [1.0, 0.0, 4.0, 8.0, 60.0, f64::NAN, 1.0, 3.0, f64::NAN, f64::NAN, f64::NAN];
        for (place, bad, expected) in [
            (0, 0.5, "score version must be a whole number from 0 to 4294967295, but is 0.5"),
            (1, f64::NAN, "server time (µs) must be from"),
            (2, -4.0, "beats in a bar must be a whole number from 0 to 255, but is -4"),
            (3, -2.0, "length (beats) must be from 0"),
            (4, 0.0, "tempo (bpm) must be from 20 to 300, but is 0"),
            (5, 900.0, "tempo (bpm) must be from 20 to 300, but is 900"),
            (6, 5.0, "kind of span must be a whole number from 0 to 4, but is 5"),
            (7, 9.0, "pulses per beat must be from 1 to 8, but is 9"),
            (9, 200.0, "there is no note with the MIDI number 200"),
            (10, f64::INFINITY, "interval (cents) must be from"),
        ] {
            let mut numbers = good;
            numbers[place] = bad;
            let said = read(&numbers).unwrap_err();
            assert!(said.starts_with(expected), "{said}");
        }
        assert!(read(&good[..10]).unwrap_err().ends_with("but there are 10"));
        assert!(read(&good[..2]).unwrap_err().ends_with("but there are 2"));
    }
}
