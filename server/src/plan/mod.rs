//! Plans: what a section practises and in which order, as a teacher writes it down, shares it and prints it. Pure; knows the
//! protocol and what a room can play, no files, pages, records or clock.

mod built_in;
mod check;
mod compile;
mod limits;
mod model;
mod place;
mod play;
mod read;
#[cfg(test)]
mod read_tests;
mod wording;
mod write;

pub(crate) use built_in::{built_in, built_in_named};
pub(crate) use check::{Complaint, check};
pub(crate) use compile::compile;
pub(crate) use model::{Bands, Exercise, FORMAT, Plan, VERSION};
pub(crate) use play::{
    Each, Ease, Free, Hairpin, Ladder, Music, Pass, Play, PulseValue, Pulses, Straight, Written,
};
pub(crate) use read::{BadPlan, read};
pub(crate) use write::write;
