//! Tests of what cents count from: the tuned note, and each note of a line. How well pitch is heard is tested with the
//! analysis.

use super::*;
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};
use windrow_analysis::tuning::midi_to_hz;
use windrow_protocol::messages::SpanResult;
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Span, Target, TickFrom};
use windrow_protocol::units::{Beats, Bpm, Cents, Micros};

const SAMPLE_RATE_HZ: f64 = 24_000.0;
/// A just major third lies 13.69 cents under the equal one: 1200 log2(5/4) - 400.
const THIRD_CENTS: f64 = -13.69;

/// A span at 60 with a note of its own.
fn span(target: Target, beats: f64, midi: i32, off_cents: Option<f64>) -> Span {
    let span = Span::new(Bpm::new(60.0).unwrap(), target).lasting(Beats::new(beats).unwrap());
    Span { note: Note::from_midi(midi), cents: off_cents.and_then(|c| Cents::new(c).ok()), ..span }
}

fn pulses(per_beat: u8) -> Target {
    Target::Pulses { per_beat: PerBeat::new(per_beat).unwrap() }
}

/// What is said of a sound while these spans are played from the first second on.
fn said(spans: Vec<Span>, seconds: f64, at: impl Fn(f64) -> Moment) -> Vec<PlayerSays> {
    let config = Config { sample_rate_hz: SAMPLE_RATE_HZ, a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    listener.set_time_map(TimeMap::new(0.0, 1e6).unwrap());
    let (start_us, tick) = (Micros::new(1e6).unwrap(), TickFrom::Nobody);
    listener.set_score(Some(Score { version: 1, start_us, beats_per_bar: 4, tick, spans })).unwrap();
    listener.push(&render(SAMPLE_RATE_HZ, Timbre::falling(8), -70.0, 5, seconds, at))
}

fn results(said: &[PlayerSays]) -> Vec<&SpanResult> {
    let mut results = Vec::new();
    for message in said {
        if let PlayerSays::SpanResult(result) = message {
            results.push(result);
        }
    }
    results
}

/// Triplets at 60 on a pitch, on the ticks.
fn triplets(midi: f64) -> Pulsing {
    Pulsing {
        f0_hz: midi_to_hz(midi, 440.0),
        peak_gain: 0.3,
        rate_hz: 3.0,
        depth_db: 6.0,
        swing_cents: 12.0,
        first_peak_s: 0.0,
        drift_cents_per_s: 0.0,
    }
}

#[test]
fn who_plays_the_tuned_note_is_at_nought_in_readings_pulses_and_results() {
    let tuned = triplets(69.0 + THIRD_CENTS / 100.0);
    let said = said(vec![span(pulses(3), 5.0, 69, Some(THIRD_CENTS))], 9.0, |t| tuned.at(t));
    let mut centres = Vec::new();
    for message in &said {
        match message {
            PlayerSays::Reading(r) if r.trusted && (1.1e6..5.9e6).contains(&r.time_us.get()) => {
                centres.extend(r.centre_cents.map(Cents::get));
            }
            PlayerSays::Pulses(batch) => {
                // Those of the span and half a tick before it; past its end nothing is asked.
                let own = batch.pulses.iter().filter(|p| (0.9e6..5.8e6).contains(&p.time_us.get()));
                centres.extend(own.filter_map(|p| p.mean_cents.map(Cents::get)));
            }
            _ => {}
        }
    }
    assert!(centres.len() > 40, "{}", centres.len());
    assert!(centres.iter().all(|c| c.abs() < 1.0), "{centres:?}");
    let centre_cents = results(&said)[0].centre_cents.unwrap().get();
    assert!(centre_cents.abs() < 0.3, "{centre_cents}");
}

#[test]
fn who_stays_in_equal_temperament_is_as_sharp_as_the_tuning_is_low() {
    let equal = triplets(69.0);
    let said = said(vec![span(pulses(3), 5.0, 69, Some(THIRD_CENTS))], 9.0, |t| equal.at(t));
    let centre_cents = results(&said)[0].centre_cents.unwrap().get();
    assert!((centre_cents + THIRD_CENTS).abs() < 0.3, "{centre_cents}");
}

#[test]
fn each_note_of_a_line_has_its_own_centre() {
    // Four notes of four seconds, slurred: F, A, G straight, C; each must be told from its own note alone.
    let line = [(65, pulses(3)), (69, pulses(4)), (67, Target::Straight), (72, pulses(2))];
    let spans = line.iter().map(|&(midi, target)| span(target, 4.0, midi, None)).collect();
    let said = said(spans, 20.0, |t| {
        let (midi, target) = line[(((t - 1.0) / 4.0).max(0.0) as usize).min(3)];
        let rate_hz = target.per_beat().map_or(1.0, |n| f64::from(n.get()));
        let depth = f64::from(u8::from(target.per_beat().is_some()));
        let tone = triplets(f64::from(midi));
        Pulsing { rate_hz, depth_db: 6.0 * depth, swing_cents: 12.0 * depth, ..tone }.at(t)
    });
    let results = results(&said);
    assert_eq!(results.len(), 4, "{results:?}");
    for result in results {
        let centre_cents = result.centre_cents.unwrap().get();
        assert!(centre_cents.abs() < 2.0, "note {}: {centre_cents} cents", result.span_idx + 1);
    }
}
