//! Spans of made-up pulses and readings, whose unevenness is known: what must not be cut, and what must.

use super::*;

/// A train of pulses with readings around them, made pulse by pulse.
struct Played {
    readings: Vec<Reading>,
    pulses: Vec<Pulse>,
    seed: u64,
}

impl Played {
    /// Pulses from `0` to `seconds` whose rate and depth follow curves of time. Each interval and each depth is off by a
    /// random share (uniform, of these standard deviations).
    fn new(
        seed: u64,
        seconds: f64,
        (interval_cv, depth_cv): (f64, f64),
        rate_hz: impl Fn(f64) -> f64,
        depth_db: impl Fn(f64) -> f64,
    ) -> Self {
        let mut played = Self { readings: Vec::new(), pulses: Vec::new(), seed };
        let mut time_s = 0.1;
        while time_s < seconds {
            let depth_db = depth_db(time_s) * (1.0 + depth_cv * played.noise());
            played.pulses.push(Pulse {
                time_s,
                depth_db,
                swing_cents: 0.0,
                mean_midi: Some(69.05),
                top_midi: None,
                valley_db: -depth_db,
                choked: false,
            });
            time_s += (1.0 + interval_cv * played.noise()) / rate_hz(time_s);
        }
        for i in 0..(seconds * 20.0) as usize {
            let mut reading = Reading::empty(Hearing::Pulsed, -20.0, i as f64 * 0.05);
            (reading.note_midi, reading.cents, reading.trust) = (Some(69), Some(5.0), 1.0);
            played.readings.push(reading);
        }
        played
    }

    /// Uniform with variance 1 (splitmix64).
    fn noise(&mut self) -> f64 {
        self.seed = self.seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.seed;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^= x >> 31;
        12f64.sqrt() * ((x >> 11) as f64 / (1u64 << 53) as f64 - 0.5)
    }

    fn spans(&self) -> Vec<Span> {
        let mut contour = Contour::new();
        let mut spans = contour.push(&self.readings, &self.pulses).spans.to_vec();
        spans.extend(contour.finish().spans);
        spans
    }
}

/// Of 200 trains, how many are told as another number of spans.
fn n_wrong(
    n_spans: usize,
    seconds: f64,
    cvs: (f64, f64),
    rate_hz: impl Fn(f64) -> f64,
    depth_db: impl Fn(f64) -> f64,
) -> usize {
    let told = |k: u64| Played::new(k * 7919, seconds, cvs, &rate_hz, &depth_db).spans().len();
    (0..200).filter(|&k| told(k) != n_spans).count()
}

fn steady(_: f64) -> f64 {
    6.0
}

// How many of 200 may be wrong, below, is our own measurement with a margin: what is asked is that unevenness and drift cut
// nothing, as a rule, and that changes are found where a person would see them.

#[test]
fn uneven_pulses_are_one_span() {
    // 18 % from cycle to cycle is what violinists have (Seashore 1938).
    for interval_cv in [0.05, 0.10, 0.15, 0.18] {
        for rate_hz in [2.0, 5.0] {
            let n = n_wrong(1, 20.0, (interval_cv, 0.15), |_| rate_hz, steady);
            assert!(n <= 8, "{rate_hz} Hz, uneven by {interval_cv}: {n} of 200");
        }
    }
}

#[test]
fn a_rate_that_drifts_is_one_span() {
    for interval_cv in [0.01, 0.05, 0.10] {
        let rising = n_wrong(1, 12.0, (interval_cv, 0.1), |t| 4.0 + t / 6.0, steady);
        assert!(rising <= 10, "uneven by {interval_cv}: {rising} of 200");
        let hairpin = n_wrong(1, 10.0, (interval_cv, 0.1), |t| 6.0 - 0.4 * (t - 5.0).abs(), steady);
        assert!(hairpin <= 20, "uneven by {interval_cv}: {hairpin} of 200");
    }
}

#[test]
fn another_subdivision_and_another_rung_begin_a_span() {
    let eighths_triplets_sixteenths = |t: f64| [2.0, 3.0, 4.0][((t / 4.0) as usize).min(2)];
    let n = n_wrong(3, 12.0, (0.05, 0.1), eighths_triplets_sixteenths, steady);
    assert!(n <= 8, "subdivisions: {n} of 200");
    // Sixteenths at 60 and at 66, sixteen beats each.
    let n = n_wrong(2, 32.0, (0.05, 0.1), |t| if t < 16.0 { 4.0 } else { 4.4 }, steady);
    assert!(n <= 20, "rung: {n} of 200");
}

#[test]
fn uneven_sizes_are_one_span_and_what_grows_is_told() {
    for depth_cv in [0.05, 0.1, 0.2] {
        let even = n_wrong(1, 20.0, (0.05, depth_cv), |_| 5.0, steady);
        let wandering = n_wrong(1, 20.0, (0.05, depth_cv), |_| 5.0, |t| 6.0 + 0.6 * (0.9 * t).sin());
        assert!(even <= 4 && wandering <= 8, "uneven by {depth_cv}: {even} and {wandering} of 200");
    }
    let ramp = n_wrong(2, 6.0, (0.05, 0.1), |_| 5.0, |t| (3.0 * t).min(6.0));
    assert!(ramp <= 12, "{ramp} of 200");
    let jump = n_wrong(2, 6.0, (0.05, 0.1), |_| 5.0, |t| if t < 3.0 { 2.0 } else { 7.0 });
    assert!(jump <= 12, "{jump} of 200");
}

#[test]
fn a_tone_that_hurries_in_its_last_pulses_is_one_span() {
    let hurried = |t: f64| if t < 4.25 { 2.5 } else { 2.75 };
    let n = n_wrong(1, 5.9, (0.01, 0.05), hurried, steady);
    assert!(n <= 4, "{n} of 200");
}

#[test]
fn a_missed_pulse_is_neither_a_pause_nor_another_rate() {
    let mut played = Played::new(5, 8.0, (0.02, 0.05), |_| 5.0, steady);
    played.pulses.remove(17);
    let spans = played.spans();
    assert_eq!(spans.len(), 1, "{spans:?}");
    assert!((spans[0].pulse_rate_hz.unwrap() - 5.0).abs() < 0.05, "{spans:?}");
}

#[test]
fn a_span_is_summed_up_over_whole_pulses() {
    let spans = Played::new(1, 5.0, (0.0, 0.0), |_| 4.0, steady).spans();
    let span = spans[0];
    assert_eq!((span.kind, span.n_pulses, span.note_midi), (SpanKind::Pulsed, 20, 69));
    assert!((span.pulse_rate_hz.unwrap() - 4.0).abs() < 1e-9);
    assert!((span.depth_db_pp.unwrap() - 6.0).abs() < 1e-9);
    assert!((span.centre_cents.unwrap() - 5.0).abs() < 1e-6);
}

#[test]
fn a_tone_longer_than_what_is_kept_is_told_in_parts() {
    let played = Played::new(3, 600.0, (0.05, 0.1), |_| 5.0, steady);
    let spans = played.spans();
    assert!(spans.windows(2).all(|w| w[0].end_s <= w[1].start_s), "{spans:?}");
    let told: f64 = spans.iter().map(|s| s.end_s - s.start_s).sum();
    assert!(told > 598.0, "{told} s of 600");
    assert!(spans.iter().all(|s| (s.pulse_rate_hz.unwrap() - 5.0).abs() < 0.1), "{spans:?}");
}

#[test]
fn nothing_tells_nothing() {
    let mut contour = Contour::new();
    assert!(contour.push(&[], &[]).spans.is_empty() && contour.finish().spans.is_empty());
    let silence: Vec<Reading> =
        (0..100).map(|i| Reading::empty(Hearing::Silence, -90.0, f64::from(i) * 0.05)).collect();
    assert!(contour.push(&silence, &[]).spans.is_empty() && contour.finish().spans.is_empty());
}
