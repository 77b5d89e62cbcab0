//! The sounds of the tick. Each is a short sweep: a loudspeaker of a phone can play it, and among wind tones, whose
//! harmonics stand still, nothing else looks like it to a matched filter. Must not know how loud it is played.

use std::f64::consts::{FRAC_PI_2, TAU};

/// Length of a click, seconds.
pub const CLICK_S: f64 = 0.011;
/// The envelope rises in this time and then falls with this time constant, seconds: a knock, without a ring.
const ATTACK_S: f64 = 0.0012;
const DECAY_S: f64 = 0.004;
/// Points at which the sweep is summed up in each sample.
const STEPS: usize = 8;
/// No part of a sweep that is above this share of the sample rate is sounded.
const HIGHEST_SHARE: f64 = 0.46;

/// Which sound the tick has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClickSound {
    /// A wooden knock, 2.7 to 6 kHz.
    Wood,
    /// Higher, for a room full of tone: 4 to 7.6 kHz.
    Bright,
}

impl ClickSound {
    /// All sounds, in the order of their numbers at the wasm door.
    pub const ALL: [Self; 2] = [Self::Wood, Self::Bright];
}

/// What a tick marks. Bars and beats sweep in opposite directions, so that neither is taken for the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClickKind {
    /// The first beat of a bar.
    Bar,
    /// Any other beat.
    Beat,
    /// A tick of the subdivision; the sound of a beat, which the caller plays more softly.
    Between,
}

/// Frequencies between which a click sweeps, from its start to its end, Hz: our own choice, above the strongest harmonics
/// of the winds (their formants end near 2 kHz) and where a loudspeaker of a phone is loudest.
fn sweep_hz(sound: ClickSound, kind: ClickKind) -> (f64, f64) {
    match (sound, kind) {
        (ClickSound::Wood, ClickKind::Bar) => (3600.0, 6200.0),
        (ClickSound::Wood, _) => (5200.0, 2800.0),
        (ClickSound::Bright, ClickKind::Bar) => (4800.0, 7600.0),
        (ClickSound::Bright, _) => (7000.0, 4000.0),
    }
}

/// The samples of a click: [`CLICK_S`] long, beginning and ending in silence, with a peak of 1.
///
/// The sweep goes on as fast as the envelope is high, which keeps the power at its ends low and the band narrow.
pub fn click(sound: ClickSound, kind: ClickKind, sample_rate_hz: f64) -> Vec<f32> {
    let (from_hz, to_hz) = sweep_hz(sound, kind);
    let n = (CLICK_S * sample_rate_hz).round() as usize;
    let step_s = CLICK_S / (n * STEPS) as f64;
    let time_s = |step: usize| (step as f64 + 0.5) * step_s;
    let whole: f64 = (0..n * STEPS).map(|step| envelope(time_s(step))).sum();
    let (mut swept, mut cycles) = (0.0, 0.0);
    let mut samples = Vec::with_capacity(n);
    for i in 0..n {
        let mut sample = 0.0;
        for step in i * STEPS..(i + 1) * STEPS {
            let height = envelope(time_s(step));
            swept += height / whole;
            let hz = from_hz + (to_hz - from_hz) * swept;
            cycles += hz * step_s;
            if step % STEPS == STEPS / 2 && hz < HIGHEST_SHARE * sample_rate_hz {
                sample = height * (TAU * cycles).sin();
            }
        }
        samples.push(sample as f32);
    }
    let peak = samples.iter().fold(f32::MIN_POSITIVE, |m, x| m.max(x.abs()));
    samples.iter_mut().for_each(|x| *x /= peak);
    samples
}

fn envelope(time_s: f64) -> f64 {
    let rise = (FRAC_PI_2 * (time_s / ATTACK_S).min(1.0)).sin().powi(2);
    let fall = (FRAC_PI_2 * time_s / CLICK_S).cos().powi(2) * (-time_s / DECAY_S).exp();
    rise * fall
}

#[cfg(test)]
mod tests {
    use super::*;

    const KINDS: [ClickKind; 3] = [ClickKind::Bar, ClickKind::Beat, ClickKind::Between];

    /// Power of a sound from one frequency to another by the definition of the Fourier transform, 20 Hz apart.
    fn power(samples: &[f32], from_hz: f64, to_hz: f64, rate_hz: f64) -> f64 {
        let n = ((to_hz - from_hz) / 20.0) as usize;
        (0..n)
            .map(|k| {
                let turn = TAU * (from_hz + 20.0 * k as f64) / rate_hz;
                let (re, im) = samples.iter().enumerate().fold((0.0, 0.0), |(re, im), (i, &x)| {
                    let (sin, cos) = (turn * i as f64).sin_cos();
                    (re + f64::from(x) * cos, im + f64::from(x) * sin)
                });
                re * re + im * im
            })
            .sum()
    }

    #[test]
    fn clicks_are_short_start_and_end_in_silence_and_keep_to_their_band() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0] {
            for (sound, kind) in ClickSound::ALL.into_iter().flat_map(|s| KINDS.map(|k| (s, k))) {
                let samples = click(sound, kind, rate_hz);
                assert_eq!(samples.len(), (0.011 * rate_hz) as usize);
                let peak = samples.iter().fold(0f32, |m, x| m.max(x.abs()));
                assert!((peak - 1.0).abs() < 1e-6, "{peak}");
                assert!(samples[0].abs() < 0.01 && samples[samples.len() - 1].abs() < 0.001);
                let all = power(&samples, 0.0, rate_hz / 2.0, rate_hz);
                let outside =
                    power(&samples, 0.0, 2500.0, rate_hz) + power(&samples, 8000.0, rate_hz / 2.0, rate_hz);
                // 38 dB under the whole.
                assert!(outside < 1.6e-4 * all, "{sound:?} {kind:?} at {rate_hz}: {}", outside / all);
            }
        }
    }

    #[test]
    fn clicks_of_low_rates_do_not_fold_back() {
        let samples = click(ClickSound::Bright, ClickKind::Beat, 8000.0);
        assert!(samples.iter().all(|x| x.is_finite()));
        let wood = click(ClickSound::Wood, ClickKind::Beat, 8000.0);
        assert!(wood.iter().map(|x| x * x).sum::<f32>() > 1.0, "what is left of it is heard");
    }
}
