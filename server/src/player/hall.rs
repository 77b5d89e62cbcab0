//! A room that simulated players share: where they sit, and so how loud each one's device hears the others. It makes
//! samples alone: no socket, no clock.
//!
//! Sound falls by the inverse distance law from the player to a device; what walls send back is the same everywhere, as
//! in the diffuse field beyond a room's critical distance, and is added as power. A neighbour's sound is made anew at
//! each device from the neighbour's own habit and seed.

use super::ear::Source;
use super::simulated::{SimulatedPlayer, SimulatedSound};
use std::sync::{Arc, Mutex, PoisonError};
use windrow_protocol::note::Note;
use windrow_protocol::timeline::Timeline;
use windrow_web::TimeMap;

/// From an instrument to the device on its own stand, m.
const OWN_DISTANCE_M: f64 = 0.4;
/// Walls, dB re the direct sound at the own device: a furnished classroom (our own choice, on the dry side).
const DIFFUSE_DB: f64 = -22.0;

/// A place in the room, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right.
    pub x_m: f64,
    /// Away from the conductor.
    pub y_m: f64,
}

/// Players and their places.
#[derive(Debug)]
pub struct Hall {
    seats: Vec<(SimulatedPlayer, Place)>,
    a4_hz: f64,
    /// What each is playing, as its own device has it.
    music: Mutex<Vec<Option<Arc<Timeline>>>>,
}

impl Hall {
    /// A hall with these players, tuned to A4 = `a4_hz`.
    pub fn new(seats: Vec<(SimulatedPlayer, Place)>, a4_hz: f64) -> Arc<Self> {
        let music = Mutex::new(vec![None; seats.len()]);
        Arc::new(Self { seats, a4_hz, music })
    }

    /// What one player's device hears: its player and all others.
    pub fn sound_at(self: &Arc<Self>, own: usize) -> SoundInHall {
        let (player, place) = &self.seats[own];
        let others = (0..self.seats.len()).filter(|&i| i != own).map(|i| {
            let (other, at) = &self.seats[i];
            Neighbour {
                idx: i,
                gain: heard_gain(*place, *at) as f32,
                sound: SimulatedSound::without_noise(other, self.a4_hz),
            }
        });
        SoundInHall {
            own,
            sound: SimulatedSound::new(player, self.a4_hz),
            others: others.collect(),
            hall: self.clone(),
            version: None,
            samples: Vec::new(),
        }
    }

    fn music_of(&self, idx: usize) -> Option<Arc<Timeline>> {
        // A panic elsewhere leaves whole entries.
        self.music.lock().unwrap_or_else(PoisonError::into_inner)[idx].clone()
    }
}

/// Gain at a device of somebody else's sound, relative to the own player's.
fn heard_gain(device: Place, player: Place) -> f64 {
    let apart_m = (device.x_m - player.x_m).hypot(device.y_m - player.y_m);
    let direct = OWN_DISTANCE_M / apart_m.hypot(OWN_DISTANCE_M);
    direct.hypot(10f64.powf(DIFFUSE_DB / 20.0))
}

/// A device's sound in a hall.
pub struct SoundInHall {
    own: usize,
    sound: SimulatedSound,
    others: Vec<Neighbour>,
    hall: Arc<Hall>,
    /// Of the music the others know of.
    version: Option<(u32, u64)>,
    samples: Vec<f32>,
}

struct Neighbour {
    idx: usize,
    gain: f32,
    sound: SimulatedSound,
}

impl Source for SoundInHall {
    fn sample_rate_hz(&self) -> f64 {
        self.sound.sample_rate_hz()
    }

    fn octave_of(&self, asked: Note) -> Note {
        self.sound.octave_of(asked)
    }

    fn fill(&mut self, out: &mut [f32], music: Option<&Timeline>, time_map: &TimeMap) {
        let version = music.map(|m| (m.score().version, m.score().start_us.get().to_bits()));
        if version != self.version {
            self.version = version;
            let mut all = self.hall.music.lock().unwrap_or_else(PoisonError::into_inner);
            all[self.own] = music.map(|music| Arc::new(music.clone()));
        }
        self.sound.fill(out, music, time_map);
        self.samples.resize(out.len(), 0.0);
        for other in &mut self.others {
            let music = self.hall.music_of(other.idx);
            other.sound.fill(&mut self.samples, music.as_deref(), time_map);
            out.iter_mut().zip(&self.samples).for_each(|(o, s)| *o += other.gain * s);
        }
    }
}

#[cfg(test)]
#[path = "hall_tests.rs"]
mod tests;
