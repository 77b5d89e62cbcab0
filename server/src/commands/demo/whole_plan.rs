//! A whole plan, played by the invented section from start to end in a time of its own: as fast as the computer can, or so many
//! times as fast as life. The same sounds, ears and room as in real time, without sockets and records. It must know no rule
//! of a rehearsal.

use super::leader::Leader;
use crate::player::{Hall, RehearsedDevice, SimulatedSound, Source, Walls, larkmoor};
use crate::room::Lesson;
use crate::room::VirtualRoom;
use crate::words::english;
use anyhow::Context;
use std::collections::BTreeMap;
use std::thread;
use std::time::{Duration, Instant};
use windrow_protocol::messages::{PlayerSays, Results, Snapshot, Suggestion};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};

/// Time passes in steps of this length: two blocks of a device's sound.
const STEP_US: f64 = 40_000.0;
/// Steps from one look of the room to the next: the fifth of a second that it has in life.
const STEPS_PER_LOOK: u64 = 5;

/// How a plan is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Manner {
    pub(super) a4_hz: Hertz,
    /// Let every device hear the others and the walls.
    pub(super) open_microphones: bool,
    /// Times as fast as life; as fast as can be where there is none.
    pub(super) speed: Option<f64>,
    /// The result does not depend on it.
    pub(super) n_threads: usize,
}

/// What came of it.
pub(super) struct Rehearsal {
    pub(super) results: Results,
    /// What the room would have done after an exercise, by its place in the plan.
    pub(super) suggestions: BTreeMap<u16, Suggestion>,
    /// How long the rehearsal was.
    pub(super) lasted: Duration,
    /// How long playing it took.
    pub(super) took: Duration,
}

/// Plays a plan; `show` sees each picture of the room.
///
/// # Errors
/// Whatever the room has against it, ready to be shown.
pub(super) fn play(
    lesson: &Lesson,
    manner: Manner,
    mut show: impl FnMut(&Snapshot),
) -> anyhow::Result<Rehearsal> {
    let begun = Instant::now();
    let name = Name::new(larkmoor::NAME).context("the section's name")?;
    let mut room = VirtualRoom::new(name, manner.a4_hz);
    let mut devices = devices(manner);
    for (i, player) in larkmoor::players().into_iter().enumerate() {
        room.let_in(i, windrow_room::hello(&player.name, player.instrument)).map_err(said)?;
        deliver(&mut room, &mut devices)?;
        room.tell(i, devices[i].microphone()).map_err(said)?;
    }
    let mut leader = Leader::new(lesson);
    room.take_plan(lesson.clone()).map_err(said)?;
    for command in leader.begin() {
        room.command(command).map_err(said)?;
    }
    let mut suggestions = BTreeMap::new();
    let mut n_steps = 0u64;
    while !leader.is_done {
        n_steps += 1;
        room.now_us = n_steps as f64 * STEP_US;
        if let Some(speed) = manner.speed {
            let due = Duration::from_secs_f64(room.now_us / 1e6 / speed);
            thread::sleep(due.saturating_sub(begun.elapsed()));
        }
        // What the room says reaches all before anybody plays on, so that it does not matter who is first.
        deliver(&mut room, &mut devices)?;
        for (i, says) in hear(&mut devices, room.now_us, manner.n_threads).into_iter().enumerate() {
            for message in says {
                room.tell(i, message).map_err(said)?;
            }
        }
        if n_steps.is_multiple_of(STEPS_PER_LOOK) {
            let picture = room.look().map_err(said)?;
            show(&picture);
            if let Some(suggestion) = picture.suggestion.clone() {
                suggestions.insert(picture.exercise.number, suggestion);
            }
            for command in leader.look(&picture) {
                room.command(command).map_err(said)?;
            }
        }
    }
    let lasted = Duration::from_secs_f64(room.now_us / 1e6);
    Ok(Rehearsal { results: room.results(), suggestions, lasted, took: begun.elapsed() })
}

/// A room's objection as the command line says it.
fn said(refusal: Phrase) -> anyhow::Error {
    anyhow::anyhow!(english(&refusal))
}

fn devices(manner: Manner) -> Vec<RehearsedDevice> {
    let a4_hz = manner.a4_hz.get();
    let players = larkmoor::players();
    let sounds: Vec<Box<dyn Source>> = match manner.open_microphones {
        true => {
            let n_players = players.len();
            let seats = players.into_iter().zip(larkmoor::rows(1.0)).collect();
            let hall = Hall::new(seats, Walls::CLASSROOM, a4_hz);
            (0..n_players).map(|i| Box::new(hall.sound_at(i)) as Box<dyn Source>).collect()
        }
        false => {
            let sound = |player| Box::new(SimulatedSound::new(player, a4_hz)) as Box<dyn Source>;
            players.iter().map(sound).collect()
        }
    };
    sounds.into_iter().map(RehearsedDevice::new).collect()
}

fn deliver(room: &mut VirtualRoom, devices: &mut [RehearsedDevice]) -> anyhow::Result<()> {
    for (i, message) in room.take_letters() {
        devices[i].take(message).context("a player's device has failed")?;
    }
    Ok(())
}

/// What each device has to say of the sound up to a time, in their order.
fn hear(devices: &mut [RehearsedDevice], now_us: f64, n_threads: usize) -> Vec<Vec<PlayerSays>> {
    let part = devices.len().div_ceil(n_threads.max(1)).max(1);
    let mut said: Vec<Vec<PlayerSays>> = vec![Vec::new(); devices.len()];
    thread::scope(|scope| {
        let mut parts = devices.chunks_mut(part).zip(said.chunks_mut(part));
        // This thread takes the first part.
        let own = parts.next();
        for (devices, said) in parts {
            scope.spawn(move || hear_each(devices, said, now_us));
        }
        if let Some((devices, said)) = own {
            hear_each(devices, said, now_us);
        }
    });
    said
}

fn hear_each(devices: &mut [RehearsedDevice], said: &mut [Vec<PlayerSays>], now_us: f64) {
    for (device, said) in devices.iter_mut().zip(said) {
        *said = device.hear(now_us);
    }
}

#[cfg(test)]
#[path = "whole_plan_tests.rs"]
mod tests;
