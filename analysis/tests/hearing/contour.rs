//! Spans, eases and hairpins of tones whose curves are known: boundaries to about a pulse.

use crate::truth::{RATE, analyser, timbre_for};
use std::f64::consts::TAU;
use windrow_analysis::signals::{Moment, render};
use windrow_analysis::{Contour, Hairpin, Span, SpanKind};

/// A tone by its curves: pulse rate, depth in dB and loudness in dB over time; it swings by 3 cents for each dB.
struct Curves<R, D, L> {
    f0_hz: f64,
    rate_hz: R,
    depth_db: D,
    loudness_db: L,
}

/// Everything that is told of a tone of these curves.
fn told<R, D, L>(seconds: f64, curves: Curves<R, D, L>) -> (Vec<Span>, Vec<Hairpin>)
where
    R: Fn(f64) -> f64,
    D: Fn(f64) -> f64,
    L: Fn(f64) -> f64,
{
    let (mut phase, mut last_s) = (0.0, 0.0);
    let sound = render(RATE, timbre_for(curves.f0_hz), -70.0, 1, seconds, |t| {
        phase += (t - last_s) * (curves.rate_hz)((t + last_s) / 2.0);
        last_s = t;
        let wave = (TAU * phase).cos();
        let depth_db = (curves.depth_db)(t);
        let cents = 1.5 * depth_db * wave;
        let db = (curves.loudness_db)(t) + depth_db / 2.0 * wave - 4.0;
        Moment { f0_hz: curves.f0_hz * (cents / 1200.0).exp2(), gain: 0.5 * 10f64.powf(db / 20.0) }
    });
    told_of(&sound, 1024)
}

fn told_of(sound: &[f32], block: usize) -> (Vec<Span>, Vec<Hairpin>) {
    let (mut analyser, mut contour) = (analyser(RATE), Contour::new());
    let (mut spans, mut hairpins) = (Vec::new(), Vec::new());
    let mut take = |told: windrow_analysis::Told<'_>| {
        spans.extend_from_slice(told.spans);
        hairpins.extend_from_slice(told.hairpins);
    };
    for samples in sound.chunks(block) {
        let heard = analyser.push(samples);
        take(contour.push(heard.readings, heard.pulses));
    }
    let heard = analyser.finish();
    take(contour.push(heard.readings, heard.pulses));
    take(contour.finish());
    (spans, hairpins)
}

fn kinds(spans: &[Span]) -> Vec<SpanKind> {
    spans.iter().map(|s| s.kind).collect()
}

/// Holds the boundaries of spans that follow one another against the truth, each to within `within_s`.
fn check_boundaries(spans: &[Span], truth_s: &[f64], within_s: f64) {
    assert_eq!(spans.len() + 1, truth_s.len(), "{spans:?}");
    for (i, span) in spans.iter().enumerate() {
        // The analyser's first and last frames lie within the tone.
        assert!((span.start_s - truth_s[i]).abs() < within_s, "{} for {}", span.start_s, truth_s[i]);
        assert!((span.end_s - truth_s[i + 1]).abs() < within_s, "{} for {}", span.end_s, truth_s[i + 1]);
    }
}

#[test]
fn an_eased_vibrato_has_its_spans_and_its_ease() {
    for (f0_hz, rate_hz) in [(392.0, 6.0), (116.54, 4.5), (1046.5, 3.0)] {
        let ramp = |t: f64| ((t - 3.0) / 2.0).min((10.0 - t) / 2.0).clamp(0.0, 1.0);
        let (spans, _) = told(
            13.0,
            Curves { f0_hz, rate_hz: |_| rate_hz, depth_db: |t| 6.0 * ramp(t), loudness_db: |_| 0.0 },
        );
        use SpanKind::{Growing, Pulsed, Shrinking, Straight};
        assert_eq!(kinds(&spans), [Straight, Growing, Pulsed, Shrinking, Straight], "{spans:?}");
        check_boundaries(&spans, &[0.0, 3.0, 5.0, 8.0, 10.0, 13.0], 1.0 / rate_hz);
        for i in [1, 3] {
            // From 10 % to 90 % of a straight ramp of two seconds: 1.6 s.
            let ease = spans[i].ease.expect("growing and shrinking have one");
            assert!((ease.time_s - 1.6).abs() < 0.1 && !ease.abrupt, "{rate_hz} Hz: {ease:?}");
        }
        let full = spans[2];
        assert!((full.pulse_rate_hz.unwrap() / rate_hz - 1.0).abs() < 0.01, "{full:?}");
        assert!((full.depth_db_pp.unwrap() - 6.0).abs() < 0.2, "{full:?}");
        assert!((full.swing_cents_pp.unwrap() - 18.0).abs() < 1.0, "{full:?}");
        assert_eq!((full.ease, spans[4].ease), (None, None));
    }
}

#[test]
fn a_switch_is_abrupt() {
    for rate_hz in [2.5, 5.0] {
        let on = |t: f64| if (3.0..7.0).contains(&t) { 6.0 } else { 0.0 };
        let (spans, _) =
            told(10.0, Curves { f0_hz: 392.0, rate_hz: |_| rate_hz, depth_db: on, loudness_db: |_| 0.0 });
        use SpanKind::{Pulsed, Straight};
        assert_eq!(kinds(&spans), [Straight, Pulsed, Straight], "{spans:?}");
        check_boundaries(&spans, &[0.0, 3.0, 7.0, 10.0], 1.0 / rate_hz);
        for span in &spans[1..] {
            let ease = span.ease.expect("a switch");
            assert!(ease.abrupt && ease.time_s < 1.0 / rate_hz, "{rate_hz} Hz: {ease:?}");
        }
    }
}

#[test]
fn eighths_triplets_and_sixteenths_are_three_spans() {
    // Four beats of each at 60.
    let rate_hz = |t: f64| [2.0, 3.0, 4.0][((t / 4.0) as usize).min(2)];
    let (spans, hairpins) =
        told(12.0, Curves { f0_hz: 233.08, rate_hz, depth_db: |_| 6.0, loudness_db: |_| 0.0 });
    assert_eq!(kinds(&spans), [SpanKind::Pulsed; 3], "{spans:?}");
    check_boundaries(&spans, &[0.0, 4.0, 8.0, 12.0], 0.2);
    for (span, rate_hz) in spans.iter().zip([2.0, 3.0, 4.0]) {
        assert!((span.pulse_rate_hz.unwrap() / rate_hz - 1.0).abs() < 0.01, "{span:?}");
        assert_eq!(span.ease, None);
    }
    assert!(hairpins.is_empty(), "the loudness stays: {hairpins:?}");
}

/// A long tone of ten seconds that turns at `turn_s`: rate 4, 6, 4 Hz and depth 2, 8, 2 dB.
fn hairpin(turn_s: f64, loudness_db: impl Fn(f64) -> f64) -> (Vec<Span>, Vec<Hairpin>) {
    let way = move |t: f64| if t < turn_s { t / turn_s } else { (10.0 - t) / (10.0 - turn_s) };
    let curves = Curves {
        f0_hz: 349.23,
        rate_hz: move |t| 4.0 + 2.0 * way(t),
        depth_db: move |t| 2.0 + 6.0 * way(t),
        loudness_db: move |t| loudness_db(way(t)),
    };
    told(10.0, curves)
}

#[test]
fn a_hairpin_is_followed_and_its_turn_found() {
    for turn_s in [5.0, 3.5, 6.4] {
        let (spans, hairpins) = hairpin(turn_s, |way| 12.0 * (way - 1.0));
        assert_eq!(kinds(&spans), [SpanKind::Growing, SpanKind::Shrinking], "{spans:?}");
        check_boundaries(&spans, &[0.0, turn_s, 10.0], 0.25);
        for (span, ramp_s) in spans.iter().zip([turn_s, 10.0 - turn_s]) {
            // From 10 % to 90 % of the way between 2 and 8 dB on a straight ramp.
            let ease = span.ease.expect("growing and shrinking have one");
            assert!((ease.time_s - 0.8 * ramp_s).abs() < 0.2, "{ramp_s} s: {ease:?}");
        }
        let [fit] = hairpins[..] else { panic!("one tone, one fit: {hairpins:?}") };
        // Rate, depth and loudness rise and fall together, so their ranks are the same but for pulses equally far from
        // the turn.
        assert!(fit.rate_correlation.unwrap() > 0.98 && fit.depth_correlation.unwrap() > 0.98, "{fit:?}");
        for turn in [fit.loudness_turn_s, fit.rate_turn_s, fit.depth_turn_s] {
            assert!((turn.unwrap() - turn_s).abs() < 0.1, "{turn_s}: {fit:?}");
        }
        // The outer pulses do not count, so a little of the 12 dB is not seen.
        assert!((10.0..12.0).contains(&fit.loudness_range_db), "{fit:?}");
        assert_eq!(fit.note_midi, 65);
    }
}

#[test]
fn a_hairpin_against_the_loudness_is_said_to_be_one() {
    let (_, hairpins) = hairpin(5.0, |way| -12.0 * way);
    let [fit] = hairpins[..] else { panic!("one tone, one fit: {hairpins:?}") };
    assert!(fit.rate_correlation.unwrap() < -0.98 && fit.depth_correlation.unwrap() < -0.98, "{fit:?}");
    assert_eq!(fit.loudness_turn_s, None, "it falls and grows");
    assert!((fit.rate_turn_s.unwrap() - 5.0).abs() < 0.1, "{fit:?}");
    let (_, hairpins) = hairpin(5.0, |way| 2.0 * way);
    assert!(hairpins.is_empty(), "two dB are no hairpin: {hairpins:?}");
}

#[test]
fn a_straight_tone_is_one_span() {
    for loudness_db in [0.0, -1.5] {
        let curves =
            Curves { f0_hz: 293.66, rate_hz: |_| 0.0, depth_db: |_| 0.0, loudness_db: |t| loudness_db * t };
        let (spans, hairpins) = told(5.0, curves);
        assert_eq!(kinds(&spans), [SpanKind::Straight], "{spans:?}");
        check_boundaries(&spans, &[0.0, 5.0], 0.1);
        assert!(spans[0].centre_cents.unwrap().abs() < 0.5, "{spans:?}");
        assert_eq!((spans[0].note_midi, spans[0].n_pulses, spans[0].ease), (62, 0, None));
        assert!(hairpins.is_empty());
    }
}

/// G4 with pulses, B4 slurred to at three seconds, silence from six to seven, B4 again, straight.
fn two_notes(t: f64) -> Moment {
    let wave = if t < 6.5 { (TAU * 5.0 * t).cos() } else { 0.0 };
    let f0_hz = if t < 3.0 { 392.0 } else { 493.88 } * (9.0 * wave / 1200.0).exp2();
    let gain = if (6.0..7.0).contains(&t) { 0.0 } else { 0.3 * 10f64.powf(3.0 * wave / 20.0) };
    Moment { f0_hz, gain }
}

#[test]
fn notes_and_silence_separate_spans() {
    let sound = render(RATE, timbre_for(392.0), -70.0, 1, 10.0, two_notes);
    let (spans, _) = told_of(&sound, 1024);
    assert_eq!(kinds(&spans), [SpanKind::Pulsed, SpanKind::Pulsed, SpanKind::Straight], "{spans:?}");
    let notes: Vec<u8> = spans.iter().map(|s| s.note_midi).collect();
    assert_eq!(notes, [67, 71, 71]);
    for (span, truth) in spans.iter().zip([(0.0, 3.0), (3.0, 6.0), (7.0, 10.0)]) {
        assert!((span.start_s - truth.0).abs() < 0.2 && (span.end_s - truth.1).abs() < 0.2, "{span:?}");
        assert!(span.centre_cents.unwrap().abs() < 1.0, "{span:?}");
    }
    assert!(spans[..2].iter().all(|s| (s.pulse_rate_hz.unwrap() - 5.0).abs() < 0.05), "{spans:?}");
}

#[test]
fn any_cut_into_blocks_tells_the_same_spans() {
    let sound = render(RATE, timbre_for(392.0), -70.0, 1, 10.0, two_notes);
    let whole = told_of(&sound, sound.len());
    for block in [127, 4800, 31_000] {
        assert_eq!(told_of(&sound, block), whole, "blocks of {block}");
    }
}
