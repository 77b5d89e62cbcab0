//! Hears a sound from start to end, and the sums that tests hold against the truth.

use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_analysis::{Analyser, Config, Pulse, Reading};

pub(crate) const RATE: f64 = 48_000.0;

/// All that was said about a sound.
pub(crate) struct Heard {
    pub(crate) readings: Vec<Reading>,
    pub(crate) pulses: Vec<Pulse>,
}

pub(crate) fn analyser(rate_hz: f64) -> Analyser {
    Analyser::new(Config { sample_rate_hz: rate_hz, a4_hz: 440.0, expected_midi: None })
        .expect("a legal configuration")
}

pub(crate) fn hear_in_blocks(sound: &[f32], rate_hz: f64, block: usize) -> Heard {
    let mut analyser = analyser(rate_hz);
    let mut heard = Heard { readings: Vec::new(), pulses: Vec::new() };
    for samples in sound.chunks(block) {
        heard.take(analyser.push(samples));
    }
    heard.take(analyser.finish());
    heard
}

pub(crate) fn hear(sound: &[f32], rate_hz: f64) -> Heard {
    hear_in_blocks(sound, rate_hz, 1024)
}

impl Heard {
    pub(crate) fn take(&mut self, more: windrow_analysis::Heard<'_>) {
        self.readings.extend_from_slice(more.readings);
        self.pulses.extend_from_slice(more.pulses);
    }

    pub(crate) fn last_trusted(&self) -> Option<&Reading> {
        self.readings.iter().rev().find(|r| r.trusted())
    }

    /// Intervals over the time they took.
    pub(crate) fn rate_hz(&self) -> f64 {
        let (first, last) = (self.pulses[0].time_s, self.pulses[self.pulses.len() - 1].time_s);
        (self.pulses.len() - 1) as f64 / (last - first)
    }

    /// Median pitch centre of the trusted readings, cents from a MIDI note.
    pub(crate) fn centre_cents_from(&self, midi: f64) -> f64 {
        let centres = self
            .readings
            .iter()
            .filter(|r| r.trusted())
            .filter_map(|r| Some(100.0 * (f64::from(r.note_midi?) - midi) + r.centre_cents?));
        median(centres.collect())
    }
}

pub(crate) fn median(mut values: Vec<f64>) -> f64 {
    assert!(!values.is_empty(), "nothing to take a median of");
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// A timbre for a pitch: reed-like with a formant near 500 Hz and a weak fundamental below, falling harmonics above.
pub(crate) fn timbre_for(f0_hz: f64) -> Timbre {
    if f0_hz < 300.0 { Timbre::formant(f0_hz, 500.0, 200.0) } else { Timbre::falling(8) }
}

/// A tone of `seconds` with pulses, with a little noise.
pub(crate) fn pulsed(pulsing: &Pulsing, seconds: f64) -> Vec<f32> {
    render(RATE, timbre_for(pulsing.f0_hz), -70.0, 1, seconds, |t| pulsing.at(t))
}
