//! A device's side of a room, for the browser and for the native player alike: a [`Listener`] takes samples and gives
//! protocol messages. In the browser it stands behind the wasm door (`door.rs`): a raw C interface without generated
//! glue, its text JSON. Nothing here knows a microphone, a socket, a page or a clock; they bring their numbers in.

mod asked_note;
mod convert;
// The door's names are global to whatever links them, so the native player goes without; its tests do not.
#[cfg(any(target_arch = "wasm32", test, feature = "fuzzing"))]
pub mod door;
mod left_out;
mod listener;
#[cfg(any(target_arch = "wasm32", test, feature = "fuzzing"))]
mod score_numbers;
mod span_tally;
mod tick_filter;

pub use listener::{BadTimeMap, Listener, TimeMap};
pub use windrow_analysis::{Config, ConfigError};
