//! What is said of the microphone's path: that it clips, is of a speech band or rides the gain; and, as important, of which
//! sounds none of that may be said.

use crate::microphones::{GainControl, add, noise, room_noise, speech_band};
use crate::truth::{RATE, analyser, timbre_for};
use windrow_analysis::Capture;
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};

const F0_HZ: f64 = 293.66;

/// What was said in the course of a sound, one for each second.
fn said(sound: &[f32], rate_hz: f64) -> Vec<Capture> {
    let mut analyser = analyser(rate_hz);
    let second = |block| {
        analyser.push(block);
        analyser.capture()
    };
    sound.chunks(rate_hz as usize).map(second).collect()
}

fn tone(rate_hz: f64, depth_db: f64, peak_gain: f64) -> Pulsing {
    Pulsing {
        f0_hz: F0_HZ,
        peak_gain,
        rate_hz,
        depth_db,
        swing_cents: 8.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    }
}

/// Tones of three seconds with pauses of three, beginning with a pause; 30 seconds.
fn phrases(moment: impl Fn(f64) -> Moment) -> Vec<f32> {
    render(RATE, timbre_for(F0_HZ), -200.0, 1, 30.0, |t| {
        let edge_s = (t % 6.0 - 3.0).min(6.0 - t % 6.0);
        let gain = (edge_s / 0.05).clamp(0.0, 1.0);
        let moment = moment(t);
        Moment { gain: gain * moment.gain, ..moment }
    })
}

/// Seconds since the last tone of [`phrases`] ended, in a pause.
fn in_pause_s(t: f64) -> Option<f64> {
    (t % 6.0 < 3.0).then_some(t % 6.0)
}

fn with_room(mut sound: Vec<f32>, db: f64) -> Vec<f32> {
    let room = room_noise(sound.len(), RATE, 100.0, db, 3);
    add(&mut sound, &room, RATE, |_| 0.0);
    sound
}

#[test]
fn a_gain_control_left_on_is_noticed_by_its_third_pause() {
    let mut n_found = 0;
    let mut missed = Vec::new();
    for attack_s in [0.01, 0.1] {
        for release_s in [0.5, 1.0, 2.0, 3.0] {
            for (depth_db, room_db) in [(0.0, -55.0), (6.0, -50.0), (10.0, -65.0)] {
                let control = GainControl {
                    target_db: -22.0,
                    max_gain_db: 18.0,
                    max_cut_db: 12.0,
                    attack_s,
                    release_s,
                };
                let mut sound = with_room(phrases(|t| tone(4.0, depth_db, 0.3).at(t)), room_db);
                control.apply(&mut sound, RATE);
                let said = said(&sound, RATE);
                assert!(!said[..15].iter().any(|c| c.gain_riding), "said before there was evidence twice");
                let found = said.last().is_some_and(|c| c.gain_riding);
                n_found += usize::from(found);
                if !found {
                    missed.push((attack_s, release_s, depth_db, room_db));
                }
            }
        }
    }
    assert!(n_found >= 22, "{n_found} of 24, without {missed:?}");
}

fn check_not_riding(name: &str, sound: &[f32]) {
    let said = said(sound, RATE);
    assert!(!said.iter().any(|c| c.gain_riding), "{name}: said to ride");
    assert!(said.iter().all(|c| c.band_hz.is_none() && !c.clips()), "{name}: {:?}", said.last());
}

#[test]
fn no_player_and_no_room_is_taken_for_a_gain_control() {
    let steady = |t: f64| tone(4.0, 6.0, 0.3).at(t);
    for room_db in [-70.0, -60.0, -50.0, -40.0] {
        check_not_riding("pulses in a room", &with_room(phrases(steady), room_db));
        let falling =
            |t: f64| Moment { f0_hz: F0_HZ, gain: 0.3 * 10f64.powf(-8.0 * (t % 6.0 - 3.0).max(0.0) / 20.0) };
        check_not_riding("decrescendos", &with_room(phrases(falling), room_db));
        let hairpin =
            |t: f64| Moment { f0_hz: F0_HZ, gain: 0.4 * 10f64.powf(-10.0 * (t % 6.0 - 4.5).abs() / 20.0) };
        check_not_riding("hairpins", &with_room(phrases(hairpin), room_db));
        let slow = render(RATE, timbre_for(F0_HZ), -200.0, 1, 30.0, |t| tone(1.0, 40.0, 0.3).at(t));
        check_not_riding("pulses of a second with empty valleys", &with_room(slow, room_db));
    }
}

/// Adds background that follows a curve in dB re its level, and must not be said to ride.
fn check_background(name: &str, level_db: f64, curve: impl Fn(f64) -> f64) {
    let n = 30 * RATE as usize;
    for (colour, background) in
        [("white", noise(n, level_db, 4)), ("dark", room_noise(n, RATE, 300.0, level_db, 5))]
    {
        let mut sound = with_room(phrases(|t| tone(4.0, 6.0, 0.3).at(t)), -62.0);
        add(&mut sound, &background, RATE, &curve);
        check_not_riding(&format!("{name}, {colour}"), &sound);
    }
}

#[test]
fn what_happens_in_pauses_is_not_taken_for_a_gain_control() {
    let never = -120.0;
    check_background("a room that gets louder", -70.0, |t| 0.8 * t);
    check_background("a fan that is switched on", -45.0, |t| if t > 8.0 { 0.0 } else { never });
    check_background("breaths before the entries", -40.0, |t| {
        in_pause_s(t).filter(|p| *p > 2.4).map_or(never, |p| 20.0 * (p - 3.0))
    });
    // Syllables: four a second, 15 dB deep.
    check_background("talk in the pauses", -45.0, |t| {
        in_pause_s(t).map_or(never, |_| 7.5 * (4.0 * std::f64::consts::TAU * t).sin() - 7.5)
    });
    check_background("others who begin when the tone has ended", -45.0, |t| {
        in_pause_s(t).filter(|p| *p > 0.5).map_or(never, |_| 0.0)
    });
    check_background("the echo of a hall", -30.0, |t| in_pause_s(t).map_or(never, |p| -40.0 * p));
}

#[test]
fn clipping_is_said_with_its_share_and_forgotten() {
    // Four seconds at 9 dB over full scale at the pulses' tops, then softly; some devices clip under full scale.
    for ceiling in [1.0f32, 0.5] {
        let sound = render(RATE, timbre_for(F0_HZ), -60.0, 1, 12.0, |t| {
            let gain = if t < 4.0 { 4.0 } else { 0.2 };
            tone(4.0, 6.0, gain).at(t)
        });
        let sound: Vec<f32> = sound
            .iter()
            .map(|x| ((x * ceiling).clamp(-ceiling, ceiling) * 32_767.0).round() / 32_768.0)
            .collect();
        let n_clipped = sound[..4 * 48_000].iter().filter(|x| x.abs() > 0.9999 * ceiling - 4e-5).count();
        let truth = n_clipped as f64 / (4.0 * 48_000.0);
        let said = said(&sound, RATE);
        assert!(said[0].clips() && said[3].changes_levels(), "{said:?}");
        assert!((said[3].clipped_share / truth - 1.0).abs() < 0.35, "{} for {truth}", said[3].clipped_share);
        assert!(said.last().is_some_and(|c| c.clipped_share == 0.0), "{said:?}");
    }
}

#[test]
fn loud_tones_are_not_clipped_at_any_pitch() {
    for midi in 22..=108 {
        let f0_hz = 440.0 * ((f64::from(midi) - 69.0) / 12.0f64).exp2();
        for timbre in [Timbre::sine(), Timbre::odd(15), Timbre::falling(20), timbre_for(f0_hz)] {
            let sound = render(RATE, timbre, -200.0, 1, 0.6, |_| Moment { f0_hz, gain: 1.0 });
            let peak = sound.iter().fold(0f32, |m, x| m.max(x.abs()));
            let whole: Vec<f32> = sound.iter().map(|x| (x / peak * 32_767.0).round() / 32_768.0).collect();
            let share = said(&whole, RATE)[0].clipped_share;
            assert!(share < 2e-4, "MIDI note {midi}: {share}");
        }
    }
}

#[test]
fn a_headset_is_known_by_where_its_sound_ends() {
    for rate_hz in [44_100.0, 48_000.0] {
        for wall_hz in [4_000.0, 8_000.0] {
            for room_db in [-75.0, -55.0] {
                let n = 10 * rate_hz as usize;
                let mut sound =
                    render(rate_hz, timbre_for(F0_HZ), -200.0, 1, 10.0, |t| tone(4.0, 6.0, 0.2).at(t));
                add(&mut sound, &noise(n, room_db, 6), rate_hz, |_| 0.0);
                assert!(said(&sound, rate_hz).iter().all(|c| c.band_hz.is_none()));
                let said = said(&speech_band(&sound, rate_hz, wall_hz), rate_hz);
                assert_eq!(said[9].band_hz, Some(wall_hz), "{rate_hz} Hz, room at {room_db} dB");
            }
        }
    }
    for rate_hz in [8_000.0, 16_000.0] {
        let sound = render(rate_hz, timbre_for(F0_HZ), -60.0, 1, 1.0, |t| tone(4.0, 6.0, 0.2).at(t));
        assert_eq!(said(&sound, rate_hz)[0].band_hz, Some(rate_hz / 2.0));
    }
}

#[test]
fn dark_rooms_clean_tones_and_good_codecs_are_no_headsets() {
    for from_hz in [50.0, 1_000.0, 4_000.0] {
        for room_db in [-70.0, -40.0] {
            let silence = vec![0.0; 8 * RATE as usize];
            let room = room_noise(silence.len(), RATE, from_hz, room_db, 8);
            assert!(said(&room, RATE).iter().all(|c| c.band_hz.is_none()), "noise from {from_hz} Hz");
        }
    }
    // A tone without any noise, which no microphone gives, ends at its last harmonic.
    for midi in (22..=108).step_by(3) {
        let f0_hz = 440.0 * ((f64::from(midi) - 69.0) / 12.0f64).exp2();
        for timbre in [Timbre::falling(12), timbre_for(f0_hz)] {
            let sound =
                render(RATE, timbre, -200.0, 1, 4.5, |t| Pulsing { f0_hz, ..tone(4.0, 6.0, 0.3) }.at(t));
            assert!(said(&sound, RATE).iter().all(|c| c.band_hz.is_none()), "MIDI note {midi}");
        }
    }
    let mut sound = render(RATE, timbre_for(F0_HZ), -60.0, 1, 8.0, |t| tone(4.0, 6.0, 0.3).at(t));
    sound = speech_band(&sound, RATE, 15_000.0);
    assert!(said(&sound, RATE).iter().all(|c| c.band_hz.is_none()));
}
