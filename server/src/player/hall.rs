//! A room that simulated players share: where they sit, and so how loud each one's device hears the others. It makes
//! samples alone: no socket, no clock.
//!
//! Sound falls by the inverse distance law from the player to a device; what walls send back is as loud everywhere, as in
//! the diffuse field beyond a room's critical distance. A neighbour's sound is made anew at each device from the
//! neighbour's own habit and seed.

use super::ear::Source;
use super::reverberation::Reverberation;
use super::simulated::{SimulatedPlayer, SimulatedSound};
use std::sync::{Arc, Mutex, PoisonError};
use windrow_protocol::note::Note;
use windrow_protocol::timeline::Timeline;
use windrow_web::TimeMap;

/// From an instrument to the device on its own stand, m.
const OWN_DISTANCE_M: f64 = 0.4;

/// What the walls send back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walls {
    /// dB re the direct sound at the own device.
    pub level_db: f64,
    /// Reverberation time, s; 0 adds the power and no time.
    pub rt60_s: f64,
}

impl Walls {
    /// Nearly none: levels are those of the distances.
    pub const FAR: Walls = Walls { level_db: -22.0, rt60_s: 0.0 };
    /// A furnished classroom with a critical distance of a metre (common figures, from memory): walls are as loud as a
    /// player a metre away.
    pub const CLASSROOM: Walls = Walls { level_db: -8.0, rt60_s: 0.6 };

    fn gain(self) -> f64 {
        10f64.powf(self.level_db / 20.0)
    }
}

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
    walls: Walls,
    a4_hz: f64,
    /// What each is playing, as its own device has it.
    music: Mutex<Vec<Option<Arc<Timeline>>>>,
}

impl Hall {
    /// A hall with these players, tuned to A4 = `a4_hz`.
    pub fn new(seats: Vec<(SimulatedPlayer, Place)>, walls: Walls, a4_hz: f64) -> Arc<Self> {
        let music = Mutex::new(vec![None; seats.len()]);
        Arc::new(Self { seats, walls, a4_hz, music })
    }

    /// What one player's device hears: its player and all others.
    pub fn sound_at(self: &Arc<Self>, own: usize) -> SoundInHall {
        let (player, place) = &self.seats[own];
        let others = (0..self.seats.len()).filter(|&i| i != own).map(|i| {
            let (other, at) = &self.seats[i];
            Neighbour {
                idx: i,
                gain: self.heard_gain(*place, *at) as f32,
                sound: SimulatedSound::without_noise(other, self.a4_hz),
            }
        });
        let sound = SimulatedSound::new(player, self.a4_hz);
        let echo =
            (self.walls.rt60_s > 0.0).then(|| Reverberation::new(sound.sample_rate_hz(), self.walls.rt60_s));
        SoundInHall {
            own,
            sound,
            echo,
            others: others.collect(),
            hall: self.clone(),
            version: None,
            samples: Vec::new(),
            all: Vec::new(),
        }
    }

    /// Gain at a device of somebody else's sound, relative to the own player's; with the walls' part where that comes without
    /// delay.
    fn heard_gain(&self, device: Place, player: Place) -> f64 {
        let apart_m = (device.x_m - player.x_m).hypot(device.y_m - player.y_m);
        let direct = OWN_DISTANCE_M / apart_m.hypot(OWN_DISTANCE_M);
        if self.walls.rt60_s > 0.0 { direct } else { direct.hypot(self.walls.gain()) }
    }

    fn music_of(&self, idx: usize) -> Option<Arc<Timeline>> {
        // A panic elsewhere leaves whole entries.
        self.music.lock().unwrap_or_else(PoisonError::into_inner)[idx].clone()
    }
}

/// A device's sound in a hall.
pub struct SoundInHall {
    own: usize,
    sound: SimulatedSound,
    others: Vec<Neighbour>,
    echo: Option<Reverberation>,
    hall: Arc<Hall>,
    /// Of the music the others know of.
    version: Option<(u32, u64)>,
    samples: Vec<f32>,
    /// All players as the walls hear them.
    all: Vec<f32>,
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

    fn take_music(&mut self, music: Option<&Timeline>) {
        let version = music.map(|m| (m.score().version, m.score().start_us.get().to_bits()));
        if version != self.version {
            self.version = version;
            let mut all = self.hall.music.lock().unwrap_or_else(PoisonError::into_inner);
            all[self.own] = music.map(|music| Arc::new(music.clone()));
        }
    }

    fn fill(&mut self, out: &mut [f32], music: Option<&Timeline>, time_map: &TimeMap) {
        self.take_music(music);
        self.sound.fill(out, music, time_map);
        self.samples.resize(out.len(), 0.0);
        self.all.clear();
        self.all.extend_from_slice(out);
        for other in &mut self.others {
            let music = self.hall.music_of(other.idx);
            other.sound.fill(&mut self.samples, music.as_deref(), time_map);
            out.iter_mut().zip(&self.samples).for_each(|(o, s)| *o += other.gain * s);
            self.all.iter_mut().zip(&self.samples).for_each(|(a, s)| *a += s);
        }
        if let Some(echo) = &mut self.echo {
            let gain = self.hall.walls.gain() as f32;
            out.iter_mut().zip(&self.all).for_each(|(o, &a)| *o += gain * echo.next(a));
        }
    }
}

#[cfg(test)]
#[path = "hall_tests.rs"]
mod tests;
