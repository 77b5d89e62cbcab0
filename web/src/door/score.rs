//! The door to the music: the score comes in as numbers, beats, bars and ticks go out. It holds no rule of its own; the
//! timeline is the protocol's.

use super::with;
use crate::score_numbers;
use windrow_protocol::timeline::TickKind;

/// Where to put a score for [`score_set`]: `score_in_capacity()` little-endian `f64`.
#[unsafe(no_mangle)]
pub extern "C" fn score_in_ptr() -> *mut f64 {
    with(|door| door.score_in.as_mut_ptr())
}

/// Most numbers a score can have: 3 and 8 for each of 2000 spans.
#[unsafe(no_mangle)]
pub extern "C" fn score_in_capacity() -> u32 {
    score_numbers::CAPACITY as u32
}

/// Sets the music from the first `n_numbers` of the score input; 0 for none. They are: version, start (server µs), beats
/// in a bar; then for each span its length in beats (NaN: on without end), tempo (bpm), tempo at its end (NaN: the same),
/// kind (0 straight, 1 pulses, 2 free, 3 rest, 4 count-in), pulses in a beat (0 unless kind is 1), number of the bar that
/// begins with it (NaN: bars go on), sounding note of this player (MIDI; NaN: any) and where the tuning puts it (cents from
/// equal temperament; NaN: there). An open listener takes it over.
/// Returns 0, or 1 with the reason in the output (the former score stays).
#[unsafe(no_mangle)]
pub extern "C" fn score_set(n_numbers: u32) -> i32 {
    with(|door| {
        let outcome = door.set_score(n_numbers as usize);
        door.answer(outcome)
    })
}

/// Beat at a server time; beat nought is the score's first. NaN without a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_beat_at(server_us: f64) -> f64 {
    with(|door| door.timeline.as_ref().map_or(f64::NAN, |timeline| timeline.beat_at(server_us)))
}

/// Server time of a beat, µs. NaN without a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_time_of(beat: f64) -> f64 {
    with(|door| door.timeline.as_ref().map_or(f64::NAN, |timeline| timeline.time_of(beat)))
}

/// Place in the score's list, from 0, of the span that holds a beat; -1 before beat nought, past the end, and without
/// a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_span_at(beat: f64) -> i32 {
    with(|door| {
        let span_idx = door.timeline.as_ref().and_then(|timeline| timeline.span_index_at(beat));
        span_idx.map_or(-1, |i| i32::try_from(i).expect("a score has at most 2000 spans"))
    })
}

/// Tempo at a beat, bpm. NaN without a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_bpm_at(beat: f64) -> f64 {
    with(|door| door.timeline.as_ref().map_or(f64::NAN, |timeline| timeline.bpm_at(beat)))
}

/// Beat of the bar line at or before a beat. NaN without a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_bar_line_at(beat: f64) -> f64 {
    with(|door| door.timeline.as_ref().map_or(f64::NAN, |timeline| timeline.bar_line_at(beat)))
}

/// Number of the bar that holds a beat: 1 for an exercise's first, nought and less in its count-in; 0 without a score.
#[unsafe(no_mangle)]
pub extern "C" fn score_bar_at(beat: f64) -> i32 {
    with(|door| door.timeline.as_ref().map_or(0, |timeline| timeline.bar_at(beat)))
}

/// The number spoken on a beat of a count-in; 0 where none is.
#[unsafe(no_mangle)]
pub extern "C" fn score_spoken_at(beat: f64) -> u32 {
    let spoken = with(|door| door.timeline.as_ref().and_then(|timeline| timeline.spoken_at(beat)));
    spoken.map_or(0, u32::from)
}

/// Lists the ticks from one server time (included) to another (not included), at most 4800, and returns how many. They
/// stand at `ticks_ptr` as pairs of little-endian `f64`: server time (µs), and weight (0 first of a bar, 1 another beat,
/// 2 of the subdivision). Good until the next call.
#[unsafe(no_mangle)]
pub extern "C" fn score_ticks(from_us: f64, to_us: f64) -> u32 {
    with(|door| {
        let ticks = door.timeline.as_ref().map(|timeline| timeline.ticks_between(from_us, to_us));
        door.ticks = ticks.unwrap_or_default().iter().map(|tick| [tick.time_us, weight(tick.kind)]).collect();
        door.ticks.len() as u32
    })
}

/// Where the ticks of [`score_ticks`] lie.
#[unsafe(no_mangle)]
pub extern "C" fn ticks_ptr() -> *const [f64; 2] {
    with(|door| door.ticks.as_ptr())
}

fn weight(kind: TickKind) -> f64 {
    match kind {
        TickKind::Bar => 0.0,
        TickKind::Beat => 1.0,
        TickKind::Between => 2.0,
    }
}
