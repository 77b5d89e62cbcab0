//! Weeks: what a player reached, what got better, what to do next. Pure: stretches of playing come in, plain values go out; it
//! knows no table, no page and no words. Practice at home and recordings stand beside what was played in rehearsals and are
//! never mixed into it.

mod better;
mod calendar;
mod figures;
mod next;
mod played;
mod rung;
mod section;
mod togetherness;
mod week;

#[cfg(test)]
pub(crate) mod desk;

pub(crate) use better::{Better, Measure, better};
pub(crate) use calendar::IsoWeek;
pub(crate) use figures::Figures;
pub(crate) use next::{AtHome, Next, Why, next};
pub(crate) use played::{Asked, Played, Where};
pub(crate) use rung::Rung;
#[cfg(test)]
pub(crate) use section::{Help, Stuck};
pub(crate) use section::{Now, PlanNext, PlanWhy, now, plan_next};
pub(crate) use togetherness::{SectionRun, SectionWeek, section_weeks};
pub(crate) use week::{Week, instruments, reached, subdivisions, weeks};
