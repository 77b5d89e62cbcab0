//! How exact it is, over the whole range and all pulse rates.

use crate::truth::{Heard, RATE, hear, median, pulsed, timbre_for};
use windrow_analysis::Hearing;
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};
use windrow_analysis::tuning::midi_to_hz;

/// Largest error of a sustained tone's pitch, cents, 13 cents above each note from contrabassoon to piccolo; checks
/// the note on the way.
fn worst_straight_pitch(rate_hz: f64, noise_db: f64, step: usize, timbre: impl Fn(f64) -> Timbre) -> f64 {
    let mut worst = 0f64;
    for midi in (22..=108).step_by(step) {
        let f0_hz = midi_to_hz(f64::from(midi) + 0.13, 440.0);
        let attack = |t: f64| (t * 20.0).min(1.0);
        let sound =
            render(rate_hz, timbre(f0_hz), noise_db, 5, 1.6, |t| Moment { f0_hz, gain: 0.2 * attack(t) });
        let heard = hear(&sound, rate_hz);
        let reading =
            heard.last_trusted().unwrap_or_else(|| panic!("note {midi} at {rate_hz} Hz is not heard"));
        assert_eq!(reading.note_midi, Some(midi), "wrong note at {rate_hz} Hz");
        assert_eq!(reading.hearing, Hearing::Straight, "note {midi}");
        worst = worst.max((reading.centre_cents.expect("a straight tone has a centre") - 13.0).abs());
    }
    worst
}

#[test]
fn sustained_tones_over_the_whole_range_within_two_cents() {
    // Asked: 2 cents and no octave error. Clean tones are far better; the limits here are what the method should reach.
    let worst = worst_straight_pitch(RATE, -200.0, 1, |_| Timbre::falling(10));
    assert!(worst < 0.3, "falling harmonics: {worst} cents");
    let worst = worst_straight_pitch(RATE, -200.0, 3, |_| Timbre::sine());
    assert!(worst < 0.1, "sine: {worst} cents");
    let worst = worst_straight_pitch(RATE, -45.0, 3, timbre_for);
    assert!(worst < 1.0, "reed-like in noise: {worst} cents");
    let worst = worst_straight_pitch(RATE, -60.0, 3, |_| Timbre::odd(9));
    assert!(worst < 0.5, "odd harmonics: {worst} cents");
}

#[test]
fn any_sample_rate_gives_the_same_pitch() {
    // 16 kHz is a Bluetooth headset's; at 8 kHz the highest notes lie above half the rate.
    for rate_hz in [22_050.0, 32_000.0, 44_100.0, 96_000.0, 192_000.0] {
        let worst = worst_straight_pitch(rate_hz, -70.0, 11, |_| Timbre::falling(6));
        assert!(worst < 0.3, "{rate_hz} Hz: {worst} cents");
    }
}

/// Errors of one pulsed tone.
struct Errors {
    rate_share: f64,
    n_pulses: usize,
    n_found: usize,
    n_invented: usize,
    time_ms: Vec<f64>,
    depth_db: Vec<f64>,
    swing_cents: Vec<f64>,
    centre_cents: f64,
}

fn errors(midi: i32, pulsing: &Pulsing, seconds: f64, heard: &Heard) -> Errors {
    let truth: Vec<f64> = (0..)
        .map(|k| pulsing.first_peak_s + f64::from(k) / pulsing.rate_hz)
        .take_while(|t| *t < seconds - 0.4 / pulsing.rate_hz)
        .collect();
    // In periods, whichever peak is nearest.
    let from_a_peak = |t: f64| {
        let phase = (t - pulsing.first_peak_s) * pulsing.rate_hz;
        (phase - phase.round()).abs()
    };
    let mut errors = Errors {
        rate_share: (heard.rate_hz() / pulsing.rate_hz - 1.0).abs(),
        n_pulses: truth.len(),
        n_found: 0,
        n_invented: heard.pulses.iter().filter(|p| from_a_peak(p.time_s) > 0.15).count(),
        time_ms: Vec::new(),
        depth_db: Vec::new(),
        swing_cents: Vec::new(),
        centre_cents: heard.centre_cents_from(f64::from(midi)).abs(),
    };
    for t in truth {
        let nearest =
            heard.pulses.iter().min_by(|a, b| (a.time_s - t).abs().total_cmp(&(b.time_s - t).abs()));
        let Some(pulse) = nearest.filter(|p| (p.time_s - t).abs() < 0.15 / pulsing.rate_hz) else { continue };
        errors.n_found += 1;
        errors.time_ms.push(1000.0 * (pulse.time_s - t).abs());
        errors.depth_db.push((pulse.depth_db - pulsing.depth_db).abs());
        errors.swing_cents.push((pulse.swing_cents - pulsing.swing_cents).abs());
    }
    errors
}

/// Holds pulses of one size against the limits asked for, over pitches and rates.
fn check_pulses(depth_db: f64, swing_cents: f64) {
    let (mut n_pulses, mut n_found, mut n_invented) = (0, 0, 0);
    let (mut time_ms, mut depth, mut swing) = (Vec::new(), Vec::new(), Vec::new());
    for midi in [22, 34, 46, 58, 70, 84, 96, 108] {
        for rate_hz in [1.0, 1.7, 3.0, 4.4, 5.6, 7.0] {
            let f0_hz = midi_to_hz(f64::from(midi), 440.0);
            let first_peak_s = 0.6 / rate_hz;
            let pulsing = Pulsing {
                f0_hz,
                peak_gain: 0.3,
                rate_hz,
                depth_db,
                swing_cents,
                first_peak_s,
                drift_cents_per_s: 0.0,
            };
            let seconds = f64::max(3.0, 5.0 / rate_hz);
            let heard = hear(&pulsed(&pulsing, seconds), RATE);
            let e = errors(midi, &pulsing, seconds, &heard);
            assert!(
                e.rate_share < 0.02,
                "note {midi}, {rate_hz} Hz: rate off by {:.2} %",
                100.0 * e.rate_share
            );
            assert!(
                e.centre_cents < 1.0,
                "note {midi}, {rate_hz} Hz: centre off by {} cents",
                e.centre_cents
            );
            n_pulses += e.n_pulses;
            n_found += e.n_found;
            n_invented += e.n_invented;
            time_ms.extend(e.time_ms);
            depth.extend(e.depth_db);
            swing.extend(e.swing_cents);
        }
    }
    assert!(n_found as f64 >= 0.96 * n_pulses as f64, "{n_found} of {n_pulses} found");
    assert_eq!(n_invented, 0, "pulses where there are none");
    let (time, depth, swing) = (median(time_ms), median(depth), median(swing));
    assert!(time < 2.0 && depth < 0.1 && swing < 1.0, "medians: {time} ms, {depth} dB, {swing} cents");
}

#[test]
fn ordinary_pulses_within_two_per_cent_and_two_milliseconds() {
    check_pulses(6.0, 20.0);
}

#[test]
fn small_pulses_too() {
    check_pulses(2.0, 6.0);
}

#[test]
fn deep_pulses_too() {
    check_pulses(14.0, 30.0);
}

#[test]
fn pulses_of_the_air_alone_and_of_the_jaw_alone() {
    for (depth_db, swing_cents) in [(5.0, 0.0), (0.0, 50.0)] {
        for rate_hz in [1.0, 4.0, 7.0] {
            let pulsing = Pulsing {
                f0_hz: 311.13,
                peak_gain: 0.3,
                rate_hz,
                depth_db,
                swing_cents,
                first_peak_s: 0.6 / rate_hz,
                drift_cents_per_s: 0.0,
            };
            let heard = hear(&pulsed(&pulsing, f64::max(3.0, 5.0 / rate_hz)), RATE);
            let error = (heard.rate_hz() / rate_hz - 1.0).abs();
            assert!(error < 0.02, "{depth_db} dB, {swing_cents} cents, {rate_hz} Hz: off by {error}");
        }
    }
}

#[test]
fn what_the_window_flattens_is_given_back() {
    // Analysis windows of 40 ms would show 90 % of a 20-cent swing at 5 Hz (sinc law of the averaging window).
    let pulsing = Pulsing {
        f0_hz: 440.0,
        peak_gain: 0.3,
        rate_hz: 7.0,
        depth_db: 6.0,
        swing_cents: 40.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    };
    let heard = hear(&pulsed(&pulsing, 3.0), RATE);
    let reading = heard.last_trusted().expect("a clean tone is trusted");
    let (depth, swing) = (reading.depth_db_pp.expect("pulsed"), reading.swing_cents_pp.expect("pulsed"));
    assert!((depth - 6.0).abs() < 0.1 && (swing - 40.0).abs() < 0.5, "{depth} dB, {swing} cents");
}

#[test]
fn the_first_trusted_rate_comes_within_three_pulses() {
    for rate_hz in [2.0, 3.0, 4.0, 6.0] {
        let pulsing = Pulsing {
            f0_hz: 350.0,
            peak_gain: 0.3,
            rate_hz,
            depth_db: 6.0,
            swing_cents: 15.0,
            first_peak_s: 0.0,
            drift_cents_per_s: 0.0,
        };
        let heard = hear(&pulsed(&pulsing, 4.0), RATE);
        let first = heard.readings.iter().find(|r| r.trusted()).expect("a clean tone is trusted");
        assert_eq!(first.hearing, Hearing::Pulsed);
        let n = first.heard_until_s * rate_hz;
        assert!(n < 3.0, "{rate_hz} Hz: after {n} pulses");
    }
}

#[test]
fn a_drifting_centre_has_its_slope() {
    let pulsing = Pulsing {
        f0_hz: 349.23,
        peak_gain: 0.3,
        rate_hz: 4.0,
        depth_db: 6.0,
        swing_cents: 20.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 2.0,
    };
    let heard = hear(&pulsed(&pulsing, 6.0), RATE);
    let drift = heard.last_trusted().and_then(|r| r.drift_cents_per_10s).expect("six seconds show a slope");
    assert!((drift - 20.0).abs() < 2.0, "{drift} cents in ten seconds");
}
