//! One player among others: the expected note is followed whoever else plays, another one is found, and where it cannot
//! be told whose pulses are heard nothing is said. The others are the same kind of tones; how loud they are is stated.

use crate::truth::RATE;
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};
use windrow_analysis::tuning::midi_to_hz;
use windrow_analysis::{Analyser, Config, Hearing, Reading};

const SECONDS: f64 = 9.0;

/// A player: sounding note, detuning in cents, pulses a second, gain.
#[derive(Clone, Copy)]
struct Player {
    midi: f64,
    cents: f64,
    rate_hz: f64,
    gain: f64,
}

fn player(midi: f64, cents: f64, rate_hz: f64, gain: f64) -> Player {
    Player { midi, cents, rate_hz, gain }
}

/// All of them together, 6 dB and 14 cents each, with a little noise.
fn together(players: &[Player]) -> Vec<f32> {
    let mut sum = render(RATE, Timbre::sine(), -60.0, 99, SECONDS, |_| Moment { f0_hz: 440.0, gain: 0.0 });
    for (k, p) in players.iter().enumerate() {
        let tone = Pulsing {
            f0_hz: midi_to_hz(p.midi + p.cents / 100.0, 440.0),
            peak_gain: p.gain,
            rate_hz: p.rate_hz,
            depth_db: 6.0,
            swing_cents: 14.0,
            first_peak_s: 0.1 + 0.07 * k as f64,
            drift_cents_per_s: 0.0,
        };
        let timbre = [Timbre::falling(10), Timbre::formant(tone.f0_hz, 900.0, 500.0), Timbre::falling(16)];
        let sound = render(RATE, timbre[k % 3].clone(), -200.0, k as u64, SECONDS, |t| tone.at(t));
        sum.iter_mut().zip(sound).for_each(|(s, x)| *s += x);
    }
    sum
}

fn hear_expecting(sound: &[f32], midi: Option<u8>) -> Vec<Reading> {
    let config = Config { sample_rate_hz: RATE, a4_hz: 440.0, expected_midi: midi };
    let mut analyser = Analyser::new(config).expect("a legal configuration");
    let mut readings = Vec::new();
    for block in sound.chunks(1024) {
        readings.extend_from_slice(analyser.push(block).readings);
    }
    readings
}

/// Trusted rates from the third second on.
fn trusted_rates(readings: &[Reading]) -> Vec<f64> {
    let said = |r: &&Reading| r.trusted() && r.hearing == Hearing::Pulsed && r.time_s > 3.0;
    readings.iter().filter(said).filter_map(|r| r.pulse_rate_hz).collect()
}

#[test]
fn the_expected_note_of_a_chord_is_followed_though_the_others_are_as_loud_together() {
    // A triad: the player on the third at 5 Hz, the others at 4 Hz, each 3 dB weaker.
    for (own, others) in [(64.0, [60.0, 67.0]), (60.0, [64.0, 67.0]), (67.0, [60.0, 64.0])] {
        let sound = together(&[
            player(own, 4.0, 5.0, 0.2),
            player(others[0], -3.0, 4.0, 0.14),
            player(others[1], 6.0, 4.0, 0.14),
        ]);
        let readings = hear_expecting(&sound, Some(own as u8));
        let rates = trusted_rates(&readings);
        assert!(rates.len() > 80, "note {own}: {} of about 120 readings trusted", rates.len());
        assert!(rates.iter().all(|hz| (hz / 5.0 - 1.0).abs() < 0.03), "note {own}: {rates:?}");
        let centre = readings.iter().rev().find(|r| r.trusted()).and_then(|r| r.centre_cents).unwrap();
        assert!((centre - 4.0).abs() < 2.0, "note {own}: centre {centre}");
    }
}

#[test]
fn neighbouring_steps_are_told_apart() {
    let sound =
        together(&[player(65.0, 0.0, 4.4, 0.2), player(64.0, 5.0, 5.0, 0.12), player(67.0, -5.0, 5.0, 0.12)]);
    let rates = trusted_rates(&hear_expecting(&sound, Some(65)));
    assert!(rates.len() > 60, "{} trusted", rates.len());
    assert!(rates.iter().all(|hz| (hz / 4.4 - 1.0).abs() < 0.03), "{rates:?}");
}

#[test]
fn of_two_equal_players_in_unison_nothing_wrong_is_said() {
    for (detuned, rate_hz) in [(3.0, 4.6), (7.0, 5.3), (-5.0, 3.1), (12.0, 4.3)] {
        let sound = together(&[player(65.0, 0.0, 4.0, 0.2), player(65.0, detuned, rate_hz, 0.2)]);
        let rates = trusted_rates(&hear_expecting(&sound, Some(65)));
        let is_somebodys = |hz: &f64| (hz / 4.0 - 1.0).abs() < 0.04 || (hz / rate_hz - 1.0).abs() < 0.04;
        let wrong = rates.iter().filter(|hz| !is_somebodys(hz)).count();
        assert!(wrong <= 2, "{detuned} cents, {rate_hz} Hz: {wrong} of {}: {rates:?}", rates.len());
    }
}

#[test]
fn a_player_alone_on_a_wrong_note_is_found() {
    for wrong in [62.0, 67.0, 72.0] {
        let sound = together(&[player(wrong, 0.0, 4.0, 0.2)]);
        let readings = hear_expecting(&sound, Some(64));
        let last = readings.iter().rev().find(|r| r.trusted()).expect("heard");
        let cents = last.centre_cents.expect("a centre");
        assert!(
            (cents - 100.0 * (wrong - 64.0)).abs() < 2.0,
            "note {wrong}: {cents} cents from the expected"
        );
        assert!((last.pulse_rate_hz.unwrap() / 4.0 - 1.0).abs() < 0.02);
    }
}

#[test]
fn a_slide_from_a_wrong_note_to_the_expected_one_is_followed() {
    // Two seconds a tone below, half a second of sliding, then the note.
    let f0 = |t: f64| midi_to_hz(62.0 + 2.0 * ((t - 2.0) / 0.5).clamp(0.0, 1.0), 440.0);
    let pulse = |t: f64| (std::f64::consts::TAU * 5.0 * t).cos();
    let sound = render(RATE, Timbre::falling(10), -60.0, 5, SECONDS, |t| Moment {
        f0_hz: f0(t) * (8.0 * pulse(t) / 1200.0).exp2(),
        gain: 0.2 * 10f64.powf(3.0 * (pulse(t) - 1.0) / 20.0),
    });
    let readings = hear_expecting(&sound, Some(64));
    let settled: Vec<_> = readings.iter().filter(|r| r.time_s > 4.5 && r.trusted()).collect();
    assert!(settled.len() > 60, "{} trusted after the slide", settled.len());
    assert!(settled.iter().all(|r| r.centre_cents.is_some_and(|c| c.abs() < 2.0)));
    assert!(settled.iter().all(|r| (r.pulse_rate_hz.unwrap_or(0.0) / 5.0 - 1.0).abs() < 0.02));
}

#[test]
fn others_alone_are_not_taken_for_the_player() {
    // Who should play E rests; a triad without it sounds.
    let sound = together(&[player(60.0, 0.0, 4.0, 0.1), player(67.0, 3.0, 5.0, 0.1)]);
    let rates = trusted_rates(&hear_expecting(&sound, Some(64)));
    assert!(rates.is_empty(), "{rates:?}");
}

#[test]
fn when_the_expected_note_changes_the_player_is_followed_to_it() {
    // A slur from E to G after four seconds while others hold C and the C above, each 3 dB weaker.
    let pulse = |t: f64| (std::f64::consts::TAU * 5.0 * t).cos();
    let f0 = |t: f64| midi_to_hz(64.0 + 3.0 * ((t - 4.0) / 0.03).clamp(0.0, 1.0), 440.0);
    let mut sound = together(&[player(60.0, -3.0, 4.0, 0.14), player(72.0, 5.0, 4.0, 0.14)]);
    let own = render(RATE, Timbre::falling(10), -200.0, 5, SECONDS, |t| Moment {
        f0_hz: f0(t) * (8.0 * pulse(t) / 1200.0).exp2(),
        gain: 0.2 * 10f64.powf(3.0 * (pulse(t) - 1.0) / 20.0),
    });
    sound.iter_mut().zip(own).for_each(|(s, x)| *s += x);
    let config = Config { sample_rate_hz: RATE, a4_hz: 440.0, expected_midi: Some(64) };
    let mut analyser = Analyser::new(config).expect("a legal configuration");
    let at_change = (4.0 * RATE) as usize;
    analyser.push(&sound[..at_change]);
    analyser.expect_note(Some(67)).expect("a legal note");
    let mut readings = Vec::new();
    for block in sound[at_change..].chunks(1024) {
        readings.extend_from_slice(analyser.push(block).readings);
    }
    let late: Vec<_> = readings.iter().filter(|r| r.time_s > 6.0 && r.trusted()).collect();
    assert!(late.len() > 40, "{} of 60 trusted after the slur", late.len());
    assert!(late.iter().all(|r| (r.pulse_rate_hz.unwrap_or(0.0) / 5.0 - 1.0).abs() < 0.03));
    assert!(late.iter().all(|r| r.centre_cents.is_some_and(|c| c.abs() < 4.0)));
}
