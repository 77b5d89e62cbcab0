//! A device's ear: takes the sound that is due or has come, and places it in server time. It must know no socket and not
//! what its sound is made of.

use std::time::Duration;
use windrow_protocol::messages::PlayerSays;
use windrow_protocol::note::Note;
use windrow_protocol::timeline::Timeline;
use windrow_web::{Listener, TimeMap};

/// Sound is heard in blocks of this length.
pub(super) const BLOCK: Duration = Duration::from_millis(20);
/// Sound that is late by more than this, as after a computer slept, is left out.
const MAX_LAG_S: f64 = 1.0;
/// A sound card's clock drifts against the computer's by less than this. Quartz clocks: tens of ppm.
const CARD_DRIFT: f64 = 200e-6;

/// Where a device's sound comes from.
pub trait Source: Send {
    /// Samples a second, 8,000 to 192,000.
    fn sample_rate_hz(&self) -> f64;

    /// The octave in which an asked note is played.
    fn octave_of(&self, asked: Note) -> Note {
        asked
    }

    /// Samples that have come so far; `None` where there are always as many as are due by the clock.
    fn n_come(&self) -> Option<u64> {
        None
    }

    /// Whether no more sound will come.
    fn is_over(&self) -> bool {
        false
    }

    /// Takes the music, with this player's notes, as soon as it changes: before the next samples are asked for.
    fn take_music(&mut self, _music: Option<&Timeline>) {}

    /// Fills in the next samples (mono, full scale ±1). A microphone needs only the first argument; who plays along
    /// needs the music, with this player's notes, and how samples lie in server time.
    fn fill(&mut self, out: &mut [f32], music: Option<&Timeline>, time_map: &TimeMap);
}

/// The listener and how far it has heard.
pub(super) struct Ear {
    pub(super) listener: Listener,
    /// Device time of the first sample.
    started_us: Option<f64>,
    n_samples: u64,
    /// Device time of the last look.
    looked_us: f64,
}

/// A moment of the device's clock, and where the server's stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    pub(super) device_us: f64,
    /// Server clock minus device clock.
    pub(super) offset_us: f64,
    /// Server µs gained on each device µs.
    pub(super) drift: f64,
}

impl Ear {
    pub(super) fn new(listener: Listener) -> Self {
        Self { listener, started_us: None, n_samples: 0, looked_us: 0.0 }
    }

    pub(super) fn hear(
        &mut self,
        source: &mut dyn Source,
        music: Option<&Timeline>,
        now: Moment,
    ) -> Vec<PlayerSays> {
        let (rate_hz, now_us) = (source.sample_rate_hz(), now.device_us);
        let Some((started_us, due_s)) = self.due(source.n_come(), rate_hz, now_us) else { return Vec::new() };
        // The straight line through this moment at the drift's slope. A time that is being slewed has another slope for a
        // moment, but what was heard before lies where it was shown then to within the slewing of that time.
        let gained_us = now.drift * (started_us - now_us);
        let Ok(time_map) = TimeMap::new(started_us + now.offset_us + gained_us, 1e6 * (1.0 + now.drift))
        else {
            return Vec::new();
        };
        self.listener.set_time_map(time_map);
        let mut block = vec![0.0; (BLOCK.as_secs_f64() * rate_hz) as usize];
        let mut said = Vec::new();
        for _ in 0..(due_s / BLOCK.as_secs_f64()) as usize {
            source.fill(&mut block, music, &time_map);
            self.n_samples += block.len() as u64;
            said.extend(self.listener.push(&block));
        }
        said
    }

    /// Device time of the first sample, and seconds of sound to take in; `None` where sound was lost just now: the
    /// samples that follow are later by as much.
    fn due(&mut self, n_come: Option<u64>, rate_hz: f64, now_us: f64) -> Option<(f64, f64)> {
        let us_of = |n_samples: u64| 1e6 * n_samples as f64 / rate_hz;
        let (started_us, due_us) = match n_come {
            None => {
                let started_us = *self.started_us.get_or_insert(now_us);
                let due_us = now_us - started_us - us_of(self.n_samples);
                if due_us > 1e6 * MAX_LAG_S {
                    self.started_us = Some(started_us + due_us);
                    return None;
                }
                (started_us, due_us)
            }
            // Sound that has come is late by the card's block and the look: the least late look is nearest to the truth,
            // and older ones are worth less by the drift of the card's clock.
            Some(n_come) => {
                let by_this_look_us = now_us - us_of(n_come);
                let passed_us = now_us - self.looked_us;
                let known_us = self.started_us.map_or(f64::INFINITY, |us| us + CARD_DRIFT * passed_us);
                let started_us = match by_this_look_us - known_us {
                    lag_us if lag_us > 1e6 * MAX_LAG_S => by_this_look_us,
                    _ => known_us.min(by_this_look_us),
                };
                (started_us, us_of(n_come) - us_of(self.n_samples))
            }
        };
        self.looked_us = now_us;
        self.started_us = Some(started_us);
        Some((started_us, due_us / 1e6))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_web::Config;

    /// Silence that notes the server time of each block's first sample.
    struct Noting {
        starts_us: Vec<f64>,
        n_samples: u64,
        n_come: Option<u64>,
    }

    impl Source for Noting {
        fn sample_rate_hz(&self) -> f64 {
            8_000.0
        }

        fn n_come(&self) -> Option<u64> {
            self.n_come
        }

        fn fill(&mut self, out: &mut [f32], _music: Option<&Timeline>, time_map: &TimeMap) {
            self.starts_us.push(time_map.server_us(self.n_samples as f64 / 8_000.0));
            self.n_samples += out.len() as u64;
        }
    }

    /// Server times of the blocks' starts (ms) when a device whose clock is 1 s behind looks at the given times (ms).
    fn starts_ms(looks_ms: &[f64]) -> Vec<f64> {
        let config = Config { sample_rate_hz: 8_000.0, a4_hz: 440.0, expected_midi: None };
        let mut ear = Ear::new(Listener::new(config).unwrap());
        let mut source = Noting { starts_us: Vec::new(), n_samples: 0, n_come: None };
        for now_ms in looks_ms {
            let now = Moment { device_us: 1000.0 * now_ms, offset_us: 1e6, drift: 0.0 };
            ear.hear(&mut source, None, now);
        }
        source.starts_us.iter().map(|us| (us / 1000.0).round()).collect()
    }

    #[test]
    fn sound_keeps_pace_with_the_clock_and_is_placed_in_server_time() {
        assert_eq!(starts_ms(&[100.0]), [0.0; 0], "no sound has come yet");
        assert_eq!(starts_ms(&[100.0, 130.0, 165.0]), [1100.0, 1120.0, 1140.0]);
    }

    #[test]
    fn after_the_computer_slept_the_sound_goes_on_at_the_right_time() {
        assert_eq!(starts_ms(&[0.0, 40.0, 5000.0, 5040.0]), [1000.0, 1020.0, 6000.0, 6020.0]);
    }

    #[test]
    fn a_sound_card_s_samples_are_placed_by_the_least_late_look() {
        let config = Config { sample_rate_hz: 8_000.0, a4_hz: 440.0, expected_midi: None };
        let mut ear = Ear::new(Listener::new(config).unwrap());
        let mut source = Noting { starts_us: Vec::new(), n_samples: 0, n_come: Some(0) };
        // A card that begins at 100 ms and hands over blocks of 10 ms, looked at 0 to 9 ms after each; its clock is 50 ppm
        // slow, and after a minute the samples still lie where they were captured, to the card's block.
        for look in 0..3000u32 {
            let now_ms = 120.0 + 20.0 * f64::from(look) + f64::from(look % 10);
            source.n_come = Some((((now_ms - 100.0) * (1.0 - 50e-6) / 10.0).floor() * 80.0) as u64);
            ear.hear(&mut source, None, Moment { device_us: 1000.0 * now_ms, offset_us: 0.0, drift: 0.0 });
        }
        let n_blocks = source.starts_us.len();
        let true_ms = 100.0 + 20.0 * (n_blocks as f64 - 1.0) / (1.0 - 50e-6);
        let late_ms = source.starts_us[n_blocks - 1] / 1000.0 - true_ms;
        assert!((-0.1..10.0).contains(&late_ms), "{late_ms}");
    }
}
