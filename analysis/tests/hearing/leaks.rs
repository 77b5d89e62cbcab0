//! Clicks as they reach a microphone: late, soft or loud, through a room, past a phone's filters. The truth is where they
//! were put.

use windrow_analysis::click::{ClickKind, ClickSound, click};
use windrow_analysis::signals::{Moment, Timbre, render};

/// A room's answer to an impulse: the direct sound, and from 2 ms on noise that falls by 60 dB in `reverb_s`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Room {
    pub(crate) reverb_s: f64,
    /// Energy of the direct sound over that of all reflections, dB.
    pub(crate) direct_db: f64,
}

impl Room {
    fn impulse_response(self, rate_hz: f64, seed: u64) -> Vec<f32> {
        let silent = |_| Moment { f0_hz: 440.0, gain: 0.0 };
        let mut noise = render(rate_hz, Timbre::sine(), -10.0, seed, self.reverb_s, silent);
        for (i, x) in noise.iter_mut().enumerate() {
            let t = i as f64 / rate_hz;
            *x = if t < 0.002 { 0.0 } else { *x * 10f64.powf(-3.0 * t / self.reverb_s) as f32 };
        }
        let energy: f32 = noise.iter().map(|x| x * x).sum();
        let scale = (10f64.powf(-self.direct_db / 10.0) as f32 / energy).sqrt();
        noise.iter_mut().for_each(|x| *x *= scale);
        noise[0] = 1.0;
        noise
    }
}

/// A click as a microphone hears it.
pub(crate) fn heard_click(
    sound: ClickSound,
    kind: ClickKind,
    rate_hz: f64,
    room: Option<(Room, u64)>,
) -> Vec<f32> {
    let dry = click(sound, kind, rate_hz);
    let Some((room, seed)) = room else { return dry };
    let response = room.impulse_response(rate_hz, seed);
    let mut wet = vec![0.0; dry.len() + response.len()];
    for (i, x) in dry.iter().enumerate() {
        for (y, h) in wet[i..].iter_mut().zip(&response) {
            *y += x * h;
        }
    }
    wet
}

/// Adds a sound that begins at a sample, which may lie before or behind what is there.
pub(crate) fn add(to: &mut [f32], sound: &[f32], at: i64, gain: f32) {
    for (i, x) in sound.iter().enumerate() {
        let place = usize::try_from(at + i as i64).ok();
        if let Some(y) = place.and_then(|place| to.get_mut(place)) {
            *y += gain * x;
        }
    }
}

/// Noise of a level, dB re full scale.
pub(crate) fn noise(rate_hz: f64, db: f64, seed: u64, seconds: f64) -> Vec<f32> {
    render(rate_hz, Timbre::sine(), db, seed, seconds, |_| Moment { f0_hz: 440.0, gain: 0.0 })
}
