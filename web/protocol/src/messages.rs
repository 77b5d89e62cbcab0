//! Every message on the two sockets, as JSON objects with a `type`. Field names carry the unit; see `golden/` for a
//! sample of each. Here stands what both sockets share.

mod changes;
mod conductor;
mod exercise;
mod player;
mod results;
mod review;
mod room_check;

pub use changes::{LaneChange, RoomChange, Row};
pub use conductor::*;
pub use exercise::*;
pub use player::*;
pub use results::*;
pub use review::*;
pub use room_check::*;

use crate::phrase::Phrase;
use crate::units::Micros;
use serde::{Deserialize, Serialize};

/// A request for the server's time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockAsk {
    /// Tells answers apart.
    pub id: u32,
    /// Device clock when the request left, µs.
    pub t1_us: f64,
}

/// The server's half of a clock exchange.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockAnswer {
    /// Of the request.
    pub id: u32,
    /// Echoed device time, µs.
    pub t1_us: f64,
    /// Server time when the request arrived.
    pub t2_us: Micros,
    /// Server time when this answer left.
    pub t3_us: Micros,
}

/// Why the server ends a connection. Each has a close code of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Refused {
    /// Which rule.
    pub reason: RefusedReason,
    /// For the person: what is wrong and what to do.
    pub text: Phrase,
}

/// Reasons to end a connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusedReason {
    /// The page is older or newer than the server.
    Version,
    /// No such room.
    Code,
    /// All chairs are taken.
    Full,
    /// A message could not be understood.
    Malformed,
    /// More messages than a device ever needs to send.
    TooFast,
    /// The first message was not a hello, or a second hello came.
    OutOfTurn,
    /// Not the conductor.
    Key,
    /// The same player joined from another page or device.
    Replaced,
    /// The server is shutting down.
    Closing,
    /// The conductor lets nobody new in, or the code has timed out.
    RoomClosed,
    /// Too many wrong codes came from this address.
    TooManyTries,
    /// Another device is in under the name that was tapped.
    NameTaken,
    /// What was stored about the player has been erased.
    Erased,
    /// The conductor says that this device is not the player it said to be.
    NotYou,
}

impl RefusedReason {
    /// WebSocket close code; 4000 and above are an application's own (RFC 6455, section 7.4.2).
    pub fn close_code(self) -> u16 {
        match self {
            RefusedReason::Version => 4000,
            RefusedReason::Code => 4001,
            RefusedReason::Full => 4002,
            RefusedReason::Malformed => 4003,
            RefusedReason::TooFast => 4004,
            RefusedReason::OutOfTurn => 4005,
            RefusedReason::Key => 4006,
            RefusedReason::Replaced => 4007,
            RefusedReason::Closing => 4008,
            RefusedReason::RoomClosed => 4009,
            RefusedReason::TooManyTries => 4010,
            RefusedReason::NameTaken => 4011,
            RefusedReason::Erased => 4012,
            RefusedReason::NotYou => 4013,
        }
    }
}
