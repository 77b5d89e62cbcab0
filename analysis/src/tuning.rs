//! Equal temperament: frequency to note number and back.

/// Lowest and highest tuning of A4 accepted, Hz.
pub const A4_RANGE_HZ: (f64, f64) = (415.0, 446.0);

/// ISO 16:1975, standard tuning frequency.
pub const A4_STANDARD_HZ: f64 = 440.0;

/// Frequency of a MIDI note number with fraction: `a4_hz * 2^((midi - 69) / 12)`.
pub fn midi_to_hz(midi: f64, a4_hz: f64) -> f64 {
    a4_hz * ((midi - 69.0) / 12.0).exp2()
}

/// MIDI note number with fraction of a frequency in Hz (above 0).
pub fn hz_to_midi(hz: f64, a4_hz: f64) -> f64 {
    69.0 + 12.0 * (hz / a4_hz).log2()
}

/// Interval from `from_hz` up to `to_hz`, in cents.
pub fn cents_between(from_hz: f64, to_hz: f64) -> f64 {
    1200.0 * (to_hz / from_hz).log2()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_twelve_tone_table_at_440() {
        // Published twelve-tone equal table, A4 = 440 Hz (ISO 16), values rounded to 0.01 Hz.
        for (midi, hz) in [
            (60, 261.63),
            (69, 440.0),
            (24, 32.70),
            (36, 65.41),
            (45, 110.0),
            (58, 233.08),
            (84, 1046.50),
            (108, 4186.01),
            (34, 58.27),
        ] {
            assert!((midi_to_hz(f64::from(midi), 440.0) - hz).abs() < 0.006, "{midi}");
        }
        // MIDI note 0.
        assert!((midi_to_hz(0.0, 440.0) - 8.175_798_915_6).abs() < 1e-9);
    }

    #[test]
    fn tunings_other_than_440_in_cents() {
        for (hz, cents) in [(441.0, 3.930), (442.0, 7.851), (443.0, 11.764), (415.0, -101.27)] {
            assert!((cents_between(440.0, hz) - cents).abs() < 0.005, "{hz}");
        }
    }

    #[test]
    fn just_ratios_in_cents() {
        for (ratio, cents) in
            [(5.0 / 4.0, 386.314), (3.0 / 2.0, 701.955), (6.0 / 5.0, 315.641), (2.0, 1200.0)]
        {
            assert!((cents_between(1.0, ratio) - cents).abs() < 0.001, "{ratio}");
        }
    }
}
