//! Calls of the door in any order and with any numbers, chosen by bytes: what a page that is broken, or somebody at its console,
//! could do. Nothing may panic, since a panic ends the module for good; see `fuzz/`.

#[path = "../../../fuzz/choices.rs"]
mod choices;

use super::clicks::*;
use super::clock::*;
use super::score::*;
use super::*;
use choices::Choices;

/// Numbers that calls are given.
const NUMBERS: [f64; 32] = [
    0.0,
    1.0,
    -1.0,
    0.5,
    2.0,
    4.0,
    60.0,
    120.0,
    300.0,
    440.0,
    8000.0,
    16_000.0,
    44_100.0,
    48_000.0,
    192_000.0,
    1e6,
    990_000.0,
    1_010_000.0,
    2e6,
    1e9,
    -1e9,
    1e14,
    -1e14,
    1e300,
    -1e300,
    5e-324,
    f64::MAX,
    f64::MIN,
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    4_294_967_296.0,
];
/// Samples that a block may hold, besides those of a tone.
const SAMPLES: [f32; 8] = [0.0, 1.0, -1.0, f32::NAN, f32::INFINITY, f32::MAX, f32::MIN_POSITIVE, 1e-30];
/// Most calls of one run, and most samples pushed.
const MAX_CALLS: usize = 200;
const MAX_PUSHED: usize = 60_000;

impl Choices<'_> {
    fn number(&mut self) -> f64 {
        self.of(&NUMBERS)
    }

    /// A count as a page would give it: small, at a border, or far beyond.
    fn count(&mut self) -> u32 {
        match self.next() {
            n @ 0..=199 => n as u32 * 32,
            n if n % 2 == 0 => u32::MAX,
            n => n as u32 * 100,
        }
    }
}

/// Whether everything in the output can be read.
fn output_is_text(is_json: bool) {
    let text = with(|door| door.output.clone());
    assert_eq!(text.len(), output_len() as usize);
    if is_json {
        for line in text.lines() {
            assert!(serde_json::from_str::<serde_json::Value>(line).is_ok(), "no JSON: {line}");
        }
    }
}

/// Calls chosen by bytes.
pub fn calls(bytes: &[u8]) {
    with(|door| *door = Door::new());
    let (mut choices, mut n_pushed) = (Choices(bytes), 0);
    for _ in 0..MAX_CALLS {
        if choices.0.is_empty() {
            break;
        }
        call(&mut choices, &mut n_pushed);
    }
}

fn call(choices: &mut Choices<'_>, n_pushed: &mut usize) {
    match choices.next() % 16 {
        0 => {
            let _ = listener_open(choices.number(), choices.number());
        }
        1 => {
            let _ = listener_time_map(choices.number(), choices.number());
        }
        2 => score(choices),
        3 | 4 => {
            fill(choices);
            let n = choices.count();
            *n_pushed += (n as usize).min(INPUT_CAPACITY);
            if *n_pushed <= MAX_PUSHED {
                listener_push(n);
                output_is_text(true);
            }
        }
        5 => listener_leave_out(choices.number(), choices.number()),
        6 => listener_resume(choices.count()),
        7 => {
            let n = score_ticks(choices.number(), choices.number());
            assert!(n as usize <= Timeline::MAX_TICKS);
        }
        8 => {
            let beat = choices.number();
            let _ = (score_beat_at(beat), score_time_of(beat), score_span_at(beat), score_bpm_at(beat));
            let _ = (score_bar_line_at(beat), score_bar_at(beat), score_spoken_at(beat));
        }
        9 => {
            let _ = clock_add(choices.number(), choices.number(), choices.number(), choices.number());
        }
        10 => {
            let at = choices.number();
            let _ = (clock_server_us(at), clock_device_us(at), clock_quality(at), clock_error_us(at));
            let _ = (clock_error_bound_us(at), clock_n_exchanges());
        }
        11 => clock_settle(),
        12 => {
            let n = click_sound(choices.next() as u32 % 4, choices.next() as u32 % 5, choices.number());
            assert!(n <= 192_000, "a click of {n} samples");
        }
        13 => {
            let _ = calibrate_open(choices.number(), choices.next() as u32 % 3);
            calibrate_tick(choices.number());
        }
        14 => {
            listener_ticks_sound(choices.next() as i32 % 2);
            calibrate_tick(choices.number());
        }
        _ => {
            calibrate_push(choices.count());
            // Searches all that was heard.
            if calibrate_result() == 1 {
                output_is_text(true);
            }
            calibrate_close();
        }
    }
}

/// A score of up to eight spans, most of its numbers such as could be.
fn score(choices: &mut Choices<'_>) {
    let n_spans = choices.next() % 9;
    let usual = [4.0, 60.0, f64::NAN, 1.0, 3.0, f64::NAN, 65.0, f64::NAN];
    let mut numbers = vec![choices.next() as f64, choices.number(), choices.next() as f64 % 14.0];
    for _ in 0..n_spans {
        let odd = choices.next() % 16;
        numbers.extend(usual);
        if odd < usual.len() {
            let place = numbers.len() - usual.len() + odd;
            numbers[place] = choices.number();
        }
    }
    with(|door| door.score_in[..numbers.len()].copy_from_slice(&numbers));
    let n = if choices.next() % 8 == 0 { choices.count() } else { numbers.len() as u32 };
    let _ = score_set(n);
    output_is_text(false);
}

/// A block of a tone, with an odd sample now and then.
fn fill(choices: &mut Choices<'_>) {
    let (pitch, odd) = (choices.next() as f32 / 400.0, choices.next());
    with(|door| {
        for (i, sample) in door.input.iter_mut().enumerate() {
            *sample = (i as f32 * pitch).sin() * 0.3;
            if odd > 128 && i % (odd * 3) == 0 {
                *sample = SAMPLES[(i + odd) % SAMPLES.len()];
            }
        }
    });
}

#[cfg(test)]
#[path = "../../../fuzz/replay.rs"]
mod replay;

#[cfg(test)]
mod tests {
    #[test]
    fn calls_in_any_order_leave_the_door_open() {
        super::replay::replay("door", 150, super::calls);
    }
}
