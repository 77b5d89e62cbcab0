//! Beats, bars, ticks and tempo changes against arithmetic done by hand.

use super::*;
use crate::score::{PerBeat, Target, TickFrom};
use crate::units::{Bpm, Micros};
use proptest::prelude::*;

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

fn pulses(per_beat: u8) -> Target {
    Target::Pulses { per_beat: PerBeat::new(per_beat).unwrap() }
}

fn span(length: Option<f64>, tempo: f64, target: Target) -> Span {
    Span { length_beats: length.map(|l| Beats::new(l).unwrap()), ..Span::new(bpm(tempo), target) }
}

/// From server time 5 s on, four beats in a bar.
fn timeline_of(spans: Vec<Span>) -> Result<Timeline, BadScore> {
    let start_us = Micros::new(5e6).unwrap();
    Timeline::new(Score { version: 1, start_us, beats_per_bar: 4, tick: TickFrom::Conductor, spans })
}

fn triplets(spans: &[(Option<f64>, f64)]) -> Timeline {
    timeline_of(spans.iter().map(|&(length, bpm)| span(length, bpm, pulses(3))).collect()).unwrap()
}

fn rising(beats: f64, from: f64, to: f64) -> Span {
    Span { bpm_to: Some(bpm(to)), ..span(Some(beats), from, pulses(2)) }
}

#[test]
fn beats_fall_where_arithmetic_puts_them() {
    // 60 bpm: a beat is a second; after eight beats 120 bpm: half a second.
    let timeline = triplets(&[(Some(8.0), 60.0), (None, 120.0)]);
    assert_eq!(timeline.time_of(0.0), 5e6);
    assert_eq!(timeline.time_of(-4.0), 1e6);
    assert_eq!(timeline.time_of(8.0), 13e6);
    assert_eq!(timeline.time_of(10.0), 14e6);
    assert_eq!(timeline.beat_at(13.5e6), 9.0);
    assert_eq!(timeline.span_index_at(-0.1), None);
    assert_eq!(timeline.span_index_at(7.99), Some(0));
    assert_eq!(timeline.span_index_at(8.0), Some(1));
}

#[test]
fn an_hour_at_one_tempo_is_exact_to_a_microsecond() {
    // 66 bpm for an hour is 3960 beats.
    let us = triplets(&[(None, 66.0)]).time_of(3960.0);
    assert!((us - (5e6 + 3600e6)).abs() < 0.001, "{us}");
}

#[test]
fn an_hour_of_two_thousand_spans_is_exact_too() {
    // Exact fractions: 1000 times two beats at 63 and one at 72 last 1000 (2/63 + 1/72) minutes = 5/63 + ... in whole
    // numbers 1000 * 60e6 * (2 * 72 + 63) / (63 * 72) µs, by 128-bit integers.
    let spans: Vec<_> =
        (0..2000).map(|i| if i % 2 == 0 { (Some(2.0), 63.0) } else { (Some(1.0), 72.0) }).collect();
    let exact = 1000i128 * 60_000_000 * (2 * 72 + 63) * 1000 / (63 * 72);
    let us = triplets(&spans).time_of(3000.0) - 5e6;
    assert!((us - exact as f64 / 1000.0).abs() < 0.01, "{us}");
}

#[test]
fn a_gradual_change_lasts_as_long_as_its_mean_tempo() {
    // Constant acceleration: eight beats from 60 to 120 take 8 / 90 minutes; halfway in time the tempo is 90 and, with
    // the mean of 60 and 90, 75 bpm for half of the time has passed 3.333 beats.
    let timeline = timeline_of(vec![rising(8.0, 60.0, 120.0), span(None, 120.0, pulses(2))]).unwrap();
    let whole_us = 8.0 / 90.0 * 60e6;
    assert!((timeline.time_of(8.0) - 5e6 - whole_us).abs() < 1e-3);
    let halfway = timeline.beat_at(5e6 + whole_us / 2.0);
    assert!((halfway - 75.0 * 8.0 / 90.0 / 2.0).abs() < 1e-9, "{halfway}");
    assert!((timeline.bpm_at(halfway) - 90.0).abs() < 1e-9);
    // Where it ends the next span goes on, half a second a beat.
    assert!((timeline.time_of(9.0) - timeline.time_of(8.0) - 0.5e6).abs() < 1e-3);
}

#[test]
fn before_and_after_a_gradual_change_the_tempo_stays() {
    let timeline = timeline_of(vec![rising(8.0, 60.0, 120.0)]).unwrap();
    assert!((timeline.time_of(-1.0) - 4e6).abs() < 1e-3);
    assert!((timeline.time_of(10.0) - timeline.time_of(8.0) - 1e6).abs() < 1e-3);
    assert!((timeline.beat_at(timeline.time_of(10.0)) - 10.0).abs() < 1e-9);
    assert!((timeline.beat_at(4e6) + 1.0).abs() < 1e-9);
}

#[test]
fn ticks_of_a_slowing_span_lie_further_and_further_apart() {
    let timeline = timeline_of(vec![rising(8.0, 120.0, 60.0)]).unwrap();
    let ticks = timeline.ticks_between(0.0, 1e9);
    assert_eq!(ticks.len(), 16);
    let gaps: Vec<f64> = ticks.windows(2).map(|t| t[1].time_us - t[0].time_us).collect();
    assert!(gaps.windows(2).all(|g| g[1] > g[0]), "{gaps:?}");
    for tick in ticks {
        let nearest = timeline.nearest_tick(tick.time_us + 20_000.0).unwrap();
        assert!((nearest.offset_ms - 20.0).abs() < 1e-6 && (nearest.beat - tick.beat).abs() < 1e-9);
    }
}

#[test]
fn nearest_tick_tells_early_from_late() {
    let timeline = triplets(&[(None, 60.0)]);
    let tick = timeline.nearest_tick(5e6 + 333_333.0 + 40_000.0).unwrap();
    assert!((tick.offset_ms - 40.0).abs() < 0.01 && (tick.beat - 1.0 / 3.0).abs() < 1e-9, "{tick:?}");
    let tick = timeline.nearest_tick(5e6 + 1e6 - 20_000.0).unwrap();
    assert!((tick.offset_ms + 20.0).abs() < 0.01 && (tick.beat - 1.0).abs() < 1e-9, "{tick:?}");
}

#[test]
fn a_pulse_just_before_the_first_note_is_early_for_it() {
    let timeline =
        timeline_of(vec![span(Some(4.0), 60.0, Target::CountIn), span(None, 60.0, pulses(1))]).unwrap();
    let tick = timeline.nearest_tick(9e6 - 30_000.0).unwrap();
    assert!((tick.offset_ms + 30.0).abs() < 1e-6 && tick.beat == 4.0, "{tick:?}");
    assert_eq!(timeline.nearest_tick(8e6), None, "nobody plays in the count-in");
}

#[test]
fn a_pulse_on_a_tick_is_of_that_tick_however_fast_the_next_one_comes() {
    // One beat from 62 to 241: it lasts 0.4 s, less than half a beat at 62.
    let rising = Span { bpm_to: Some(bpm(241.0)), ..span(Some(1.0), 62.0, pulses(1)) };
    let timeline = timeline_of(vec![rising, span(Some(1.0), 20.0, pulses(1))]).unwrap();
    let tick = timeline.nearest_tick(5e6 + 1.0).unwrap();
    assert!(tick.beat == 0.0 && (tick.offset_ms - 0.001).abs() < 1e-6, "{tick:?}");
}

#[test]
fn bars_are_counted_from_the_first_note() {
    // One bar counted in, less the upbeat of one beat.
    let count_in = Span { first_bar: Some(0), ..span(Some(3.0), 60.0, Target::CountIn) };
    let timeline = timeline_of(vec![count_in, span(None, 60.0, pulses(1))]).unwrap();
    assert_eq!([0.0, 3.0, 4.0, 7.9, 8.0].map(|b| timeline.bar_at(b)), [0, 0, 1, 1, 2]);
    assert_eq!([3.5, 4.0, 11.0].map(|b| timeline.bar_line_at(b)), [0.0, 4.0, 8.0]);
    assert_eq!([3.5, 4.0, 8.5].map(|b| timeline.bar_line_from(b)), [4.0, 4.0, 12.0]);
    assert_eq!([-0.5, -4.5].map(|b| timeline.bar_at(b)), [-1, -2]);
}

#[test]
fn bars_begin_anew_where_a_span_says_so() {
    let anew = Span { first_bar: Some(1), ..span(None, 60.0, pulses(2)) };
    let timeline = timeline_of(vec![span(Some(6.0), 60.0, pulses(1)), anew]).unwrap();
    assert_eq!([5.9, 6.0, 9.9, 10.0].map(|b| timeline.bar_at(b)), [2, 1, 1, 2]);
    assert_eq!(timeline.bar_line_from(4.5), 6.0, "the bar before is cut short");
    let kinds: Vec<_> = timeline.ticks_between(9e6, 13e6).iter().map(|t| (t.beat, t.kind)).collect();
    let (bar, beat, between) = (TickKind::Bar, TickKind::Beat, TickKind::Between);
    assert_eq!(kinds, [(4.0, bar), (5.0, beat), (6.0, bar), (6.5, between), (7.0, beat), (7.5, between)]);
}

#[test]
fn a_count_in_is_spoken_so_that_the_last_bar_is_known() {
    let spoken = |length: f64, beats_per_bar: u8| {
        let mut score =
            timeline_of(vec![span(Some(length), 60.0, Target::CountIn), span(None, 60.0, pulses(1))])
                .unwrap()
                .score()
                .clone();
        score.beats_per_bar = beats_per_bar;
        let timeline = Timeline::new(score).unwrap();
        (0..=length as u8).map(|b| timeline.spoken_at(f64::from(b)).unwrap_or(0)).collect::<Vec<_>>()
    };
    assert_eq!(spoken(4.0, 4), [1, 2, 3, 4, 0]);
    assert_eq!(spoken(8.0, 4), [1, 0, 2, 0, 1, 2, 3, 4, 0]);
    assert_eq!(spoken(6.0, 3), [1, 2, 3, 1, 2, 3, 0]);
    assert_eq!(spoken(3.0, 4), [1, 2, 3, 0], "an upbeat takes the last number's place");
    assert_eq!(spoken(7.0, 4), [1, 0, 2, 0, 1, 2, 3, 0]);
}

#[test]
fn ticks_are_asked_for_in_pieces_without_loss_or_repetition() {
    let timeline = triplets(&[(Some(7.0), 66.0), (Some(3.0), 152.0), (None, 208.0)]);
    let whole = timeline.ticks_between(0.0, 20e6);
    let pieces: Vec<_> =
        (0..400).flat_map(|i| timeline.ticks_between(f64::from(i) * 5e4, f64::from(i + 1) * 5e4)).collect();
    assert_eq!(pieces, whole);
    assert_eq!(timeline.ticks_between(0.0, 1e12).len(), Timeline::MAX_TICKS);
}

#[test]
fn scores_that_cannot_be_played_are_refused() {
    assert_eq!(timeline_of(vec![]).unwrap_err(), BadScore::NoSpan);
    let open = || span(None, 60.0, pulses(1));
    assert_eq!(timeline_of(vec![open(), open()]).unwrap_err(), BadScore::OpenSpanBeforeTheEnd(0));
    let change = Span { bpm_to: Some(bpm(80.0)), ..open() };
    assert_eq!(timeline_of(vec![change]).unwrap_err(), BadScore::OpenTempoChange(0));
}

#[test]
fn what_is_cut_off_leaves_the_rest_where_it_was() {
    let timeline = timeline_of(vec![span(Some(4.0), 60.0, pulses(1)), rising(8.0, 60.0, 120.0)]).unwrap();
    let spans = timeline.score().spans_until(8.0);
    let cut = timeline_of(spans).unwrap();
    assert_eq!(cut.end_beat(), Some(8.0));
    for beat in [0.0, 3.5, 4.0, 6.2, 8.0] {
        assert!((cut.time_of(beat) - timeline.time_of(beat)).abs() < 1e-3, "{beat}");
    }
    assert_eq!(timeline.score().spans_until(4.0).len(), 1);
}

proptest! {
    #[test]
    fn beat_of_time_and_time_of_beat_are_inverses(
        spans in proptest::collection::vec((1.0f64..64.0, 20.0f64..300.0, proptest::option::of(20.0f64..300.0)), 1..6),
        beat in -8.0f64..400.0,
    ) {
        let spans = spans.into_iter().map(|(l, from, to)| Span { bpm_to: to.map(bpm), ..span(Some(l), from, pulses(3)) });
        let timeline = timeline_of(spans.collect()).unwrap();
        prop_assert!((timeline.beat_at(timeline.time_of(beat)) - beat).abs() < 1e-6);
    }

    #[test]
    fn ticks_come_in_order_and_each_is_its_own_nearest(
        spans in proptest::collection::vec((1u8..9, 20.0f64..300.0, proptest::option::of(20.0f64..300.0), 1u8..9), 1..6),
    ) {
        let spans = spans.into_iter().map(|(l, from, to, n)| {
            Span { bpm_to: to.map(bpm), ..span(Some(f64::from(l)), from, pulses(n)) }
        });
        let timeline = timeline_of(spans.collect()).unwrap();
        let ticks = timeline.ticks_between(0.0, 1e9);
        prop_assert!(ticks.windows(2).all(|t| t[1].time_us > t[0].time_us));
        for tick in &ticks {
            let nearest = timeline.nearest_tick(tick.time_us + 1.0).unwrap();
            prop_assert!((nearest.offset_ms - 0.001).abs() < 1e-3, "{tick:?} {nearest:?}");
        }
    }
}

#[test]
fn no_time_however_far_away_makes_ticks_without_end() {
    let endless = triplets(&[(Some(8.0), 60.0), (None, 120.0)]);
    let (nan, infinity) = (f64::NAN, f64::INFINITY);
    for (from_us, to_us) in [
        (nan, nan),
        (nan, 1e9),
        (0.0, nan),
        (1e22, 1e23),
        (1e300, infinity),
        (infinity, infinity),
        (f64::NEG_INFINITY, infinity),
        (f64::MIN, f64::MAX),
    ] {
        let ticks = endless.ticks_between(from_us, to_us);
        assert!(ticks.len() <= Timeline::MAX_TICKS, "{from_us} {to_us}");
        assert!(ticks.windows(2).all(|pair| pair[0].beat < pair[1].beat), "{from_us} {to_us}");
    }
}
