//! The wasm door: what JavaScript calls. Numbers go in and out as numbers, samples and scores through fixed buffers in
//! the module's memory, messages as text. Each thread of the page has an instance of its own: the Worker listens, the main thread keeps
//! the score and the clock. The door holds no rule of its own; it only turns calls into those of the crates behind it.
//!
//! # Conventions
//! - Pointers are byte offsets into `memory`; views on it must be made anew after a call that may have grown it
//!   (`listener_open`, `listener_push`, `score_set`, `score_ticks`, `click_sound`, `calibrate_push`).
//! - Functions that can be refused return 0 when done and 1 when refused, with the reason as text in the output.
//! - Text is UTF-8 without a closing zero. The output holds the text of the last call that says it writes some.
//! - Times are server µs unless the name says otherwise; what is not known comes back as NaN.

pub mod clicks;
pub mod clock;
#[cfg(any(test, feature = "fuzzing"))]
#[doc(hidden)]
pub mod fuzzed;
pub mod score;

use crate::listener::{Listener, TimeMap};
use crate::score_numbers;
use std::cell::RefCell;
use windrow_analysis::Config;
use windrow_analysis::click::Calibration;
use windrow_protocol::clock::SharedClock;
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;

/// Samples one push may bring: 170 ms at 48 kHz, twice the largest block a page gathers.
const INPUT_CAPACITY: usize = 8192;

struct Door {
    input: Box<[f32]>,
    score_in: Box<[f64]>,
    output: String,
    listener: Option<Listener>,
    /// Of the open listener's stream.
    sample_rate_hz: f64,
    score: Option<Score>,
    timeline: Option<Timeline>,
    ticks: Vec<[f64; 2]>,
    clock: SharedClock,
    /// Samples of the last click asked for.
    click: Vec<f32>,
    calibration: Option<Calibration>,
}

impl Door {
    fn new() -> Self {
        Self {
            input: vec![0.0; INPUT_CAPACITY].into(),
            score_in: vec![0.0; score_numbers::CAPACITY].into(),
            output: String::new(),
            listener: None,
            sample_rate_hz: 1.0,
            score: None,
            timeline: None,
            ticks: Vec::new(),
            clock: SharedClock::new(),
            click: Vec::new(),
            calibration: None,
        }
    }

    fn answer<E: std::fmt::Display>(&mut self, outcome: Result<(), E>) -> i32 {
        self.output.clear();
        match outcome {
            Ok(()) => 0,
            Err(refusal) => {
                self.output = refusal.to_string();
                1
            }
        }
    }

    fn open_listener(&mut self, sample_rate_hz: f64, a4_hz: f64) -> Result<(), String> {
        self.listener = None;
        let config = Config { sample_rate_hz, a4_hz, expected_midi: None };
        let mut listener = Listener::new(config).map_err(|e| e.to_string())?;
        listener.set_score(self.score.clone()).map_err(|e| e.to_string())?;
        self.listener = Some(listener);
        self.sample_rate_hz = sample_rate_hz;
        Ok(())
    }

    fn set_score(&mut self, n_numbers: usize) -> Result<(), String> {
        let numbers = self.score_in.get(..n_numbers).ok_or_else(|| {
            format!(
                "a score of {n_numbers} numbers is too long: the room for it has {}",
                score_numbers::CAPACITY
            )
        })?;
        let score = if numbers.is_empty() { None } else { Some(score_numbers::read(numbers)?) };
        let timeline = score.clone().map(Timeline::new).transpose().map_err(|e| e.to_string())?;
        if let Some(listener) = &mut self.listener {
            listener.set_score(score.clone()).map_err(|e| e.to_string())?;
        }
        self.score = score;
        self.timeline = timeline;
        Ok(())
    }

    fn push(&mut self, n_samples: usize) -> u32 {
        self.output.clear();
        let Some(listener) = &mut self.listener else { return 0 };
        let mut n_messages = 0;
        for message in listener.push(&self.input[..n_samples.min(INPUT_CAPACITY)]) {
            if n_messages > 0 {
                self.output.push('\n');
            }
            let text = serde_json::to_string(&message).expect("messages are plain data with text keys");
            self.output.push_str(&text);
            n_messages += 1;
        }
        n_messages
    }
}

thread_local! {
    static DOOR: RefCell<Door> = RefCell::new(Door::new());
}

fn with<T>(act: impl FnOnce(&mut Door) -> T) -> T {
    DOOR.with_borrow_mut(act)
}

// Each function is exported under its own name: no other code in the module exports any, so the names cannot clash.

/// Where to put samples: `input_capacity()` little-endian `f32`, mono, full scale ±1.
#[unsafe(no_mangle)]
pub extern "C" fn input_ptr() -> *mut f32 {
    with(|door| door.input.as_mut_ptr())
}

/// Most samples a push can take: 8192.
#[unsafe(no_mangle)]
pub extern "C" fn input_capacity() -> u32 {
    INPUT_CAPACITY as u32
}

/// Where the output lies; good until the next call that writes some.
#[unsafe(no_mangle)]
pub extern "C" fn output_ptr() -> *const u8 {
    with(|door| door.output.as_ptr())
}

/// Length of the output, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn output_len() -> u32 {
    with(|door| door.output.len() as u32)
}

/// Opens a listener for a stream of `sample_rate_hz` (8,000 to 192,000) with A4 at `a4_hz` (415 to 446), in place of any
/// other; it takes over the score set before. Returns 0, or 1 with the reason in the output (no listener is open then).
#[unsafe(no_mangle)]
pub extern "C" fn listener_open(sample_rate_hz: f64, a4_hz: f64) -> i32 {
    with(|door| {
        let outcome = door.open_listener(sample_rate_hz, a4_hz);
        door.answer(outcome)
    })
}

/// Takes in the first `n_samples` of the input (more than its capacity count as its capacity). Returns how many
/// messages that brought; the output holds them, a JSON object a line: `reading`, `pulses`, `span-result`. Without an
/// open listener, and before the first time map, there are none.
#[unsafe(no_mangle)]
pub extern "C" fn listener_push(n_samples: u32) -> u32 {
    with(|door| door.push(n_samples as usize))
}

/// Says how samples lie in server time: the server µs of the first sample pushed, and the server µs that pass in one
/// second of samples (990,000 to 1,010,000). Returns 0, or 1 with the reason in the output (the former map stays).
#[unsafe(no_mangle)]
pub extern "C" fn listener_time_map(server_us_at_sample_zero: f64, server_us_per_second: f64) -> i32 {
    with(|door| {
        let map = TimeMap::new(server_us_at_sample_zero, server_us_per_second);
        if let (Ok(map), Some(listener)) = (map, &mut door.listener) {
            listener.set_time_map(map);
        }
        door.answer(map.map(|_| ()))
    })
}

/// Says that the sound of a stretch, in samples pushed before it, is not to be trusted, since the audio clock fell behind:
/// no pulse of it counts and no reading is trusted, from a quarter of a second before it to as long after it. A stretch that
/// ends before it begins is passed over.
#[unsafe(no_mangle)]
pub extern "C" fn listener_leave_out(from_sample: f64, to_sample: f64) {
    with(|door| {
        let rate_hz = door.sample_rate_hz;
        if let Some(listener) = &mut door.listener {
            listener.leave_out(from_sample / rate_hz, to_sample / rate_hz);
        }
    });
}

/// Goes on counting pulse batches and span results after `last_seq`, the last number the server says is safe. Call it
/// after each welcome.
#[unsafe(no_mangle)]
pub extern "C" fn listener_resume(last_seq: u32) {
    with(|door| {
        if let Some(listener) = &mut door.listener {
            listener.resume_after(last_seq);
        }
    });
}

#[cfg(test)]
mod tests {
    use super::score::*;
    use super::*;

    fn output() -> String {
        with(|door| door.output.clone())
    }

    fn set_score(numbers: &[f64]) -> i32 {
        with(|door| door.score_in[..numbers.len()].copy_from_slice(numbers));
        score_set(numbers.len() as u32)
    }

    const NO: f64 = f64::NAN;
    /// Four beats counted in at 60 from 1 s on, eight beats of triplets, then straight at 120.
    const SCORE: [f64; 27] = [
        3.0, 1e6, 4.0, //
        4.0, 60.0, NO, 4.0, 0.0, 0.0, NO, NO, //
        8.0, 60.0, NO, 1.0, 3.0, NO, NO, NO, //
        NO, 120.0, NO, 0.0, 0.0, NO, NO, NO,
    ];

    #[test]
    fn a_refusal_says_why() {
        assert_eq!(listener_open(4000.0, 440.0), 1);
        assert!(output().contains("4000 Hz"), "{}", output());
        assert_eq!(listener_open(48_000.0, 440.0), 0);
        assert_eq!(output(), "");
        assert_eq!(listener_time_map(0.0, 0.0), 1);
        assert!(output().contains("990000"), "{}", output());
        assert_eq!(score_set(u32::MAX), 1);
        assert!(output().contains("too long"), "{}", output());
    }

    #[test]
    fn a_score_gives_beats_and_times_until_it_is_taken_away() {
        assert!(score_beat_at(0.0).is_nan());
        assert_eq!(set_score(&SCORE), 0, "{}", output());
        assert_eq!(score_beat_at(6e6), 5.0);
        assert_eq!(score_time_of(14.0), 14e6);
        assert_eq!((score_span_at(-1.0), score_span_at(0.0), score_span_at(12.0)), (-1, 0, 2));
        assert_eq!((score_bpm_at(5.0), score_bpm_at(13.0)), (60.0, 120.0));
        assert_eq!((score_bar_line_at(5.0), score_bar_at(3.0), score_bar_at(5.0)), (4.0, 0, 1));
        assert_eq!((score_spoken_at(2.0), score_spoken_at(4.0)), (3, 0));
        assert_eq!(score_ticks(4e6, 6e6), 4);
        let ticks = with(|door| door.ticks.clone());
        assert_eq!(ticks.iter().map(|t| t[1]).collect::<Vec<_>>(), [1.0, 0.0, 2.0, 2.0]);
        assert_eq!((ticks[0][0], ticks[1][0]), (4e6, 5e6));
        assert_eq!(set_score(&SCORE[..3]), 1);
        assert!(output().contains("at least one span"), "{}", output());
        assert_eq!(score_beat_at(6e6), 5.0, "a refused score leaves the former one");
        assert_eq!(score_set(0), 0);
        assert!(score_time_of(0.0).is_nan());
    }

    #[test]
    fn pushing_without_a_listener_says_nothing() {
        assert_eq!(listener_push(4096), 0);
        assert_eq!(listener_open(48_000.0, 440.0), 0);
        assert_eq!(listener_push(u32::MAX), 0, "no time map yet");
    }
}
