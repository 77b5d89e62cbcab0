//! A score as a row of numbers, which is how it comes through the wasm door: a page's JavaScript has taken the JSON
//! apart already, and a second JSON decoder would be a quarter of the whole wasm. Must not know pages or memory.
//!
//! The row: version, start (server µs), beats in a bar, bars counted in; then for each span its length in beats (-1: on
//! without end), tempo (bpm), kind (0 straight, 1 pulses, 2 free, 3 rest) and pulses in a beat (0 unless kind is 1).
//! A score's note is not part of it: what a player is to play is set apart.

use windrow_protocol::score::{PerBeat, Score, Span, Target};
use windrow_protocol::units::{Beats, Bpm, Micros};

/// Numbers before the first span.
const HEAD: usize = 4;

/// Numbers of a span.
const SPAN: usize = 4;

/// Most numbers of a score.
pub(crate) const CAPACITY: usize = HEAD + SPAN * Score::MAX_SPANS;

/// Reads a score; it may still be one that cannot be played.
pub(crate) fn read(numbers: &[f64]) -> Result<Score, String> {
    let [version, start_us, beats_per_bar, count_in_bars, spans @ ..] = numbers else {
        return Err(wrong_length(numbers.len()));
    };
    if spans.len() % SPAN != 0 {
        return Err(wrong_length(numbers.len()));
    }
    Ok(Score {
        version: whole("score version", *version, u32::MAX)?,
        start_us: Micros::new(*start_us).map_err(|e| e.to_string())?,
        beats_per_bar: whole("beats in a bar", *beats_per_bar, u8::MAX)?,
        count_in_bars: whole("bars counted in", *count_in_bars, u8::MAX)?,
        spans: spans.chunks_exact(SPAN).map(span).collect::<Result<_, _>>()?,
        note: None,
    })
}

fn span(numbers: &[f64]) -> Result<Span, String> {
    let [length_beats, bpm, kind, per_beat] = *numbers else { return Err(wrong_length(numbers.len())) };
    let length_beats = match length_beats {
        -1.0 => None,
        beats => Some(Beats::new(beats).map_err(|e| e.to_string())?),
    };
    let target = match whole("kind of span", kind, 3)? {
        0u8 => Target::Straight,
        1 => Target::Pulses { per_beat: PerBeat::new(whole("pulses per beat", per_beat, u8::MAX)?)? },
        2 => Target::Free,
        _ => Target::Rest,
    };
    Ok(Span { length_beats, bpm: Bpm::new(bpm).map_err(|e| e.to_string())?, target })
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
        let numbers = [3.0, 5e6, 4.0, 1.0, 8.0, 60.0, 1.0, 3.0, 2.0, 66.0, 3.0, 0.0, -1.0, 72.5, 0.0, 0.0];
        // As it stands on the socket.
        let text = r#"{"version":3,"start_us":5000000,"beats_per_bar":4,"count_in_bars":1,"spans":[
            {"length_beats":8,"bpm":60,"target":{"kind":"pulses","per_beat":3}},
            {"length_beats":2,"bpm":66,"target":{"kind":"rest"}},
            {"bpm":72.5,"target":{"kind":"straight"}}]}"#;
        assert_eq!(read(&numbers).unwrap(), serde_json::from_str(text).unwrap());
    }

    #[test]
    fn a_number_that_does_not_fit_is_refused_by_name() {
        let good = [1.0, 0.0, 4.0, 0.0, 8.0, 60.0, 1.0, 3.0];
        for (place, bad, expected) in [
            (0, 0.5, "score version must be a whole number from 0 to 4294967295, but is 0.5"),
            (1, f64::NAN, "server time (µs) must be from"),
            (2, -4.0, "beats in a bar must be a whole number from 0 to 255, but is -4"),
            (4, -2.0, "length (beats) must be from 0"),
            (5, 0.0, "tempo (bpm) must be from 20 to 300, but is 0"),
            (6, 4.0, "kind of span must be a whole number from 0 to 3, but is 4"),
            (7, 9.0, "pulses per beat must be from 1 to 8, but is 9"),
        ] {
            let mut numbers = good;
            numbers[place] = bad;
            let said = read(&numbers).unwrap_err();
            assert!(said.starts_with(expected), "{said}");
        }
        assert!(read(&good[..7]).unwrap_err().ends_with("but there are 7"));
        assert!(read(&good[..3]).unwrap_err().ends_with("but there are 3"));
    }
}
