//! What it says, and what it must not say.

use crate::truth::{RATE, analyser, hear, median, pulsed, timbre_for};
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};
use windrow_analysis::tuning::midi_to_hz;
use windrow_analysis::{Analyser, Config, ConfigError, Hearing};

fn pulsing(f0_hz: f64, rate_hz: f64, depth_db: f64, swing_cents: f64) -> Pulsing {
    Pulsing {
        f0_hz,
        peak_gain: 0.3,
        rate_hz,
        depth_db,
        swing_cents,
        first_peak_s: 0.6 / rate_hz,
        drift_cents_per_s: 0.0,
    }
}

/// Slow wandering as of a real player: a sum of slow sines that do not repeat within the tone.
fn wander(t: f64, seed: f64) -> f64 {
    [0.23, 0.41, 0.67, 1.13]
        .iter()
        .enumerate()
        .map(|(k, f)| (std::f64::consts::TAU * f * t + seed * (k as f64 + 1.3)).sin())
        .sum()
}

#[test]
fn straight_tones_are_never_called_vibrato() {
    for k in 0..40 {
        let seed = f64::from(k);
        let f0_hz = midi_to_hz(40.0 + 1.5 * seed, 440.0);
        // Unsteady as a beginner is: about ±3 cents and ±0.3 dB, in noise; every other one with a crescendo.
        let swell = if k % 2 == 0 { 2.0 } else { 0.0 };
        let sound = render(RATE, timbre_for(f0_hz), -50.0, k as u64, 5.0, |t| Moment {
            f0_hz: f0_hz * (1.2 * wander(t, seed) / 1200.0).exp2(),
            gain: 0.1 * 10f64.powf((0.12 * wander(t, seed + 0.5) + swell * t) / 20.0),
        });
        let heard = hear(&sound, RATE);
        assert!(heard.pulses.is_empty(), "tone {k}: {:?}", heard.pulses);
        assert!(!heard.readings.iter().any(|r| r.trusted() && r.hearing == Hearing::Pulsed), "tone {k}");
        assert!(
            heard.readings.iter().any(|r| r.trusted() && r.hearing == Hearing::Straight),
            "tone {k} never trusted"
        );
    }
}

#[test]
fn a_pitch_that_only_falls_has_its_note_as_the_upper_envelope() {
    // 50 cents down and back as the jaw does it: from the note by -50 ((1 - cos) / 2)^2, whose mean is -50 * 3/8.
    let (depth_cents, rate_hz) = (50.0, 4.0);
    for (f0_hz, depth_db) in [(233.082, 1.5), (466.164, 1.5), (466.164, 0.0)] {
        let sound = render(RATE, timbre_for(f0_hz), -60.0, 3, 5.0, |t| {
            let wave = (std::f64::consts::TAU * rate_hz * t).cos();
            let cents = -depth_cents * ((1.0 - wave) / 2.0).powi(2);
            let gain = 0.1 * 10f64.powf(depth_db / 2.0 * (wave - 1.0) / 20.0);
            Moment { f0_hz: f0_hz * (cents / 1200.0).exp2(), gain }
        });
        let heard = hear(&sound, RATE);
        let trusted = || heard.readings.iter().filter(|r| r.trusted() && r.hearing == Hearing::Pulsed);
        let upper = median(trusted().filter_map(|r| r.upper_cents).collect());
        let centre = median(trusted().filter_map(|r| r.centre_cents).collect());
        assert!(upper.abs() < 1.0, "{f0_hz} Hz, {depth_db} dB: upper {upper}");
        assert!((centre + depth_cents * 3.0 / 8.0).abs() < 0.5, "{f0_hz} Hz, {depth_db} dB: centre {centre}");
    }
}

#[test]
fn noise_and_silence_say_nothing() {
    let noise = render(RATE, Timbre::sine(), -30.0, 9, 3.0, |_| Moment { f0_hz: 440.0, gain: 0.0 });
    let heard = hear(&noise, RATE);
    assert!(heard.pulses.is_empty() && heard.readings.iter().all(|r| !r.trusted() && r.f0_hz.is_none()));
    let heard = hear(&vec![0.0; 48_000], RATE);
    assert!(heard.readings.iter().all(|r| r.hearing == Hearing::Silence));
}

#[test]
fn choked_valleys_are_counted_and_said() {
    for rate_hz in [1.0, 3.0, 5.0] {
        let sound = pulsed(&pulsing(261.6, rate_hz, 40.0, 10.0), f64::max(3.0, 5.0 / rate_hz));
        let heard = hear(&sound, RATE);
        let reading = heard.last_trusted().expect("heard");
        assert_eq!(reading.hearing, Hearing::Pulsed);
        assert!(reading.choked_share.expect("there were valleys") > 0.9, "{rate_hz} Hz: {reading:?}");
        assert!((heard.rate_hz() / rate_hz - 1.0).abs() < 0.02);
    }
    let heard = hear(&pulsed(&pulsing(261.6, 3.0, 12.0, 10.0), 3.0), RATE);
    assert_eq!(heard.last_trusted().and_then(|r| r.choked_share), Some(0.0), "12 dB is deep, not choked");
}

#[test]
fn hairpin_shaped_pulses_keep_their_rate() {
    // One pulse a second as a crescendo and diminuendo: not sinusoidal, with overtones of its own.
    for (rise, rate_hz) in [(0.5, 1.0), (0.3, 1.0), (0.7, 1.5)] {
        let shape = |t: f64| {
            let x = (t * rate_hz).fract();
            if x < rise { x / rise } else { (1.0 - x) / (1.0 - rise) }
        };
        let sound = render(RATE, Timbre::falling(8), -60.0, 2, 6.0, |t| Moment {
            f0_hz: 392.0,
            gain: 0.3 * 10f64.powf((9.0 * shape(t) - 9.0) / 20.0),
        });
        let heard = hear(&sound, RATE);
        assert!((heard.rate_hz() / rate_hz - 1.0).abs() < 0.02, "{rise} {rate_hz}: {}", heard.rate_hz());
    }
}

#[test]
fn a_straight_tone_leaves_its_reference_for_the_vibrato_after_it() {
    let pulses = pulsing(440.0 * (5.0f64 / 1200.0).exp2(), 4.0, 6.0, 16.0);
    let sound = render(RATE, Timbre::falling(8), -70.0, 1, 7.0, |t| {
        if t < 3.0 {
            Moment { f0_hz: 440.0 * (-7.0f64 / 1200.0).exp2(), gain: 0.3 }
        } else {
            pulses.at(t - 3.0)
        }
    });
    let reading = *hear(&sound, RATE).last_trusted().expect("heard");
    assert!(
        (reading.straight_reference_cents.expect("three straight seconds") + 7.0).abs() < 1.0,
        "{reading:?}"
    );
    assert!((reading.centre_cents.expect("pulsed") - 5.0).abs() < 1.0, "{reading:?}");
}

#[test]
fn neither_the_end_of_a_straight_stretch_nor_a_change_of_note_is_a_pulse() {
    // Straight for three seconds, then four pulses a second from a peak at three seconds on; a new note at five.
    let wave = |t: f64| if t < 3.0 { 1.0 } else { (std::f64::consts::TAU * 4.0 * (t - 3.0)).cos() };
    let sound = render(RATE, Timbre::falling(8), -70.0, 1, 8.0, |t| Moment {
        f0_hz: (if t < 5.0 { 349.23 } else { 440.0 }) * (7.0 * wave(t) / 1200.0).exp2(),
        gain: 0.3 * 10f64.powf(3.0 * (wave(t) - 1.0) / 20.0),
    });
    let heard = hear(&sound, RATE);
    assert!(heard.pulses.len() >= 17, "{}", heard.pulses.len());
    for pulse in &heard.pulses {
        let phase = (pulse.time_s - 3.0) * 4.0;
        assert!(pulse.time_s > 3.1 && (phase - phase.round()).abs() < 0.05, "{pulse:?}");
    }
}

#[test]
fn a_vibrato_that_stops_is_soon_a_straight_tone() {
    let pulses = pulsing(349.23, 3.6, 6.0, 14.0);
    let sound = render(RATE, Timbre::falling(8), -70.0, 1, 6.0, |t| pulses.at(t.min(3.0)));
    let heard = hear(&sound, RATE);
    let first =
        heard.readings.iter().find(|r| r.trusted() && r.hearing == Hearing::Straight).expect("three seconds");
    // One and a half periods until the pulse is missed, and somewhat more to be sure.
    assert!((3.2..4.4).contains(&first.heard_until_s), "{first:?}");
}

#[test]
fn uneven_pulses_are_counted_and_said_to_be_uneven() {
    // Seven intervals in turn: mean 0.3 s, standard deviation 0.077 s.
    const INTERVALS_S: [f64; 7] = [0.20, 0.39, 0.33, 0.21, 0.40, 0.24, 0.33];
    let peaks: Vec<f64> =
        (0..20).map(|k| 0.1 + (0..k).map(|j| INTERVALS_S[j % INTERVALS_S.len()]).sum::<f64>()).collect();
    let wave = |t: f64| {
        let i = peaks.partition_point(|p| *p <= t).clamp(1, peaks.len() - 1);
        (std::f64::consts::TAU * (t - peaks[i - 1]) / (peaks[i] - peaks[i - 1])).cos()
    };
    let sound = render(RATE, Timbre::falling(8), -60.0, 1, 5.5, |t| Moment {
        f0_hz: 392.0 * (7.0 * wave(t) / 1200.0).exp2(),
        gain: 0.3 * 10f64.powf(3.5 * (wave(t) - 1.0) / 20.0),
    });
    let heard = hear(&sound, RATE);
    assert!((heard.rate_hz() / (1.0 / 0.3) - 1.0).abs() < 0.05, "{}", heard.rate_hz());
    let reading = heard.last_trusted().expect("one player, clearly heard");
    // 0.077 / 0.3; the smoothing that finds the peaks draws uneven ones together somewhat.
    assert!((reading.evenness_cv.expect("pulsed") - 0.257).abs() < 0.08, "{reading:?}");
}

#[test]
fn a_slur_is_a_new_note_and_an_octave_is_noticed() {
    for (second_hz, midi) in [(493.88, 71), (880.0, 81), (220.0, 57)] {
        let sound = render(RATE, Timbre::falling(8), -70.0, 1, 4.5, |t| Moment {
            f0_hz: if t < 2.0 { 440.0 } else { second_hz },
            gain: 0.3,
        });
        let reading = *hear(&sound, RATE).last_trusted().expect("heard");
        assert_eq!(reading.note_midi, Some(midi), "{reading:?}");
        assert!(reading.centre_cents.expect("straight").abs() < 1.0, "{reading:?}");
    }
}

#[test]
fn cents_count_from_the_expected_note() {
    let config = Config { sample_rate_hz: RATE, a4_hz: 442.0, expected_midi: Some(69) };
    let mut analyser = Analyser::new(config).expect("legal");
    let sound = render(RATE, Timbre::falling(5), -90.0, 1, 2.0, |_| Moment { f0_hz: 466.16, gain: 0.3 });
    let reading = *analyser.push(&sound).readings.last().expect("two seconds of sound");
    // 1200 log2(466.16 / 442).
    assert!((reading.centre_cents.expect("straight") - 92.13).abs() < 0.5, "{reading:?}");
    assert_eq!(reading.note_midi, Some(69));
}

#[test]
fn settings_out_of_range_are_refused_by_name() {
    let config = Config { sample_rate_hz: RATE, a4_hz: 440.0, expected_midi: None };
    let refused = |config: Config| Analyser::new(config).err().expect("out of range").to_string();
    assert!(refused(Config { sample_rate_hz: 7_999.0, ..config }).contains("7999 Hz"));
    assert!(refused(Config { sample_rate_hz: f64::NAN, ..config }).contains("sample rate"));
    assert!(refused(Config { a4_hz: 414.9, ..config }).contains("414.9"));
    assert!(refused(Config { expected_midi: Some(20), ..config }).contains("20"));
    assert_eq!(analyser(RATE).expect_note(Some(109)), Err(ConfigError::ExpectedNote(109)));
}
