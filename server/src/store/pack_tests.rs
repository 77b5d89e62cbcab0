//! Tests of packed pulses: the bytes by hand, every pulse that a device may send, and what is no pack.

use super::*;
use proptest::prelude::*;

fn pulse(time_us: i64, depth_db: f64, swing_cents: f64, mean_cents: Option<f64>) -> PulseRow {
    PulseRow { time_us, depth_db, swing_cents, mean_cents, choked: false }
}

#[test]
fn a_pack_is_what_its_description_says() {
    let pulses = [
        pulse(1_000_000, 6.0, 12.3, Some(-4.5)),
        PulseRow { choked: true, ..pulse(1_303_060, 6.25, 12.0, None) },
    ];
    // By hand: 10,000 steps of 0.1 ms; 600 steps of 0.01 dB, zigzag 1200, times 8, and 2 for the mean; 123 steps, zigzag 246;
    // -45 steps, zigzag 89. Then 3031 steps; 25, zigzag 50, times 8, and 1 for choked; -3, zigzag 5. Bytes by LEB128.
    let bytes = [1, 0x90, 0x4e, 0x82, 0x4b, 0xf6, 0x01, 0x59, 0xd7, 0x17, 0x91, 0x03, 0x05];
    assert_eq!(pack(&pulses), bytes);
    let back = unpack(&bytes).unwrap();
    assert_eq!(back[0], pulses[0]);
    assert_eq!(back[1], PulseRow { time_us: 1_303_100, ..pulses[1].clone() });
    assert_eq!((pack(&[]), unpack(&[FORM])), (vec![FORM], Some(Vec::new())));
}

#[test]
fn what_is_no_pack_is_told_from_one() {
    // Nothing, another form, a pulse that breaks off, a number without an end, one too large for 64 bits.
    let endless = [[FORM].as_slice(), &[0xff; 12]].concat();
    let too_large = [[FORM].as_slice(), &[0xff; 9], &[0x02]].concat();
    for bytes in [&[][..], &[2, 1, 1, 1], &[FORM, 0x90, 0x4e, 0x82], &endless, &too_large] {
        assert_eq!(unpack(bytes), None, "{bytes:?}");
    }
}

/// All that the protocol's units let in, and times in any order.
fn any_pulse() -> impl Strategy<Value = PulseRow> {
    let time_us = 0..40_000_000_000_000i64;
    let mean_cents = prop::option::of(-10_000.0..10_000.0f64);
    (time_us, -200.0..200.0f64, 0.0..10_000.0f64, mean_cents, any::<bool>()).prop_map(
        |(time_us, depth_db, swing_cents, mean_cents, choked)| PulseRow {
            time_us,
            depth_db,
            swing_cents,
            mean_cents,
            choked,
        },
    )
}

proptest! {
    #[test]
    fn what_is_packed_comes_back_within_half_a_step(pulses in prop::collection::vec(any_pulse(), 0..60)) {
        let bytes = pack(&pulses);
        let back = unpack(&bytes).unwrap();
        prop_assert_eq!(back.len(), pulses.len());
        for (one, other) in back.iter().zip(&pulses) {
            prop_assert!(one.time_us.abs_diff(other.time_us) <= 50);
            prop_assert!((one.depth_db - other.depth_db).abs() <= 0.005 + 1e-9);
            prop_assert!((one.swing_cents - other.swing_cents).abs() <= 0.05 + 1e-9);
            prop_assert_eq!(one.mean_cents.is_some(), other.mean_cents.is_some());
            let off = one.mean_cents.unwrap_or(0.0) - other.mean_cents.unwrap_or(0.0);
            prop_assert!(off.abs() <= 0.05 + 1e-9);
            prop_assert_eq!(one.choked, other.choked);
        }
        // Packed again it stays as it is.
        prop_assert_eq!(pack(&back), bytes);
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..80)) {
        let _ = unpack(&bytes);
    }
}

#[test]
fn a_pulse_of_usual_vibrato_takes_under_seven_bytes() {
    // Five pulses a second with a spread as players have it (20 ms, 1 dB, 4 cents), by a plain generator with a fixed seed.
    let mut state = 7u64;
    let mut spread = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(u32::MAX >> 1) - 1.0
    };
    let pulses: Vec<PulseRow> = (0..3000i64)
        .map(|n| {
            let time_us = 200_000 * n + (20_000.0 * spread()) as i64 + 20_000;
            pulse(time_us, 8.0 + 2.0 * spread(), 15.0 + 8.0 * spread(), Some(3.0 + 8.0 * spread()))
        })
        .collect();
    let per_pulse = pack(&pulses).len() as f64 / 3000.0;
    assert!(per_pulse < 7.0, "{per_pulse}");
}
