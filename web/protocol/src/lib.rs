//! What devices and the server say to each other, and the musical time they share.
//!
//! Everything here is plain data or a pure function: no clock, no socket, no sound, no database. It builds for the
//! server, for the native player and for the browser (wasm32), so that all of them agree to the letter. Numbers that
//! cross a border are range-checked types from [`units`]: a value that is not a number, infinite or out of range is
//! refused while decoding and never reaches a room.
//!
//! Times on the wire are [`units::Micros`]: microseconds of the server's monotonic clock since the server started.

#![forbid(unsafe_code)]

pub mod clock;
pub mod instrument;
pub mod judge;
pub mod messages;
pub mod metronome;
pub mod note;
pub mod phrase;
pub mod score;
mod span;
pub mod timeline;
pub mod units;
pub mod voicing;

/// Version of the messages. A device that speaks another one is refused with a text that tells it to reload.
pub const PROTOCOL_VERSION: u32 = 5;
