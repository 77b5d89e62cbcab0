//! Invented weeks: rehearsals of the Larkmoor Youth Winds that never were, to look at what becomes of a section over weeks and to
//! measure with. Devices are modelled instead of heard (`device`, `playing`, `hearing`, `tally`), people are made up with what each
//! can do by then (`cast`, `skill`), and a rehearsal is one by the rules of every other (`rehearsal`, with a room without sockets and
//! clock), so nothing of its results is written by hand. `season` puts weeks together, `records` brings them into records, marked
//! as invented. Nothing here may know pages, sockets or sound.

mod cast;
mod device;
mod dice;
mod hearing;
mod playing;
mod programme;
mod records;
mod rehearsal;
mod season;
#[cfg(test)]
mod season_tests;
mod skill;
mod tally;

pub use device::ModelledDevice;
pub use records::{InventError, Invited, invent};
pub use season::{InventedSession, Season, Truth, Weeks};
pub use skill::Skill;
