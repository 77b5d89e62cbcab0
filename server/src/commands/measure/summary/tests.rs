//! Summaries of synthetic sounds with known truth, through the real analysis.

use super::*;
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};
use windrow_analysis::{Analyser, Config};

const RATE_HZ: f64 = 24_000.0;
const NOTHING: Question = Question { a4_hz: 440.0, expected: None, beat: None };

fn tone() -> Pulsing {
    Pulsing {
        f0_hz: 440.0,
        peak_gain: 0.2,
        rate_hz: 5.0,
        depth_db: 6.0,
        swing_cents: 16.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    }
}

fn measured(seconds: f64, question: Question, curve: impl FnMut(f64) -> Moment) -> Summary {
    let (readings, pulses) = heard(seconds, &question, curve);
    let sound = Sound { duration_s: seconds, sample_rate_hz: 24_000, readings: &readings, pulses: &pulses };
    summarise(&sound, &question)
}

fn heard(seconds: f64, question: &Question, curve: impl FnMut(f64) -> Moment) -> (Vec<Reading>, Vec<Pulse>) {
    let samples = render(RATE_HZ, Timbre::falling(6), -70.0, 7, seconds, curve);
    let expected_midi = question.expected.map(Note::midi);
    let config = Config { sample_rate_hz: RATE_HZ, a4_hz: question.a4_hz, expected_midi };
    let mut analyser = Analyser::new(config).unwrap();
    let heard = analyser.push(&samples);
    let (mut readings, mut pulses) = (heard.readings.to_vec(), heard.pulses.to_vec());
    let heard = analyser.finish();
    readings.extend_from_slice(heard.readings);
    pulses.extend_from_slice(heard.pulses);
    (readings, pulses)
}

fn near(value: Option<f64>, expected: f64, within: f64) {
    let value = value.expect("a value is due");
    assert!((value - expected).abs() <= within, "{value}, but expected {expected}");
}

fn asked(beat_at_s: Option<f64>) -> Question {
    let beat = Beat { bpm: Bpm::new(75.0).unwrap(), per_beat: PerBeat::new(4).unwrap(), beat_at_s };
    Question { beat: Some(beat), ..NOTHING }
}

#[test]
fn a_vibrato_is_described_as_it_was_made() {
    let s = measured(4.0, NOTHING, |t| tone().at(t));
    assert_eq!((s.note.unwrap().to_string().as_str(), s.trusted, s.state), ("A4", true, State::Matched));
    near(s.centre_cents, 0.0, 0.5);
    near(s.upper_cents, 8.0, 1.0);
    near(s.f0_hz, 440.0, 0.15);
    near(s.pulse_rate_hz, 5.0, 0.03);
    near(s.depth_db_pp, 6.0, 0.3);
    near(s.swing_cents_pp, 16.0, 1.5);
    near(s.drift_cents_per_10s, 0.0, 2.0);
    assert!(s.evenness_cv.unwrap() < 0.03, "{s:?}");
    assert!(s.pulse_times_s.len() >= 16, "{s:?}");
    near(s.first_trusted_s, 0.6, 0.4);
    assert_eq!((s.timing_ms, s.spread_ms), (None, None));
}

#[test]
fn a_straight_tone_has_no_rate() {
    let s = measured(3.0, NOTHING, |_| Moment { f0_hz: 445.0, gain: 0.2 });
    assert_eq!((s.pulse_rate_hz, s.depth_db_pp, s.upper_cents, s.pulse_times_s.len()), (None, None, None, 0));
    // 1200 log2(445 / 440) = 19.56 cents.
    near(s.centre_cents, 19.56, 0.3);
    assert_eq!((s.state, s.trusted), (State::Straight, true));
}

#[test]
fn cents_count_from_the_expected_note() {
    let question = Question { expected: Note::from_midi(68), ..NOTHING };
    let s = measured(3.0, question, |_| Moment { f0_hz: 440.0, gain: 0.2 });
    near(s.centre_cents, 100.0, 0.5);
    assert_eq!(s.state, State::Sharp);
}

#[test]
fn a_tone_that_rises_is_drifting() {
    let rising = Pulsing { drift_cents_per_s: 2.5, ..tone() };
    let s = measured(5.0, NOTHING, |t| rising.at(t));
    near(s.drift_cents_per_10s, 25.0, 3.0);
    assert_eq!(s.state, State::DriftingSharp);
}

#[test]
fn a_pitch_that_only_falls_reaches_up_to_the_note() {
    // 50 cents, all below the note: the centre is half of it, the upper envelope none.
    let jaw = Pulsing { swing_cents: 50.0, depth_db: 1.0, f0_hz: 440.0 * (-25f64 / 1200.0).exp2(), ..tone() };
    let s = measured(4.0, NOTHING, |t| jaw.at(t));
    near(s.centre_cents, -25.0, 0.5);
    near(s.upper_cents, 0.0, 1.0);
    assert_eq!(s.state, State::PitchLed);
}

#[test]
fn the_rate_is_judged_against_the_tempo() {
    // 5 pulses a second are asked for.
    assert_eq!(measured(4.0, asked(None), |t| tone().at(t)).state, State::Matched);
    let fast = Pulsing { rate_hz: 5.5, ..tone() };
    assert_eq!(measured(4.0, asked(None), |t| fast.at(t)).state, State::Fast);
}

#[test]
fn late_is_only_said_where_the_beat_is_known() {
    // Peaks at 0.1 s and every 0.2 s: 60 ms after ticks at 0.04 s and every 0.2 s.
    let known = measured(4.0, asked(Some(0.84)), |t| tone().at(t));
    near(known.timing_ms, 60.0, 4.0);
    assert_eq!(known.state, State::Late);
    assert!(known.spread_ms.unwrap() < 6.0, "{known:?}");
    let unknown = measured(4.0, asked(None), |t| tone().at(t));
    near(unknown.timing_ms.map(f64::abs), 100.0, 4.0);
    assert_eq!(unknown.state, State::Matched);
}

#[test]
fn silence_and_noise_pass_no_verdict() {
    let s = measured(2.0, NOTHING, |_| Moment { f0_hz: 440.0, gain: 0.0 });
    assert_eq!((s.state, s.trusted, s.note, s.first_trusted_s), (State::NotHeard, false, None, None));
    let nothing = Sound { duration_s: 0.0, sample_rate_hz: 8_000, readings: &[], pulses: &[] };
    assert_eq!(summarise(&nothing, &asked(None)).state, State::NotHeard);
}

#[test]
fn pulses_that_may_be_anothers_are_withheld_and_the_pitch_is_told() {
    let question = asked(Some(0.84));
    let (mut readings, pulses) = heard(4.0, &question, |t| tone().at(t));
    let summary_of = |readings: &[Reading]| {
        let sound = Sound { duration_s: 4.0, sample_rate_hz: 24_000, readings, pulses: &pulses };
        summarise(&sound, &question)
    };
    let told = summary_of(&readings);
    assert!(told.trusted && told.pulse_rate_hz.is_some() && told.timing_ms.is_some(), "{told:?}");
    // A second is trusted, and then no more: under half of what came since the first trusted reading.
    for reading in readings.iter_mut().filter(|r| r.time_s > 1.5) {
        reading.trust = 0.4;
    }
    let s = summary_of(&readings);
    assert_eq!((s.state, s.trusted, s.pulse_times_s.len()), (State::Blended, false, 0), "{s:?}");
    assert_eq!(s.upper_cents, None);
    let of_pulses =
        [s.pulse_rate_hz, s.depth_db_pp, s.swing_cents_pp, s.evenness_cv, s.timing_ms, s.spread_ms];
    assert_eq!(of_pulses, [None; 6]);
    near(s.centre_cents, 0.0, 0.5);
}

#[test]
fn the_longest_note_of_a_melody_speaks_for_it() {
    let s = measured(6.0, NOTHING, |t| {
        let f0_hz = if t < 1.5 { 330.0 } else { 440.0 };
        Pulsing { f0_hz, ..tone() }.at(t)
    });
    assert_eq!(s.note.unwrap().to_string(), "A4");
    near(s.centre_cents, 0.0, 1.0);
    near(s.pulse_rate_hz, 5.0, 0.05);
}
