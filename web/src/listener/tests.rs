//! Tests of the listener's counting, its spans and its times. How well it hears is tested with the analysis, and the same
//! ears as wasm in the workspace's tests.

use super::*;
use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Span, Target, TickFrom};
use windrow_protocol::units::{Beats, Bpm, Cents, Decibels, Micros};

fn listener() -> Listener {
    let config = Config { sample_rate_hz: 48_000.0, a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    listener.set_time_map(TimeMap::new(0.0, 1e6).unwrap());
    listener
}

/// Beat nought at `start_us`; 60 bpm, eighths: four beats, then on without end.
fn score(start_us: f64, version: u32) -> Score {
    let target = Target::Pulses { per_beat: PerBeat::new(2).unwrap() };
    let span = Span::new(Bpm::new(60.0).unwrap(), target);
    Score {
        version,
        start_us: Micros::new(start_us).unwrap(),
        beats_per_bar: 4,
        tick: TickFrom::default(),
        spans: vec![span.clone().lasting(Beats::new(4.0).unwrap()), span],
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
        assert_eq!(timeline.span_of_pulse(time_s * 1e6), expected, "{time_s}");
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

const SAMPLE_RATE_HZ: f64 = 16_000.0;

/// Nine seconds of eighths at 60, from the first second on, 30 ms behind the beat.
fn late_eighths() -> Vec<f32> {
    let pulsing = Pulsing {
        f0_hz: 440.0,
        peak_gain: 0.3,
        rate_hz: 2.0,
        depth_db: 6.0,
        swing_cents: 10.0,
        first_peak_s: 0.03,
        drift_cents_per_s: 0.0,
    };
    render(SAMPLE_RATE_HZ, Timbre::falling(6), -70.0, 3, 9.0, |t| pulsing.at(t))
}

/// What a listener says to them in blocks of `n_samples`; beat nought at 2 s of sound.
fn said_to_late_eighths(n_samples: usize) -> Vec<PlayerSays> {
    let config = Config { sample_rate_hz: SAMPLE_RATE_HZ, a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    listener.set_time_map(TimeMap::new(50e6, 1e6).unwrap());
    listener.set_score(Some(score(52e6, 4))).unwrap();
    late_eighths().chunks(n_samples).flat_map(|block| listener.push(block)).collect()
}

#[test]
fn a_span_comes_to_its_rate_depth_and_timing() {
    let said = said_to_late_eighths(1000);
    let result = said.iter().find_map(|message| match message {
        PlayerSays::SpanResult(result) => Some(result),
        _ => None,
    });
    let result = result.expect("a span of four seconds ends within nine");
    // Four beats of eighths.
    assert_eq!((result.n_pulses, result.score_version, result.span_idx), (8, 4, 0));
    assert!((result.pulse_rate_hz.unwrap().get() - 2.0).abs() < 0.02, "{result:?}");
    assert!((result.depth_db_pp.unwrap().get() - 6.0).abs() < 0.3, "{result:?}");
    assert!((result.timing_ms.unwrap() - 30.0).abs() < 5.0, "{result:?}");
    assert!(result.centre_cents.unwrap().get().abs() < 1.0, "{result:?}");
}

#[test]
fn ten_readings_a_second_carry_server_time_and_count_up() {
    let mut readings = Vec::new();
    for message in said_to_late_eighths(1000) {
        if let PlayerSays::Reading(reading) = message {
            readings.push(reading);
        }
    }
    assert!((80..=92).contains(&readings.len()), "{}", readings.len());
    assert!(readings.iter().map(|r| r.seq).eq(1..=readings.len() as u32));
    for reading in &readings {
        assert!((50e6..59e6).contains(&reading.time_us.get()), "{reading:?}");
    }
}

#[test]
fn the_cut_into_blocks_changes_nothing_that_is_said() {
    let readings_and_pulses = |n_samples: usize| {
        let (mut readings, mut pulses) = (Vec::new(), Vec::new());
        for message in said_to_late_eighths(n_samples) {
            match message {
                PlayerSays::Reading(reading) => readings.push(reading),
                // How pulses fall into batches depends on the blocks; a mean counts from the note known by then.
                PlayerSays::Pulses(batch) => {
                    pulses.extend(batch.pulses.iter().map(|p| (p.time_us, p.depth_db)))
                }
                _ => {}
            }
        }
        (readings, pulses)
    };
    let whole = readings_and_pulses(320);
    assert_eq!(readings_and_pulses(7), whole);
    assert_eq!(readings_and_pulses(4096), whole);
}

#[test]
fn nothing_is_said_before_the_clock_is_known() {
    let config = Config { sample_rate_hz: SAMPLE_RATE_HZ, a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    let sound = late_eighths();
    let (before, after) = sound.split_at(sound.len() / 2);
    assert!(listener.push(before).is_empty());
    listener.set_time_map(TimeMap::new(0.0, 1e6).unwrap());
    let said = listener.push(after);
    let first = said.iter().find_map(|message| match message {
        PlayerSays::Reading(reading) => Some(reading.seq),
        _ => None,
    });
    assert_eq!(first, Some(1));
}

#[test]
fn each_span_s_note_is_listened_for_while_it_lasts() {
    let note = |midi| Note::from_midi(midi);
    let mut score = score(1e6, 1);
    (score.spans[0].note, score.spans[1].note) = (note(65), note(70));
    let mut listener = listener();
    listener.set_score(Some(score)).unwrap();
    let mut expected = Vec::new();
    // Four beats of a second from 1 s on, then the other note; the analysis lags behind by some hundredths of a second.
    for _ in 0..60 {
        listener.push(&[0.0; 4800]);
        expected.push(listener.counting.asked().map(|asked| i32::from(asked.note.midi())));
    }
    assert_eq!((expected[8], expected[15], expected[45], expected[55]), (None, Some(65), Some(65), Some(70)));
    listener.set_score(None).unwrap();
    listener.push(&[0.0; 4800]);
    assert_eq!(listener.counting.asked(), None);
}

#[test]
fn sound_that_a_clock_fell_behind_in_counts_for_nobody() {
    let pulsing = Pulsing {
        f0_hz: 349.23,
        peak_gain: 0.3,
        rate_hz: 4.0,
        depth_db: 6.0,
        swing_cents: 10.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    };
    let sound = render(48_000.0, Timbre::falling(8), -70.0, 1, 8.0, |t| pulsing.at(t));
    let heard = |stretch: Option<(f64, f64)>| {
        let mut listener = listener();
        if let Some((from_s, to_s)) = stretch {
            listener.leave_out(from_s, to_s);
        }
        let (mut trusted_s, mut pulses_s) = (Vec::new(), Vec::new());
        for message in listener.push(&sound) {
            match message {
                PlayerSays::Reading(r) if r.trusted => trusted_s.push(r.time_us.get() / 1e6),
                PlayerSays::Pulses(batch) => {
                    pulses_s.extend(batch.pulses.iter().map(|p| p.time_us.get() / 1e6))
                }
                _ => {}
            }
        }
        (trusted_s, pulses_s)
    };
    let outside =
        |times_s: &[f64]| times_s.iter().copied().filter(|s| !(3.75..=5.25).contains(s)).collect::<Vec<_>>();
    let (trusted_s, pulses_s) = heard(None);
    assert!(pulses_s.len() > 28 && trusted_s.len() > 60, "{} {}", pulses_s.len(), trusted_s.len());
    assert_eq!(heard(Some((4.0, 5.0))), (outside(&trusted_s), outside(&pulses_s)));
}
