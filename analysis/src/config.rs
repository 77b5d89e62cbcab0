//! Settings of the analyser and what is wrong with one. Knows ranges, no sound.

use crate::tuning::A4_RANGE_HZ;

/// Sample rates accepted, Hz: from a speech headset's to a studio's.
const SAMPLE_RATE_RANGE_HZ: (f64, f64) = (8_000.0, 192_000.0);
/// Notes that can be expected, MIDI numbers: A0 to C8.
const EXPECTED_RANGE: (u8, u8) = (21, 108);

/// Settings of an [`Analyser`](crate::Analyser).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Config {
    /// Sample rate, 8,000 to 192,000 Hz.
    pub sample_rate_hz: f64,
    /// Frequency of A4, 415 to 446 Hz.
    pub a4_hz: f64,
    /// Note the player is to play, as MIDI number 21 to 108; cents then count from it.
    pub expected_midi: Option<u8>,
}

/// A setting outside its range; the text names it, its value and the range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConfigError {
    /// Sample rate, Hz.
    SampleRate(f64),
    /// Frequency of A4, Hz.
    A4(f64),
    /// Expected note, MIDI number.
    ExpectedNote(u8),
}

impl std::fmt::Display for ConfigError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ConfigError::SampleRate(hz) => {
                write!(f, "the sample rate must be from 8000 to 192000 Hz, but is {hz} Hz")
            }
            ConfigError::A4(hz) => {
                write!(f, "A4 must be from {} to {} Hz, but is {hz} Hz", A4_RANGE_HZ.0, A4_RANGE_HZ.1)
            }
            ConfigError::ExpectedNote(midi) => {
                write!(f, "the expected note must be from A0 (21) to C8 (108), but is MIDI note {midi}")
            }
        }
    }
}

impl std::error::Error for ConfigError {}

impl Config {
    /// Checks every range.
    pub(crate) fn check(&self) -> Result<(), ConfigError> {
        let within = |x: f64, (low, high): (f64, f64)| x >= low && x <= high;
        if !within(self.sample_rate_hz, SAMPLE_RATE_RANGE_HZ) {
            return Err(ConfigError::SampleRate(self.sample_rate_hz));
        }
        if !within(self.a4_hz, A4_RANGE_HZ) {
            return Err(ConfigError::A4(self.a4_hz));
        }
        match self.expected_midi {
            Some(midi) if !(EXPECTED_RANGE.0..=EXPECTED_RANGE.1).contains(&midi) => {
                Err(ConfigError::ExpectedNote(midi))
            }
            _ => Ok(()),
        }
    }
}
