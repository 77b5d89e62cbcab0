//! Where the tone lies in a recording, and where its pulses do: what a beat is found by that nobody has told. It must know no room.

use windrow_analysis::{Analyser, Config, Hearing, Pulse, Reading};
use windrow_protocol::note::Note;

/// A tone has begun where it is so near to its usual level, dB; before it there may be breath and keys. Our own choice.
const BEGUN_DB: f64 = 12.0;

/// The tone of a recording. Times are seconds of the recording.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tone {
    pub(super) begins_s: f64,
    pub(super) ends_s: f64,
    pub(super) pulse_times_s: Vec<f64>,
}

impl Tone {
    /// Looks through a whole recording; `None` where there is no tone.
    ///
    /// # Errors
    /// Where sound of this kind cannot be analysed.
    pub(super) fn find(
        samples: &[f32],
        sample_rate_hz: f64,
        a4_hz: f64,
        expected: Option<Note>,
    ) -> Result<Option<Self>, windrow_analysis::ConfigError> {
        let config = Config { sample_rate_hz, a4_hz, expected_midi: expected.map(Note::midi) };
        let mut analyser = Analyser::new(config)?;
        let (mut readings, mut pulses): (Vec<Reading>, Vec<Pulse>) = (Vec::new(), Vec::new());
        for block in samples.chunks(1024) {
            let heard = analyser.push(block);
            readings.extend_from_slice(heard.readings);
            pulses.extend_from_slice(heard.pulses);
        }
        let heard = analyser.finish();
        readings.extend_from_slice(heard.readings);
        pulses.extend_from_slice(heard.pulses);
        Ok(Self::of(&readings, &pulses))
    }

    fn of(readings: &[Reading], pulses: &[Pulse]) -> Option<Self> {
        let is_tone = |reading: &&Reading| matches!(reading.hearing, Hearing::Straight | Hearing::Pulsed);
        let mut levels: Vec<f64> = readings.iter().filter(is_tone).map(|r| r.level_db).collect();
        levels.sort_unstable_by(f64::total_cmp);
        let usual_db = *levels.get(levels.len() / 2)?;
        // The reading that knows what kind of tone it is comes later than the tone: the level says when it began.
        let begins_s = readings.iter().find(|r| r.level_db >= usual_db - BEGUN_DB)?.time_s;
        let ends_s = readings.iter().rfind(is_tone)?.time_s;
        Some(Self { begins_s, ends_s, pulse_times_s: pulses.iter().map(|p| p.time_s).collect() })
    }

    /// The moment nearest to another that pulses of this period are on, by the circular mean of those there are until then; that
    /// moment itself where there are none.
    pub(super) fn in_phase(&self, near_s: f64, period_s: f64, until_s: f64) -> f64 {
        let angles = self.pulse_times_s.iter().filter(|&&t| t >= near_s - period_s && t <= until_s);
        let (x, y) = angles
            .map(|t| std::f64::consts::TAU * t / period_s)
            .fold((0.0, 0.0), |(x, y), a| (x + a.cos(), y + a.sin()));
        if x.hypot(y) == 0.0 {
            return near_s;
        }
        let phase_s = y.atan2(x) / std::f64::consts::TAU * period_s;
        phase_s + ((near_s - phase_s) / period_s).round() * period_s
    }
}

#[cfg(test)]
mod tests {
    use super::Tone;

    fn check(first_s: f64, period_s: f64, near_s: f64, expected_s: f64) {
        let pulse_times_s = (0..12).map(|i| first_s + f64::from(i) * period_s).collect();
        let tone = Tone { begins_s: near_s, ends_s: 10.0, pulse_times_s };
        let found = tone.in_phase(near_s, period_s, 10.0);
        assert!((found - expected_s).abs() < 1e-9, "{found} for {expected_s}");
    }

    #[test]
    fn a_beat_is_where_the_pulses_are() {
        check(0.4, 0.3, 0.42, 0.4);
        check(0.4, 0.3, 0.12, 0.1);
        check(1.0, 0.25, 0.9, 1.0);
        let without = Tone { begins_s: 0.7, ends_s: 5.0, pulse_times_s: Vec::new() };
        assert_eq!(without.in_phase(0.7, 0.3, 5.0), 0.7);
    }
}
