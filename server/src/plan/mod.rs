//! Plans: what a section practises and in which order, as a teacher writes it down, shares it and prints it. Pure; knows the
//! protocol and what a room can play, no files, pages, records or clock.

mod built_in;
#[cfg(test)]
mod built_in_tests;
mod check;
mod compile;
mod complaint;
mod length;
mod limits;
mod model;
mod musicxml;
mod place;
mod play;
mod read;
#[cfg(test)]
mod read_tests;
mod schema;
mod sheet;
mod warnings;
mod wording;
mod words;
mod write;

pub(crate) use built_in::{built_in, built_in_named, is_built_in};
pub(crate) use check::check;
pub(crate) use compile::compile;
pub(crate) use complaint::Complaint;
pub(crate) use length::{length, minutes, rates};
pub(crate) use model::{Bands, Exercise, FORMAT, Plan, VERSION};
pub(crate) use musicxml::{from_musicxml_part, is_zipped, unzipped};
pub(crate) use place::Place;
pub(crate) use play::{Each, Ease, Free, Hairpin, Ladder, Music, Pass, Play, PulseValue, Pulses, Straight};
pub(crate) use read::{BadPlan, read};
pub(crate) use schema::SCHEMA;
pub(crate) use sheet::{Paper, Sheet, sheet};
pub(crate) use warnings::warnings;
pub(crate) use wording::of_decoding;
pub(crate) use words::{played, tuning_word, turns_word, voicing_word, written};
pub(crate) use write::write;
