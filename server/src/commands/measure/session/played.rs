//! A recording played to a room of one, as if its player sat there and the music began where the recording's does, in a time of its own.
//! It must hold no rule of a rehearsal.

use super::asked::Beginning;
use crate::player::{RehearsedDevice, Source};
use crate::room::{Kept, KeptRun, Lesson, VirtualRoom, hello};
use crate::words::english;
use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Hello, PlayerHears};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Hertz, Name};
use windrow_web::TimeMap;

/// Time passes in steps of two blocks of a device's sound.
const STEP_US: f64 = 40_000.0;
/// Steps from one look of the room to the next: the fifth of a second that it has in life.
const STEPS_PER_LOOK: u64 = 5;
/// After the last note the device still tells of it, and the room makes its figures final.
const LAST_WORD_US: f64 = 13e6;
const DEVICE: usize = 0;

/// A recording and who made it.
pub(super) struct Played<'a> {
    pub(super) samples: Vec<f32>,
    pub(super) sample_rate_hz: f64,
    pub(super) name: &'a Name,
    pub(super) instrument: Instrument,
    pub(super) a4_hz: Hertz,
}

/// What came of it.
pub(super) struct Heard {
    /// Everything that is to be kept, each run once.
    pub(super) kept: Vec<Kept>,
    pub(super) run: KeptRun,
}

/// The sound, from a moment of the room's time on.
struct Recording {
    samples: Vec<f32>,
    sample_rate_hz: f64,
    /// Sample of the recording that sounds next; negative before it begins.
    next: i64,
}

impl Source for Recording {
    fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    fn fill(&mut self, out: &mut [f32], _music: Option<&Timeline>, _time_map: &TimeMap) {
        for sample in out {
            let place = usize::try_from(self.next).ok();
            *sample = place.and_then(|place| self.samples.get(place)).copied().unwrap_or(0.0);
            self.next += 1;
        }
    }
}

/// Plays a recording; the exercise has this number in its plan.
///
/// # Errors
/// What the room has against it, in words.
pub(super) fn play(
    played: Played<'_>,
    lesson: Lesson,
    beginning: &Beginning,
    exercise: u16,
) -> Result<Heard, String> {
    let Played { samples, sample_rate_hz, name, instrument, a4_hz } = played;
    let said = |text: Phrase| english(&text);
    let mut room = VirtualRoom::new(name.clone(), a4_hz).keeping();
    // What is known of the beat is all that is known of the delay.
    let hello = Hello { calibrated: beginning.is_known, ..hello(name, instrument) };
    room.take_plan(lesson).map_err(said)?;
    room.let_in(DEVICE, hello).map_err(said)?;
    room.command(ConductorSays::Start).map_err(said)?;
    let letters = room.take_letters();
    let score = letters.iter().rev().find_map(|(_, letter)| match letter {
        PlayerHears::Score { score } => score.clone(),
        _ => None,
    });
    let (first_us, end_us) =
        bounds(score.ok_or("the room plays nothing")?).ok_or("the exercise has no end")?;
    let next = ((beginning.at_s - first_us / 1e6) * sample_rate_hz).round() as i64;
    let mut device = RehearsedDevice::new(Box::new(Recording { samples, sample_rate_hz, next }));
    for (_, letter) in letters {
        device.take(letter).map_err(|error| error.to_string())?;
    }
    room.tell(DEVICE, device.microphone()).map_err(said)?;
    let (mut others, mut runs) = (Vec::new(), BTreeMap::new());
    let mut n_steps = 0u64;
    while room.now_us < end_us + LAST_WORD_US {
        for message in device.hear(room.now_us) {
            room.tell(DEVICE, message).map_err(said)?;
        }
        if n_steps.is_multiple_of(STEPS_PER_LOOK) {
            room.look().map_err(said)?;
        }
        for (_, letter) in room.take_letters() {
            device.take(letter).map_err(|error| error.to_string())?;
        }
        sort(room.take_kept(), &mut others, &mut runs);
        n_steps += 1;
        room.now_us = n_steps as f64 * STEP_US;
    }
    room.end();
    sort(room.take_kept(), &mut others, &mut runs);
    let mut run = *runs.into_values().next().ok_or("nothing of it was heard")?;
    run.told.exercise = exercise;
    if !beginning.is_known {
        without_timing(&mut others, &mut run);
    }
    others.push(Kept::Run(Box::new(run.clone())));
    Ok(Heard { kept: others, run })
}

/// When the first note begins and the last one ends.
fn bounds(score: Score) -> Option<(f64, f64)> {
    let first = score.spans.iter().position(|span| span.target.sounds())?;
    let music = Timeline::new(score).ok()?;
    Some((music.time_of(music.span_start(first)?), music.time_of(music.end_beat()?)))
}

fn sort(kept: Vec<Kept>, others: &mut Vec<Kept>, runs: &mut BTreeMap<u16, Box<KeptRun>>) {
    for one in kept {
        match one {
            Kept::Run(run) => drop(runs.insert(run.told.number, run)),
            other => others.push(other),
        }
    }
}

/// The beat was put where the pulses are: how far they are from it says nothing.
fn without_timing(others: &mut [Kept], run: &mut KeptRun) {
    for kept in others {
        if let Kept::Span { result, .. } = kept {
            result.timing_ms = None;
        }
    }
    run.glance.fold.clear();
    run.stretches.iter_mut().for_each(|stretch| stretch.timing_spread_ms = None);
    (run.told.section.together, run.told.section.spread_ms, run.told.section.mean_ms) = (None, None, None);
}
