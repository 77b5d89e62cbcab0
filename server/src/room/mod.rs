//! One running rehearsal: its rules, the numbers of the section, the words for people, and the loop that carries them
//! out. Everything but `task`, `registry` and `code` is pure: events and the time come in, effects come out.

mod book;
mod care;
mod check;
mod checking;
mod claims;
mod code;
mod course;
mod event;
mod exercise;
mod imaginary;
mod joining;
mod lesson;
mod music;
mod needs;
mod outcomes;
mod registry;
mod results;
mod roster;
mod say;
mod sayings;
mod seat;
mod snapshot;
mod state;
mod statistics;
mod suggestion;
mod task;

#[cfg(test)]
pub(crate) mod desk;
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
mod roster_tests;
#[cfg(test)]
mod say_tests;
#[cfg(test)]
mod turns_tests;
#[cfg(test)]
mod voicing_tests;

pub(crate) use code::{clean_code, new_code, random_text};
pub(crate) use event::{
    ConnectionId, Effect, Event, FreshIds, Joining, Kept, KnownDevice, Person, RosterChange, SeatInfo, Told,
    Whose,
};
pub(crate) use lesson::{Climb, Lesson, Piece, Wishes};
pub(crate) use registry::Registry;
pub(crate) use state::Room;
pub(crate) use task::{Ended, Joined, Outgoing, RoomHandle, RoomTask};
