//! The analyser: checked configuration in, samples in, readings and pulses out. Owns every buffer.

use crate::reading::{Pulse, Reading};
use crate::tuning::A4_RANGE_HZ;

/// Settings of an [`Analyser`].
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

/// What one push of samples brought.
#[derive(Debug, Clone, Copy)]
pub struct Heard<'a> {
    /// Readings, about twenty a second, oldest first.
    pub readings: &'a [Reading],
    /// Pulses that became certain, oldest first.
    pub pulses: &'a [Pulse],
}

/// A streaming analyser for one player.
pub struct Analyser {
    readings: Vec<Reading>,
    pulses: Vec<Pulse>,
}

impl Analyser {
    /// Checks the settings and allocates every buffer.
    ///
    /// # Errors
    /// [`ConfigError`] names the setting that is out of range.
    pub fn new(config: Config) -> Result<Self, ConfigError> {
        if !(8_000.0..=192_000.0).contains(&config.sample_rate_hz) {
            return Err(ConfigError::SampleRate(config.sample_rate_hz));
        }
        if !(A4_RANGE_HZ.0..=A4_RANGE_HZ.1).contains(&config.a4_hz) {
            return Err(ConfigError::A4(config.a4_hz));
        }
        check_expected(config.expected_midi)?;
        Ok(Self { readings: Vec::new(), pulses: Vec::new() })
    }

    /// Sets or clears the note the player is to play.
    ///
    /// # Errors
    /// [`ConfigError::ExpectedNote`] outside MIDI 21 to 108.
    pub fn expect_note(&mut self, midi: Option<u8>) -> Result<(), ConfigError> {
        check_expected(midi)
    }

    /// Takes in samples, in blocks of any length (the cut does not change the readings), and says what they brought.
    /// Samples that are not finite count as silence.
    pub fn push(&mut self, _samples: &[f32]) -> Heard<'_> {
        self.readings.clear();
        self.pulses.clear();
        Heard { readings: &self.readings, pulses: &self.pulses }
    }
}

fn check_expected(midi: Option<u8>) -> Result<(), ConfigError> {
    match midi {
        Some(midi) if !(21..=108).contains(&midi) => Err(ConfigError::ExpectedNote(midi)),
        _ => Ok(()),
    }
}
