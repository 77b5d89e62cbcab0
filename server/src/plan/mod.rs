//! Plans: what a section practises and in which order, as a teacher writes it down, shares it and prints it. Pure; knows the
//! protocol and what a room can play, no files, pages, records or clock.

mod compile;
mod model;
mod play;

pub(crate) use compile::compile;
pub(crate) use model::{Bands, Exercise, FORMAT, Plan, VERSION};
pub(crate) use play::{
    Each, Ease, Free, Hairpin, Ladder, Music, Pass, Play, PulseValue, Pulses, Straight, Written,
};
