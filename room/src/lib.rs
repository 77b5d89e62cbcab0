//! One running rehearsal: its rules, the numbers of the section and what is said to people. Everything is pure: events and the time come
//! in, effects come out. It knows only the protocol: no runtime, no sockets, no database, no clock, no language. So a rehearsal runs in
//! the server, and a player's practice in a browser, by the same rules.

#![forbid(unsafe_code)]

mod book;
mod care;
mod check;
mod checking;
mod claims;
mod course;
mod event;
mod exercise;
mod imaginary;
mod joining;
mod lesson;
mod music;
mod needs;
mod outcomes;
mod results;
mod roster;
mod say;
mod sayings;
mod seat;
mod snapshot;
mod state;
mod statistics;
mod suggestion;
mod troubles;
mod virtual_room;

#[cfg(any(test, feature = "desk"))]
pub mod desk;
#[cfg(test)]
mod flow_tests;
#[cfg(test)]
mod imaginary_tests;
#[cfg(test)]
mod joining_tests;
#[cfg(test)]
mod judging_tests;
#[cfg(test)]
mod order_tests;
#[cfg(test)]
mod picture_tests;
#[cfg(test)]
mod roster_tests;
#[cfg(test)]
mod say_tests;
#[cfg(test)]
mod turns_tests;
#[cfg(test)]
mod voicing_tests;

pub use event::{
    Binding, ConnectionId, Effect, Event, FreshIds, Joining, Kept, KnownDevice, Person, RosterChange,
    SeatInfo, Told, Whose,
};
pub use lesson::{Climb, Lesson, Piece, Wishes};
pub use results::{KeptRun, KeptTrace, PastRuns, Stretch};
pub use state::Room;
pub use troubles::Part;
pub use virtual_room::{VirtualRoom, hello};
