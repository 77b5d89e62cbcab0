//! A player's device without a browser: sound in, protocol over a socket. Sound comes from a [`Source`], such as a
//! [`SimulatedPlayer`]; the [`Device`] hears it with the same ears as the browser does and tells the server what it
//! heard. Nothing here may know rooms or storage: it has the socket alone, as any device.

mod connection;
mod device;
mod ear;
mod habit;
mod hall;
mod introduction;
pub mod larkmoor;
#[cfg(feature = "microphone")]
mod microphone;
mod musician;
mod outbox;
mod recorded;
mod rehearsed;
mod request;
mod reverberation;
mod simulated;
mod timekeeper;

pub use connection::{Address, BadAddress, ConnectionError};
pub use device::{Device, DeviceError, Screen, Seen};
pub use ear::Source;
pub use habit::Habit;
pub use hall::{Hall, Place, SoundInHall, Walls};
pub(crate) use introduction::introduced;
#[cfg(feature = "microphone")]
pub use microphone::{Microphone, MicrophoneError};
pub use recorded::{RecordedSound, Repeat};
pub use rehearsed::RehearsedDevice;
pub(crate) use request::post;
pub(crate) use simulated::asked::{Asked, Follows, beat_in_phrase, phrase_beats};
pub use simulated::{SimulatedPlayer, SimulatedSound};
pub use timekeeper::Timekeeper;

#[cfg(test)]
mod expressive_by_ear_tests;
#[cfg(test)]
mod judged_by_ear_tests;
