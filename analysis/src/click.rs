//! The product's own tick as a sound: how it is made, found again in a microphone's samples, and timed. Must not know
//! scores, beats or clocks: who uses it says at which samples ticks were emitted.

mod band;
mod calibration;
mod explained;
mod fill;
mod finder;
mod matching;
mod prediction;
mod remover;
mod sound;
mod taps;

pub use calibration::{Calibration, CalibrationMode, CalibrationResult, CalibrationStatus};
pub use finder::ClickPath;
pub use remover::ClickRemover;
pub use sound::{CLICK_S, ClickKind, ClickSound, click};
