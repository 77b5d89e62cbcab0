//! Pitch and level over a whole file, fine enough to draw. The analyser reads twenty times a second, too coarse for the
//! shape of a pulse, so several of them listen at once, each a part of a reading later than the last. Must not know
//! files or pictures.

use windrow_analysis::{Analyser, Config, ConfigError};

/// Analysers at once: eighty points a second, eleven to a pulse at the fastest vibrato (7 Hz).
const N_ANALYSERS: usize = 4;
/// Seconds between two readings of one analyser.
const READING_S: f64 = 0.05;
/// Seconds over which the level is taken.
const LEVEL_S: f64 = 0.02;

/// Gathers while the samples come.
pub(super) struct Traces {
    /// With the seconds of silence put before the samples.
    analysers: Vec<(f64, Analyser)>,
    pitch: Vec<(f64, f64)>,
    level: Vec<(f64, f64)>,
    n_level_samples: usize,
    in_block: usize,
    power: f64,
}

/// What was gathered, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlainTraces {
    /// Seconds, and the pitch as MIDI note number with fraction.
    pub(super) pitch: Vec<(f64, f64)>,
    /// Seconds, and the level of the whole sound, dB re full scale.
    pub(super) level: Vec<(f64, f64)>,
}

impl Traces {
    /// Ready for the first sample.
    ///
    /// # Errors
    /// [`ConfigError`] names the setting that is out of range.
    pub(super) fn new(config: Config) -> Result<Self, ConfigError> {
        let mut analysers = Vec::new();
        for i in 0..N_ANALYSERS {
            let n_before = (i as f64 * READING_S / N_ANALYSERS as f64 * config.sample_rate_hz).round();
            let mut analyser = Analyser::new(config)?;
            analyser.push(&vec![0.0; n_before as usize]);
            analysers.push((n_before / config.sample_rate_hz, analyser));
        }
        Ok(Self {
            analysers,
            pitch: Vec::new(),
            level: Vec::new(),
            n_level_samples: (LEVEL_S * config.sample_rate_hz).round() as usize,
            in_block: 0,
            power: 0.0,
        })
    }

    pub(super) fn push(&mut self, samples: &[f32]) {
        for (before_s, analyser) in &mut self.analysers {
            let points = analyser.push(samples).readings.iter().filter_map(|r| {
                let midi = f64::from(r.note_midi?) + r.cents? / 100.0;
                Some((r.time_s - *before_s, midi))
            });
            self.pitch.extend(points);
        }
        for sample in samples {
            self.power += f64::from(sample * sample);
            self.in_block += 1;
            if self.in_block == self.n_level_samples {
                let time_s = (self.level.len() as f64 + 0.5) * LEVEL_S;
                let mean = (self.power / self.n_level_samples as f64).max(1e-12);
                self.level.push((time_s, 10.0 * mean.log10()));
                (self.in_block, self.power) = (0, 0.0);
            }
        }
    }

    pub(super) fn finish(mut self) -> PlainTraces {
        self.pitch.sort_by(|a, b| a.0.total_cmp(&b.0));
        PlainTraces { pitch: self.pitch, level: self.level }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_analysis::signals::{Moment, Timbre, render};

    #[test]
    fn a_steady_tone_has_flat_traces_with_close_points() {
        let sound =
            render(24_000.0, Timbre::falling(4), -80.0, 1, 2.0, |_| Moment { f0_hz: 440.0, gain: 0.1 });
        let config = Config { sample_rate_hz: 24_000.0, a4_hz: 440.0, expected_midi: None };
        let mut traces = Traces::new(config).unwrap();
        traces.push(&sound);
        let traces = traces.finish();
        let late: Vec<_> = traces.pitch.iter().filter(|(t, _)| (0.5..1.5).contains(t)).collect();
        assert!(late.len() >= 76, "{}", late.len());
        assert!(late.windows(2).all(|w| w[1].0 - w[0].0 < 0.02));
        assert!(late.iter().all(|(_, midi)| (midi - 69.0).abs() < 0.02));
        // Power one half times 0.1 squared: -23 dB.
        assert_eq!(traces.level.len(), 100);
        assert!(traces.level[10..].iter().all(|(_, db)| (db + 23.0).abs() < 0.5));
    }
}
