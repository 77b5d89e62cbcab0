//! Hears one wind player: pitch, level, the pulses of the vibrato, and how far all that can be trusted.
//!
//! # Conventions
//! - **Samples** are mono `f32`, full scale ±1, at the rate given in [`Config`].
//! - **Time nought** is the first sample pushed; all times are seconds of the sample count, `f64`.
//! - **Frames** are stamped at their centre, so a reading's `time_s` lies a little behind `heard_until_s`, the time of
//!   the last sample it could know.
//! - **Pitch** is in cents from a note, notes are MIDI numbers (A4 = 69), tuned by [`Config::a4_hz`].
//! - **Depth** is peak over valley in dB, **swing** is peak to peak in cents: both over the whole excursion, never half.
//! - **Level** is in dB re full scale (a sine of amplitude 1 has -3 dB).
//!
//! After construction nothing can fail: silence and noise give readings without a pitch. This crate knows no files, no
//! clock, no network, no text formats and no threads.

#![forbid(unsafe_code)]

mod analyser;
mod capture;
mod centre;
pub mod click;
mod config;
mod contour;
mod follower;
mod framing;
mod harmonics;
mod lines;
mod modulation;
mod peak;
mod pitch;
mod pulses;
mod reading;
mod rhythm;
mod run;
#[cfg(any(test, feature = "signals"))]
pub mod signals;
mod tone;
mod transform;
pub mod tuning;
mod unflatten;
mod vibrato;

pub use analyser::{Analyser, Heard};
pub use capture::Capture;
pub use config::{Config, ConfigError};
pub use contour::{Contour, Ease, Hairpin, Span, SpanKind, Told};
pub use reading::{Hearing, Pulse, Reading, TRUSTED_FROM};
