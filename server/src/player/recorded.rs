//! The sound of a recording, played in real time as if it came from a microphone. It knows no file and no socket.

use super::ear::Source;
use windrow_protocol::timeline::Timeline;
use windrow_web::TimeMap;

/// Silence after a recording, s: what was heard last becomes certain, and the device can tell of it.
const TAIL_S: f64 = 3.0;

/// How often a recording is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeat {
    /// Once, then silence.
    Once,
    /// Again and again.
    ForEver,
}

/// A recording.
#[derive(Debug, Clone)]
pub struct RecordedSound {
    samples: Vec<f32>,
    sample_rate_hz: f64,
    repeat: Repeat,
    next: usize,
}

impl RecordedSound {
    /// Mono samples, full scale ±1.
    pub fn new(samples: Vec<f32>, sample_rate_hz: f64, repeat: Repeat) -> Self {
        Self { samples, sample_rate_hz, repeat, next: 0 }
    }
}

impl Source for RecordedSound {
    fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    fn is_over(&self) -> bool {
        self.next as f64 > self.samples.len() as f64 + TAIL_S * self.sample_rate_hz
    }

    fn fill(&mut self, out: &mut [f32], _music: Option<&Timeline>, _time_map: &TimeMap) {
        for sample in out {
            if self.repeat == Repeat::ForEver && self.next >= self.samples.len() {
                self.next = 0;
            }
            *sample = self.samples.get(self.next).copied().unwrap_or(0.0);
            self.next += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(repeat: Repeat, n: usize) -> (Vec<f32>, bool) {
        let mut sound = RecordedSound::new(vec![0.1, 0.2, 0.3], 2.0, repeat);
        let mut out = vec![9.0; n];
        sound.fill(&mut out, None, &TimeMap::new(0.0, 1e6).unwrap());
        (out, sound.is_over())
    }

    #[test]
    fn a_recording_is_followed_by_silence_and_then_is_over() {
        assert_eq!(filled(Repeat::Once, 5), (vec![0.1, 0.2, 0.3, 0.0, 0.0], false));
        // Three seconds of two samples each.
        assert!(!filled(Repeat::Once, 9).1 && filled(Repeat::Once, 10).1);
    }

    #[test]
    fn a_repeated_recording_never_ends() {
        assert_eq!(filled(Repeat::ForEver, 5), (vec![0.1, 0.2, 0.3, 0.1, 0.2], false));
        assert!(!filled(Repeat::ForEver, 100).1);
    }
}
