//! How well devices agree about the beat: a bad Wi-Fi between a real server and devices with clocks of their own, all in
//! one process, so that the truth is known. The tool `beat_spread` and the tests share it.

pub mod dice;
pub mod drift;
pub mod fanout;
mod metronome;
pub mod proxy;
pub mod spread;
mod tally;

pub use metronome::SoundedBeat;
pub use tally::{pair_differences_ms, percentile, ranges_ms};
