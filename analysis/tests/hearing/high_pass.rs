//! Phones cut off the bass, at 100 to 200 Hz: that takes away fundamentals, and must not take away the note.

use crate::microphones::high_pass;
use crate::truth::{RATE, hear, median, timbre_for};
use windrow_analysis::signals::{Pulsing, render};
use windrow_analysis::tuning::midi_to_hz;

#[test]
fn a_high_pass_takes_nothing_away_but_the_bass() {
    // Contrabassoon to flute.
    for midi in (22..=96).step_by(2) {
        let f0_hz = midi_to_hz(f64::from(midi), 440.0);
        let tone = Pulsing {
            f0_hz,
            peak_gain: 0.3,
            rate_hz: 4.0,
            depth_db: 6.0,
            swing_cents: 12.0,
            first_peak_s: 0.1,
            drift_cents_per_s: 0.0,
        };
        let sound = render(RATE, timbre_for(f0_hz), -65.0, 1, 5.0, |t| tone.at(t));
        for order in [2, 4] {
            let heard = hear(&high_pass(&sound, RATE, 180.0, order), RATE);
            let name = format!("MIDI note {midi}, order {order}");
            let notes = heard.readings.iter().filter_map(|r| r.note_midi);
            assert!(
                notes.clone().count() > 60 && notes.clone().all(|n| i32::from(n) == midi),
                "{name}: another note"
            );
            let centre = heard.centre_cents_from(f64::from(midi));
            assert!(centre.abs() < 1.2, "{name}: {centre} cents");
            let rate_hz = heard.rate_hz();
            assert!((rate_hz / 4.0 - 1.0).abs() < 0.02, "{name}: {rate_hz} Hz");
            let of_pulses =
                |of: fn(&windrow_analysis::Pulse) -> f64| median(heard.pulses[1..].iter().map(of).collect());
            let (depth, swing) = (of_pulses(|p| p.depth_db), of_pulses(|p| p.swing_cents));
            assert!((depth - 6.0).abs() < 0.3, "{name}: depth {depth} dB");
            assert!((swing - 12.0).abs() < 1.5, "{name}: swing {swing} cents");
        }
    }
}
