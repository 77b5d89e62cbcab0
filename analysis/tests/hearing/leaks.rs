//! Clicks as they reach a microphone: late, soft or loud, through a room, past a phone's filters. The truth is where they
//! were put.

use crate::truth::{Heard, analyser};
use windrow_analysis::click::{ClickKind, ClickPath, ClickRemover, ClickSound, click};
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

/// Ticks as a score has them: 4 beats a bar, so many ticks a beat.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Beat {
    pub(crate) bpm: f64,
    pub(crate) per_beat: u32,
    pub(crate) from_s: f64,
}

/// A tick's time, s, and kind.
pub(crate) type TickAt = (f64, ClickKind);

impl Beat {
    /// All ticks up to a time.
    pub(crate) fn ticks(self, until_s: f64) -> Vec<TickAt> {
        let step_s = 60.0 / self.bpm / f64::from(self.per_beat);
        let kind = |i: u32| match i % (4 * self.per_beat) {
            0 => ClickKind::Bar,
            i if i % self.per_beat == 0 => ClickKind::Beat,
            _ => ClickKind::Between,
        };
        let n = ((until_s - self.from_s) / step_s) as u32;
        (0..n).map(|i| (self.from_s + f64::from(i) * step_s, kind(i))).collect()
    }
}

/// How a device's ticks come back to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Leak {
    pub(crate) sound: ClickSound,
    pub(crate) delay_s: f64,
    /// Level of a beat's click, RMS over its 11 ms, dB re full scale; ticks between are 8 dB softer.
    pub(crate) level_db: f64,
    pub(crate) room: Option<Room>,
}

impl Leak {
    /// Adds the clicks to a sound.
    pub(crate) fn add_to(self, sound: &mut [f32], rate_hz: f64, ticks: &[TickAt]) {
        let heard = [ClickKind::Bar, ClickKind::Beat]
            .map(|kind| heard_click(self.sound, kind, rate_hz, self.room.map(|room| (room, 3))));
        let dry = click(self.sound, ClickKind::Beat, rate_hz);
        let power: f32 = dry.iter().map(|x| x * x).sum::<f32>() / dry.len() as f32;
        let gain = 10f64.powf(self.level_db / 20.0) as f32 / power.sqrt();
        for (time_s, kind) in ticks {
            let softer = if *kind == ClickKind::Between { 10f32.powf(-8.0 / 20.0) } else { 1.0 };
            let at = ((time_s + self.delay_s) * rate_hz).round() as i64;
            add(sound, &heard[usize::from(*kind != ClickKind::Bar)], at, softer * gain);
        }
    }
}

/// Hears a sound without the ticks it is told of, each a fifth of a second ahead.
pub(crate) fn hear_without_ticks(
    sound: &[f32],
    rate_hz: f64,
    block: usize,
    ticks: &[TickAt],
) -> (Heard, Vec<ClickPath>) {
    let mut analyser = analyser(rate_hz);
    let mut remover = ClickRemover::new(rate_hz);
    remover.start();
    let mut heard = Heard { readings: Vec::new(), pulses: Vec::new() };
    let mut waiting = ticks.iter().peekable();
    let mut clean = Vec::new();
    let mut n_pushed = 0;
    for samples in sound.chunks(block) {
        n_pushed += samples.len();
        let told_until_s = n_pushed as f64 / rate_hz + 0.2;
        while let Some((time_s, kind)) = waiting.next_if(|tick| tick.0 < told_until_s) {
            remover.tick(time_s * rate_hz, *kind);
        }
        remover.push(samples, &mut |ready| clean.extend_from_slice(ready));
    }
    remover.stop(&mut |rest| clean.extend_from_slice(rest));
    assert_eq!(clean.len(), sound.len(), "no sample is added or lost");
    for samples in clean.chunks(1024) {
        heard.take(analyser.push(samples));
    }
    heard.take(analyser.finish());
    (heard, remover.paths().collect())
}
