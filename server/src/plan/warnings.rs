//! What can be played but is doubtful: a teacher may have a reason for it. Pure.

use super::compile::compile;
use super::length::{length, minutes, rates};
use super::model::Plan;
use super::place::of_exercise;
use windrow_protocol::phrase::Phrase;

/// Pulses a second above which nobody plays a vibrato: recorded flutists stay at 5 to 8, mostly 5.5 to 7 (Garrison 2012, British
/// Flute Society), and pulses from the breath give way to the larynx at 5 to 6 (Gärtner 1981, as quoted by Billington).
const MOST_HZ: f64 = 7.0;
/// Longest playing without a rest, s. Our own choice.
pub(super) const LONGEST_PLAYING_S: f64 = 300.0;

/// What a teacher may want to look at again, each with its place.
pub(crate) fn warnings(plan: &Plan) -> Vec<Phrase> {
    let pieces = compile(plan).pieces;
    let mut found = Vec::new();
    for (i, (exercise, piece)) in plan.exercises.iter().zip(&pieces).enumerate() {
        let value = serde_json::to_value(exercise).expect("plain data becomes JSON");
        let name = of_exercise(i, &value);
        if let Some(rates) = rates(piece).filter(|rates| rates.most_hz > MOST_HZ) {
            let text = Phrase::of("plan-too-fast").with("exercise", name.clone());
            found.push(text.with("rates", rates.phrase()).with("most", MOST_HZ));
        }
        if piece.spans.last().is_some_and(|span| span.length_beats.is_none()) && i + 1 < pieces.len() {
            found.push(Phrase::of("plan-waits").with("exercise", name));
        }
    }
    let playing_s = length(plan).longest_playing_s;
    if playing_s > LONGEST_PLAYING_S {
        found.push(Phrase::of("plan-no-rest").with("minutes", minutes(playing_s)));
    }
    found
}
