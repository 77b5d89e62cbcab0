//! Tests of the listener's counting, its spans and its times. What it hears is tested with the analysis, and together
//! with the wasm in the workspace's tests.

use super::*;
use windrow_protocol::score::{PerBeat, Span};
use windrow_protocol::units::{Beats, Bpm, Cents, Decibels, Micros};

fn listener() -> Listener {
    let config = Config { sample_rate_hz: 48_000.0, a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    listener.set_time_map(TimeMap::new(0.0, 1e6).unwrap());
    listener
}

/// Beat nought at `start_us`; 60 bpm, eighths: four beats, then on without end.
fn score(start_us: f64, version: u32) -> Score {
    let span = |length_beats: Option<f64>| Span {
        length_beats: length_beats.map(|beats| Beats::new(beats).unwrap()),
        bpm: Bpm::new(60.0).unwrap(),
        target: Target::Pulses { per_beat: PerBeat::new(2).unwrap() },
    };
    Score {
        version,
        start_us: Micros::new(start_us).unwrap(),
        beats_per_bar: 4,
        count_in_bars: 1,
        spans: vec![span(Some(4.0)), span(None)],
        note: None,
    }
}

fn pulse(time_us: f64) -> Pulse {
    Pulse {
        time_us: Micros::new(time_us).unwrap(),
        depth_db: Decibels::new(6.0).unwrap(),
        swing_cents: Cents::new(8.0).unwrap(),
        mean_cents: None,
        choked: false,
    }
}

/// Results said when the sound up to `now_us` is known.
fn results(listener: &mut Listener, now_us: f64) -> Vec<(u32, u32, u16, u32)> {
    let mut says = Vec::new();
    listener.end_spans(Some(now_us), &mut says);
    says.iter()
        .map(|message| match message {
            PlayerSays::SpanResult(r) => (r.seq, r.score_version, r.span_idx, r.n_pulses),
            other => panic!("only span results are due, but there is {other:?}"),
        })
        .collect()
}

#[test]
fn a_time_map_is_a_line_through_server_time() {
    let map = TimeMap::new(2e6, 1_000_050.0).unwrap();
    assert_eq!(map.server_us(10.0), 12_000_500.0);
    for (at_zero, per_second) in [(f64::NAN, 1e6), (0.0, 0.0), (0.0, f64::INFINITY), (0.0, 2e6)] {
        assert!(TimeMap::new(at_zero, per_second).is_err(), "{at_zero} {per_second}");
    }
}

#[test]
fn a_pulse_a_little_early_belongs_to_the_span_it_is_meant_for() {
    let timeline = Timeline::new(score(10e6, 1)).unwrap();
    for (time_s, expected) in [
        (9.7, None),
        (9.8, Some(0)),
        (10.0, Some(0)),
        (13.7, Some(0)),
        (13.8, Some(1)),
        (14.2, Some(1)),
        (100.0, Some(1)),
    ] {
        assert_eq!(span_of_pulse(&timeline, time_s * 1e6), expected, "{time_s}");
    }
}

#[test]
fn a_span_is_reported_once_when_its_last_pulse_is_certain() {
    let mut listener = listener();
    listener.set_score(Some(score(10e6, 1))).unwrap();
    for i in 0..8 {
        tally_of(&mut listener.open_spans, 0).add_pulse(&pulse(10e6 + f64::from(i) * 0.5e6));
    }
    assert_eq!(results(&mut listener, 15.4e6), []);
    assert_eq!(results(&mut listener, 15.6e6), [(1, 1, 0, 8)]);
    assert_eq!(results(&mut listener, 20e6), []);
    assert_eq!(listener.first_open_span_idx, 1, "a straggler cannot open it again");
}

#[test]
fn a_new_tempo_goes_on_and_a_new_start_ends_what_was_under_way() {
    let mut listener = listener();
    listener.set_score(Some(score(10e6, 1))).unwrap();
    tally_of(&mut listener.open_spans, 1).add_pulse(&pulse(15e6));
    listener.set_score(Some(score(10e6, 2))).unwrap();
    assert_eq!(results(&mut listener, 16e6), []);
    listener.set_score(Some(score(30e6, 3))).unwrap();
    assert_eq!(results(&mut listener, 16.1e6), [(1, 2, 1, 1)], "the version it was last played from");
    tally_of(&mut listener.open_spans, 0).add_pulse(&pulse(30e6));
    listener.set_score(None).unwrap();
    assert_eq!(results(&mut listener, 30.1e6), [(2, 3, 0, 1)]);
}

#[test]
fn counting_goes_on_after_what_the_server_has() {
    let mut listener = listener();
    listener.resume_after(41);
    assert_eq!(take_seq(&mut listener.next_seq), 42);
    listener.resume_after(3);
    assert_eq!(take_seq(&mut listener.next_seq), 43, "a count that is further stays");
}

#[test]
fn scores_replaced_without_sound_do_not_pile_up() {
    let mut listener = listener();
    for i in 0..100u32 {
        listener.set_score(Some(score(10e6 + f64::from(i) * 1e6, i))).unwrap();
        tally_of(&mut listener.open_spans, 0).add_pulse(&pulse(10e6));
    }
    listener.set_score(None).unwrap();
    assert_eq!(results(&mut listener, 1e6).len(), MAX_WAITING_SPANS);
}
