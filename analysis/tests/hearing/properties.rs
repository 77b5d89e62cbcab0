//! What holds for any sound.

use crate::truth::{RATE, hear_in_blocks, pulsed};
use proptest::prelude::*;
use windrow_analysis::signals::Pulsing;

const TONE: Pulsing = Pulsing {
    f0_hz: 233.08,
    peak_gain: 0.1,
    rate_hz: 4.0,
    depth_db: 6.0,
    swing_cents: 20.0,
    first_peak_s: 0.1,
    drift_cents_per_s: 0.0,
};

#[test]
fn louder_does_not_move_the_pitch_or_the_pulses() {
    let sound = pulsed(&TONE, 3.0);
    let louder: Vec<f32> = sound.iter().map(|x| x * 8.0).collect();
    let (soft, loud) = (hear_in_blocks(&sound, RATE, 1024), hear_in_blocks(&louder, RATE, 1024));
    assert_eq!(soft.pulses.len(), loud.pulses.len());
    for (a, b) in soft.pulses.iter().zip(&loud.pulses) {
        assert!((a.time_s - b.time_s).abs() < 1e-4 && (a.depth_db - b.depth_db).abs() < 0.01);
    }
    let db = loud.readings[40].level_db - soft.readings[40].level_db;
    // Eight times the amplitude is 18.06 dB.
    assert!((db - 18.06).abs() < 0.02, "{db} dB");
    let cents = |i: usize, h: &crate::truth::Heard| h.readings[i].cents.expect("a tone");
    assert!((cents(40, &soft) - cents(40, &loud)).abs() < 0.01);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn any_cut_into_blocks_gives_the_same_readings(block in 1usize..6000) {
        let sound = pulsed(&TONE, 1.5);
        let (whole, cut) = (hear_in_blocks(&sound, RATE, sound.len()), hear_in_blocks(&sound, RATE, block));
        prop_assert_eq!(whole.readings, cut.readings);
        prop_assert_eq!(whole.pulses, cut.pulses);
    }

    #[test]
    fn no_samples_break_it(bits in proptest::collection::vec(any::<u32>(), 1..64), rate_hz in 8_000.0f64..192_000.0) {
        // Any bit patterns, repeated for a second: numbers far out of range, infinities, not-a-numbers.
        let sound: Vec<f32> = bits.iter().cycle().take(rate_hz as usize).map(|b| f32::from_bits(*b)).collect();
        for reading in hear_in_blocks(&sound, rate_hz, 777).readings {
            prop_assert!(reading.level_db.is_finite() && reading.trust.is_finite());
            prop_assert!(reading.f0_hz.is_none_or(f64::is_finite) && reading.cents.is_none_or(f64::is_finite));
        }
    }
}
