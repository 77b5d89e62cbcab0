//! A device that measures its own delay, on simulated recordings whose delay is known.

use crate::leaks::{Room, add, heard_click, noise};
use crate::truth::{RATE, timbre_for};
use windrow_analysis::click::{
    Calibration, CalibrationMode, CalibrationResult, CalibrationStatus, ClickKind, ClickSound,
};
use windrow_analysis::signals::{Moment, Pulsing, render};

/// When the clicks leave the device, s: gaps of 0.8 to 1 s, unequal.
const CLICKS_S: [f64; 8] = [0.5, 1.37, 2.19, 3.11, 3.94, 4.92, 5.75, 6.68];
const SECONDS: f64 = 8.0;

fn calibrate(sound: &[f32], rate_hz: f64, mode: CalibrationMode, ticks_s: &[f64]) -> CalibrationResult {
    let mut calibration = Calibration::new(rate_hz, mode);
    for tick_s in ticks_s {
        calibration.tick(tick_s * rate_hz);
    }
    for block in sound.chunks(1000) {
        calibration.push(block);
    }
    calibration.result()
}

/// A background with clicks that come `delay_s(k)` after they left.
fn with_clicks(
    mut background: Vec<f32>,
    rate_hz: f64,
    gain: f32,
    room: Option<Room>,
    delay_s: impl Fn(usize) -> f64,
) -> Vec<f32> {
    let heard = heard_click(ClickSound::Bright, ClickKind::Beat, rate_hz, room.map(|room| (room, 7)));
    for (k, click_s) in CLICKS_S.iter().enumerate() {
        add(&mut background, &heard, ((click_s + delay_s(k)) * rate_hz).round() as i64, gain);
    }
    background
}

#[track_caller]
fn check_good(name: &str, sound: &[f32], rate_hz: f64, delay_s: f64) {
    let result = calibrate(sound, rate_hz, CalibrationMode::Loudspeaker, &CLICKS_S);
    eprintln!("{name}: {result:?}");
    assert_eq!(result.status, CalibrationStatus::Good, "{name}: {result:?}");
    let error_ms = result.delay_ms.expect("good") - 1000.0 * delay_s;
    // The room's first reflections can outweigh a part of the direct sound; the asked scatter is 3 ms.
    assert!(error_ms.abs() < 0.5, "{name}: off by {error_ms} ms");
    assert_eq!(result.n_ticks, 8);
}

#[test]
fn the_delay_is_found_in_noise_rooms_and_on_phone_paths() {
    for rate_hz in [16_000.0, 44_100.0, 48_000.0, 96_000.0] {
        for delay_s in [-0.02, 0.0, 0.0423, 0.187, 0.45] {
            let sound = with_clicks(noise(rate_hz, -60.0, 3, SECONDS), rate_hz, 0.05, None, |_| delay_s);
            check_good(&format!("{rate_hz} Hz, {delay_s} s"), &sound, rate_hz, delay_s);
        }
    }
    for (reverb_s, direct_db) in [(0.4, 5.0), (0.6, 0.0), (0.8, -3.0)] {
        let room = Some(Room { reverb_s, direct_db });
        let sound = with_clicks(noise(RATE, -65.0, 4, SECONDS), RATE, 0.05, room, |_| 0.12);
        check_good(&format!("room of {reverb_s} s, {direct_db} dB"), &sound, RATE, 0.12);
    }
    // The click at -26 dB, noise 14 dB below it in power over the whole band.
    let sound = with_clicks(noise(RATE, -40.0, 5, SECONDS), RATE, 0.05, None, |_| 0.12);
    check_good("loud noise", &sound, RATE, 0.12);
}

#[test]
fn the_delay_is_found_while_others_play() {
    let pulsing = Pulsing {
        f0_hz: 698.5,
        peak_gain: 0.05,
        rate_hz: 4.0,
        depth_db: 6.0,
        swing_cents: 20.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    };
    let mut music = render(RATE, timbre_for(698.5), -65.0, 1, SECONDS, |t| pulsing.at(t));
    let bassoon = render(RATE, timbre_for(174.6), -80.0, 2, SECONDS, |_| Moment { f0_hz: 174.6, gain: 0.05 });
    add(&mut music, &bassoon, 0, 1.0);
    check_good("music", &with_clicks(music, RATE, 0.05, None, |_| 0.12), RATE, 0.12);
}

#[test]
fn clipping_and_clocks_that_disagree_do_no_harm() {
    let mut sound = with_clicks(noise(RATE, -50.0, 6, SECONDS), RATE, 4.0, None, |_| 0.08);
    sound.iter_mut().for_each(|x| *x = x.clamp(-1.0, 1.0));
    check_good("clipped", &sound, RATE, 0.08);
    // 100 ppm: the eighth click comes 0.67 ms later than the first, by the microphone's clock; the median in the middle.
    let sound = with_clicks(noise(RATE, -60.0, 7, SECONDS), RATE, 0.05, None, |k| 0.08 + 1e-4 * CLICKS_S[k]);
    check_good("100 ppm", &sound, RATE, 0.08 + 1e-4 * (CLICKS_S[3] + CLICKS_S[4]) / 2.0);
}

#[test]
fn what_is_not_heard_is_not_found() {
    let tongued = |t: f64| {
        // Attacks with the clicks' own rhythm, by a machine.
        let since = CLICKS_S.iter().map(|c| t - c - 0.1).filter(|s| *s >= 0.0).fold(f64::MAX, f64::min);
        Moment { f0_hz: 523.3, gain: 0.2 * (since / 0.004).min(1.0) * (-since / 0.2).exp() }
    };
    let attacks = render(RATE, timbre_for(523.3), -60.0, 8, SECONDS, tongued);
    let mut knocks = noise(RATE, -60.0, 9, SECONDS);
    for click_s in CLICKS_S {
        let knock = noise(RATE, -10.0, (1000.0 * click_s) as u64, 0.006);
        add(&mut knocks, &knock, ((click_s + 0.1) * RATE) as i64, 1.0);
    }
    // The other sounds of the tick, as from the conductor's loudspeaker, on every click.
    let mut others = noise(RATE, -60.0, 10, SECONDS);
    let bar = heard_click(ClickSound::Wood, ClickKind::Bar, RATE, None);
    for click_s in CLICKS_S {
        add(&mut others, &bar, ((click_s + 0.1) * RATE) as i64, 0.1);
    }
    for (name, sound) in [
        ("silence", vec![0.0; (SECONDS * RATE) as usize]),
        ("noise", noise(RATE, -40.0, 11, SECONDS)),
        ("attacks", attacks),
        ("knocks", knocks),
        ("another tick", others),
    ] {
        let result = calibrate(&sound, RATE, CalibrationMode::Loudspeaker, &CLICKS_S);
        eprintln!("{name}: {result:?}");
        assert_eq!(result.status, CalibrationStatus::Nothing, "{name}: {result:?}");
    }
}

#[test]
fn a_delay_that_varies_is_said_to() {
    // By 0 to 60 ms, as over a wireless link that loses its place.
    let late_s = [0.0, 0.03, 0.06, 0.01, 0.05, 0.02, 0.06, 0.04];
    let sound = with_clicks(noise(RATE, -60.0, 12, SECONDS), RATE, 0.05, None, |k| 0.2 + late_s[k]);
    let result = calibrate(&sound, RATE, CalibrationMode::Loudspeaker, &CLICKS_S);
    assert_eq!((result.status, result.n), (CalibrationStatus::Scattered, 8), "{result:?}");
    // The sample standard deviation of the eight.
    let ms = result.scatter_ms.expect("eight");
    assert!((ms - 22.5).abs() < 0.5, "{ms}");
}

#[test]
fn some_clicks_are_few_and_an_unfinished_recording_waits() {
    let lost = |k: usize| if k % 2 == 0 { 0.1 } else { 100.0 };
    let sound = with_clicks(noise(RATE, -60.0, 13, SECONDS), RATE, 0.05, None, lost);
    let result = calibrate(&sound, RATE, CalibrationMode::Loudspeaker, &CLICKS_S);
    assert_eq!((result.status, result.n), (CalibrationStatus::Few, 4), "{result:?}");
    let sound = with_clicks(noise(RATE, -60.0, 13, 3.0), RATE, 0.05, None, |_| 0.1);
    let result = calibrate(&sound, RATE, CalibrationMode::Loudspeaker, &CLICKS_S);
    assert_eq!((result.status, result.n_ticks), (CalibrationStatus::Waiting, 3), "{result:?}");
}

/// Twelve ticks at 75 bpm, each tapped at once and `late_s(k)` after it: a thump with a sharp start.
fn tapped(rate_hz: f64, background_db: f64, late_s: impl Fn(usize) -> Option<f64>) -> (Vec<f32>, Vec<f64>) {
    let ticks_s: Vec<f64> = (0..12).map(|k| 1.0 + 0.8 * f64::from(k)).collect();
    let mut sound = noise(rate_hz, background_db, 14, 11.0);
    for (k, tick_s) in ticks_s.iter().enumerate() {
        let Some(late_s) = late_s(k) else { continue };
        let mut thump = noise(rate_hz, -15.0, 20 + k as u64, 0.12);
        for (i, x) in thump.iter_mut().enumerate() {
            let t = i as f64 / rate_hz;
            let low = 0.5 * (std::f64::consts::TAU * 90.0 * t).sin() * (-t / 0.03).exp();
            *x = *x * (-t / 0.008).exp() as f32 + low as f32;
        }
        add(&mut sound, &thump, ((tick_s + late_s) * rate_hz) as i64, 0.5);
    }
    (sound, ticks_s)
}

/// Deviates of a normal distribution at the twelve probabilities (k - 0.5) / 12 (from its table), in a mixed order; their
/// standard deviation is 0.98 and their median 0.
const NORMAL: [f64; 12] = [0.10, -1.73, 0.55, -0.32, 1.15, -0.81, 0.32, 1.73, -0.10, -0.55, 0.81, -1.15];

#[test]
fn taps_give_their_median_and_scatter() {
    for (rate_hz, background_db) in [(16_000.0, -60.0), (RATE, -70.0), (RATE, -45.0)] {
        let (sound, ticks_s) = tapped(rate_hz, background_db, |k| Some(0.09 + 0.015 * NORMAL[k]));
        let result = calibrate(&sound, rate_hz, CalibrationMode::Taps, &ticks_s);
        assert_eq!((result.status, result.n_ticks), (CalibrationStatus::Good, 12), "{result:?}");
        let delay_ms = result.delay_ms.expect("good");
        assert!((delay_ms - 90.0).abs() < 4.0, "{delay_ms}");
    }
    let (sound, ticks_s) = tapped(RATE, -60.0, |k| Some(0.09 + 0.06 * NORMAL[k]));
    let result = calibrate(&sound, RATE, CalibrationMode::Taps, &ticks_s);
    assert_eq!(result.status, CalibrationStatus::Scattered, "{result:?}");
}

#[test]
fn few_taps_and_none_are_told_apart_and_tones_are_no_taps() {
    let (sound, ticks_s) = tapped(RATE, -60.0, |k| (k < 5).then_some(0.05));
    let result = calibrate(&sound, RATE, CalibrationMode::Taps, &ticks_s);
    assert_eq!((result.status, result.n), (CalibrationStatus::Few, 5), "{result:?}");
    let (silence, _) = tapped(RATE, -60.0, |_| None);
    let swelling = render(RATE, timbre_for(440.0), -60.0, 15, 11.0, |t| Moment {
        f0_hz: 440.0,
        gain: 0.2 * (1.0 - (std::f64::consts::TAU * t / 0.8).cos()),
    });
    for sound in [silence, swelling] {
        let result = calibrate(&sound, RATE, CalibrationMode::Taps, &ticks_s);
        assert_eq!(result.status, CalibrationStatus::Nothing, "{result:?}");
    }
}
