//! Weeks: what a player reached, what got better, what to do next. Pure: stretches of playing come in, plain values go out; it
//! knows no table, no page and no words. Practice at home and recordings stand beside what was played in rehearsals and are
//! never mixed into it.

mod better;
mod calendar;
mod figures;
mod next;
mod played;
mod rung;
mod week;

#[cfg(test)]
pub(crate) mod desk;

pub(crate) use better::{Better, Measure, better};
pub(crate) use calendar::IsoWeek;
pub(crate) use figures::Figures;
pub(crate) use next::{AtHome, Next, Why, next};
pub(crate) use played::{Asked, Played, Where};
pub(crate) use rung::Rung;
pub(crate) use week::{Week, instruments, reached, subdivisions, weeks};
