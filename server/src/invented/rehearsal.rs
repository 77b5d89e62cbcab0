//! One invented rehearsal, from the first device that comes in to the last word: a room with the rules of every rehearsal, devices
//! that are modelled, and a conductor who plays a plan. It must hold no rule of its own about what comes of it.

use super::device::ModelledDevice;
use crate::commands::demo::leader::Leader;
use crate::room::{FreshIds, Kept, KnownDevice, Lesson, Person, VirtualRoom};
use std::collections::BTreeSet;
use windrow_protocol::messages::{Hello, Results};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};

/// Time passes in steps of a reading.
const STEP_US: f64 = 100_000.0;
/// Steps from one look of the room to the next: the fifth of a second that it has in life.
const STEPS_PER_LOOK: u64 = 2;
/// In silence everybody is asked and looked at once in so many steps: nothing comes of it but that somebody is there.
const STEPS_IN_SILENCE: u64 = 10;
/// Tuning of A4.
const A4_HZ: f64 = 440.0;

/// Somebody who comes, and the device.
#[derive(Debug, Clone)]
pub(super) struct Comer {
    pub(super) person: Person,
    pub(super) player_id: String,
    pub(super) token: String,
    pub(super) device: ModelledDevice,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Played {
    /// What the room wanted kept, in order; of each run what was told last.
    pub(super) kept: Vec<Kept>,
    pub(super) results: Results,
    /// How long it lasted.
    pub(super) ended_us: f64,
}

/// Plays a plan with those who have come; the list is everybody of the section.
///
/// # Errors
/// What the room has against it.
pub(super) fn play(
    section: &Name,
    list: Vec<Person>,
    mut comers: Vec<Comer>,
    lesson: &Lesson,
) -> Result<Played, Phrase> {
    let a4_hz = Hertz::new(A4_HZ).expect("a tuning");
    let mut room = VirtualRoom::new(section.clone(), a4_hz).keeping();
    room.take_list(section.clone(), list)?;
    for (i, comer) in comers.iter().enumerate() {
        let person_id = Some(comer.person.person_id.clone());
        let hello = Hello {
            token: Some(comer.token.clone()),
            person: person_id.clone(),
            ..crate::room::hello(&comer.person.name, comer.person.instrument)
        };
        let fresh = FreshIds { player_id: comer.player_id.clone(), token: comer.token.clone() };
        let known = KnownDevice { is_known: true, person_id, is_confirmed: true, acknowledged: 0 };
        room.let_in_as(i, hello, fresh, known)?;
        room.tell(i, ModelledDevice::microphone())?;
    }
    let mut leader = Leader::new(lesson);
    room.take_plan(lesson.clone())?;
    for command in leader.begin() {
        room.command(command)?;
    }
    let mut n_steps = 0u64;
    while !leader.is_done {
        n_steps += 1;
        room.now_us = n_steps as f64 * STEP_US;
        for (i, message) in room.take_letters() {
            comers[i].device.take(message);
        }
        let is_silent = !comers.iter().any(|comer| comer.device.is_busy());
        let is_look = n_steps.is_multiple_of(if is_silent { STEPS_IN_SILENCE } else { STEPS_PER_LOOK });
        for (i, comer) in comers.iter_mut().enumerate() {
            if comer.device.is_busy() || n_steps.is_multiple_of(STEPS_IN_SILENCE) {
                for message in comer.device.hear(room.now_us) {
                    room.tell(i, message)?;
                }
            }
        }
        if is_look {
            let picture = room.look()?;
            for command in leader.look(&picture) {
                room.command(command)?;
            }
        }
    }
    room.end();
    Ok(Played { kept: newest_runs(room.take_kept()), results: room.results(), ended_us: room.now_us })
}

/// Of each run only what was told of it last.
fn newest_runs(kept: Vec<Kept>) -> Vec<Kept> {
    let mut known = BTreeSet::new();
    let mut newest: Vec<Kept> = kept
        .into_iter()
        .rev()
        .filter(|kept| match kept {
            Kept::Run(run) => known.insert(run.told.number),
            _ => true,
        })
        .collect();
    newest.reverse();
    newest
}
