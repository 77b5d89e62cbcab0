//! The running room: the loop that carries out what the rules (`windrow-room`) decide.

mod code;
mod keeping;
mod pictures;
mod task;
mod troubles;

pub(crate) use code::{clean_code, new_code, random_text};
pub(crate) use keeping::record_of;
pub(crate) use pictures::Pictures;
pub(crate) use task::{Ended, Joined, Outgoing, RoomHandle, RoomTask};
pub(crate) use windrow_room::{
    Binding, Climb, FreshIds, Kept, KeptRun, KnownDevice, Lesson, Person, Piece, RosterChange, SeatInfo,
    Told, VirtualRoom, Whose, Wishes, hello,
};
#[cfg(test)]
pub(crate) use windrow_room::{ConnectionId, desk};
