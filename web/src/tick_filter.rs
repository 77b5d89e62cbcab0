//! Takes the tick out of the microphone's samples before the analyser hears them: it knows from the score when ticks are
//! emitted, the analysis finds how late they come. Must not know who sounds them, or how.

use crate::listener::TimeMap;
use windrow_analysis::click::{ClickKind, ClickPath, ClickRemover};
use windrow_protocol::score::TickFrom;
use windrow_protocol::timeline::{TickKind, Timeline};

/// Ticks are told this long before their sample comes: more than a tick can seem to come early.
const AHEAD_US: f64 = 200_000.0;

/// Stands between the microphone and the analyser.
pub(crate) struct TickFilter {
    remover: ClickRemover,
    sample_rate_hz: f64,
    /// Whether ticks sound; where it was not said, the score tells.
    sounds: Option<bool>,
    /// Server time up to which ticks have been told.
    told_until_us: f64,
    clean: Vec<f32>,
}

impl TickFilter {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        Self {
            remover: ClickRemover::new(sample_rate_hz),
            sample_rate_hz,
            sounds: None,
            told_until_us: f64::NEG_INFINITY,
            clean: Vec::new(),
        }
    }

    pub(crate) fn set_sounds(&mut self, sounds: Option<bool>) {
        self.sounds = sounds;
    }

    /// Ways on which ticks are known to reach the microphone.
    pub(crate) fn paths(&self) -> impl Iterator<Item = ClickPath> + '_ {
        self.remover.paths()
    }

    /// Takes in the samples that follow the first `n_before`, and gives those that are ready; all samples come out in the
    /// end, in order.
    pub(crate) fn clean(
        &mut self,
        samples: &[f32],
        n_before: usize,
        timeline: Option<&Timeline>,
        time_map: Option<&TimeMap>,
    ) -> &[f32] {
        self.clean.clear();
        let clean = &mut self.clean;
        let mut out = |ready: &[f32]| clean.extend_from_slice(ready);
        let sounds = |timeline: &&Timeline| self.sounds.unwrap_or(timeline.score().tick != TickFrom::Nobody);
        match timeline.filter(sounds).zip(time_map) {
            Some((timeline, map)) => {
                self.remover.start();
                let end_s = (n_before + samples.len()) as f64 / self.sample_rate_hz;
                let until_us = map.server_us(end_s) + AHEAD_US;
                // After a pause only what is still to come.
                let from_us = self.told_until_us.max(map.server_us(n_before as f64 / self.sample_rate_hz));
                if until_us > from_us {
                    for tick in timeline.ticks_between(from_us, until_us) {
                        let kind = match tick.kind {
                            TickKind::Bar => ClickKind::Bar,
                            TickKind::Beat => ClickKind::Beat,
                            TickKind::Between => ClickKind::Between,
                        };
                        self.remover.tick(map.time_s(tick.time_us) * self.sample_rate_hz, kind);
                    }
                    self.told_until_us = until_us;
                }
            }
            None => {
                self.remover.stop(&mut out);
                self.told_until_us = f64::NEG_INFINITY;
            }
        }
        self.remover.push(samples, &mut out);
        &self.clean
    }
}

#[cfg(test)]
mod tests {
    use crate::{Config, Listener, TimeMap};
    use windrow_analysis::click::{ClickKind, ClickSound, click};
    use windrow_analysis::signals::{Moment, Timbre, render};
    use windrow_protocol::messages::{Hearing, PlayerSays};
    use windrow_protocol::score::{Score, TickFrom};

    const RATE: f64 = 48_000.0;
    /// Server time of the first sample, and µs in a second of samples (50 ppm fast).
    const MAP: (f64, f64) = (3e6, 1_000_050.0);
    const DELAY_S: f64 = 0.12;

    /// Four beats counted in at 96 from 3.5 s on, then eighths.
    fn score(tick: TickFrom) -> Score {
        let text = r#"{"version":1,"start_us":3500000,"beats_per_bar":4,"spans":[
            {"length_beats":4,"bpm":96,"target":{"kind":"count-in"}},
            {"bpm":96,"target":{"kind":"pulses","per_beat":2}}]}"#;
        let mut score: Score = serde_json::from_str(text).unwrap();
        score.tick = tick;
        score
    }

    /// A straight note from the end of the count-in, and clicks by arithmetic alone: each 60/96 s, then halves.
    fn sound(with_clicks: bool) -> Vec<f32> {
        let beat_s = 60.0 / 96.0;
        let mut sound = render(RATE, Timbre::falling(8), -70.0, 1, 7.0, |t| Moment {
            f0_hz: 698.46,
            gain: if t > 0.5 + 4.0 * beat_s { 0.1 } else { 0.0 },
        });
        for half_beat in (0..18).filter(|i| with_clicks && (*i >= 8 || i % 2 == 0)) {
            let kind = match half_beat % 8 {
                0 => ClickKind::Bar,
                i if i % 2 == 0 => ClickKind::Beat,
                _ => ClickKind::Between,
            };
            let server_us = 3.5e6 + 1e6 * beat_s * f64::from(half_beat) / 2.0;
            let at = ((server_us - MAP.0) / MAP.1 + DELAY_S) * RATE;
            for (y, x) in sound[at.round() as usize..].iter_mut().zip(click(ClickSound::Wood, kind, RATE)) {
                *y += 0.3 * x;
            }
        }
        sound
    }

    fn listen(
        tick: TickFrom,
        sounds: Option<bool>,
        sound: &[f32],
        block: usize,
    ) -> (Listener, Vec<PlayerSays>) {
        let config = Config { sample_rate_hz: RATE, a4_hz: 440.0, expected_midi: None };
        let mut listener = Listener::new(config).unwrap();
        listener.set_time_map(TimeMap::new(MAP.0, MAP.1).unwrap());
        listener.set_ticks_sound(sounds);
        listener.set_score(Some(score(tick))).unwrap();
        let says = sound.chunks(block).flat_map(|samples| listener.push(samples)).collect();
        (listener, says)
    }

    #[test]
    fn ticks_are_found_by_the_score_and_are_no_pulses() {
        for (tick, sounds) in [(TickFrom::Conductor, None), (TickFrom::Nobody, Some(true))] {
            let (listener, says) = listen(tick, sounds, &sound(true), 2048);
            let delays_ms: Vec<f64> = listener.tick_delays_ms().collect();
            assert!(delays_ms.len() == 1 && (delays_ms[0] - 1000.0 * DELAY_S).abs() < 0.1, "{delays_ms:?}");
            assert!(!says.iter().any(|m| matches!(m, PlayerSays::Pulses(_))), "{tick:?}");
            let mut readings = says.iter().filter_map(|m| match m {
                PlayerSays::Reading(reading) => Some(reading),
                _ => None,
            });
            let last = readings.next_back().unwrap();
            assert!(last.trusted && last.hearing == Hearing::Straight, "{last:?}");
        }
    }

    #[test]
    fn the_cut_into_blocks_changes_nothing_that_is_said() {
        let sound = sound(true);
        let whole = listen(TickFrom::Devices, None, &sound, sound.len()).1;
        for block in [128, 1000, 8192] {
            let cut = listen(TickFrom::Devices, None, &sound, block).1;
            assert_eq!(format!("{whole:?}"), format!("{cut:?}"), "blocks of {block}");
        }
    }

    #[test]
    fn where_nobody_sounds_it_nothing_is_held_back() {
        let n_readings =
            |says: &[PlayerSays]| says.iter().filter(|m| matches!(m, PlayerSays::Reading(_))).count();
        let (sound, block) = (sound(false), 2400);
        // A reading each 0.1 s; those of the last 48 ms are still held where somebody does.
        let silent = listen(TickFrom::Nobody, None, &sound[..48_000], block).1;
        let ticking = listen(TickFrom::Conductor, None, &sound[..48_000], block).1;
        assert_eq!((n_readings(&silent), n_readings(&ticking)), (10, 9));
        let (mut listener, _) = listen(TickFrom::Conductor, None, &sound, block);
        assert_eq!(listener.tick_delays_ms().count(), 0, "no click, no delay");
        // The music stops: what was held comes at once.
        let before = listener.push(&[]).len();
        listener.set_score(None).unwrap();
        assert_eq!(before, 0);
        assert!(n_readings(&listener.push(&vec![0.0; 4800])) >= 1);
    }
}
