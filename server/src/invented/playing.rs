//! The pulses of an invented player: where each one falls, how deep it is, what the pitch does. It follows the music as the simulated
//! sounds do, and makes no sound: what it gives is what a listener with perfect ears would find in one. Pure.

use super::dice::Dice;
use super::skill::Skill;
use crate::player::{Asked, Follows, beat_in_phrase, phrase_beats};
use windrow_protocol::messages::Pulse;
use windrow_protocol::score::{PerBeat, Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Beats, Cents, Decibels, Micros};

/// How much of a pulse's place is carried on to the next one: who plays with a beat nears it again over some pulses (linear phase
/// correction, Repp 2005; the number is from memory, from about a half). With a half the intervals scatter as much as the places.
const CARRIED_ON: f64 = 0.5;
/// Scatter of depth and swing, as shares, and of a pulse's pitch, cents: as the simulated sounds have them, the pitch of a hand-held
/// tone being less steady. Our own choice.
const SCATTER_DEPTH: f64 = 0.08;
const SCATTER_CENTS: f64 = 0.8;
/// Scatter where the measure is only felt, as a share of the time between pulses.
const SCATTER_LOOSELY: f64 = 0.06;
/// Smaller than this is no pulse to anybody who listens, dB.
const LEAST_DB: f64 = 0.5;
/// A place this near to a tick stands on it: positions carry rounding.
const NEARLY: f64 = 1e-3;
/// Nobody plays two pulses within this share of what is asked.
const LEAST_OF_PERIOD: f64 = 0.4;

/// A place in the music, and since when there is a tone.
struct Here<'a> {
    music: &'a Timeline,
    beat: f64,
    asked: Asked<'a>,
    tone_us: f64,
}

/// A player in the music.
#[derive(Debug, Clone)]
pub(super) struct Playing {
    skill: Skill,
    dice: Dice,
    /// Beat of the next pulse, before lateness and scatter; `None` where the music has ended.
    next_beat: Option<f64>,
    /// What is carried on of the last pulse's scatter, ms.
    carried_ms: f64,
    last_us: f64,
}

impl Playing {
    pub(super) fn new(skill: Skill, dice: Dice) -> Self {
        Self { skill, dice, next_beat: None, carried_ms: 0.0, last_us: f64::NEG_INFINITY }
    }

    pub(super) fn skill(&self) -> &Skill {
        &self.skill
    }

    /// Begins another music.
    pub(super) fn begin(&mut self, music: &Timeline, now_us: f64) {
        self.next_beat = Some(music.beat_at(now_us).max(0.0));
    }

    /// The same music goes on otherwise: what has been played stays in it where it was.
    pub(super) fn go_on(&mut self, music: &Timeline, now_us: f64) {
        if self.next_beat.is_none() {
            self.begin(music, now_us);
        }
    }

    /// Plays on up to a time, in a tone that began at `tone_us`.
    pub(super) fn play(&mut self, music: &Timeline, until_us: f64, tone_us: f64) -> Vec<Pulse> {
        let mut played = Vec::new();
        while let Some(beat) = self.next_beat.filter(|&beat| music.time_of(beat) <= until_us) {
            let asked = Asked::at(music, beat);
            let here = Here { music, beat, asked, tone_us };
            let Some(span) = asked.span else {
                self.next_beat = None;
                break;
            };
            let (pulse, next_beat) = match span.target {
                Target::Pulses { per_beat } => self.measured(&here, span, per_beat),
                Target::Free => {
                    let own_hz = music.bpm_at(beat) / 60.0 / asked.step(Follows::TheMusic);
                    self.own_pace(&here, own_hz.min(self.skill.ceiling_hz))
                }
                Target::CountIn | Target::Straight | Target::Rest => (None, until_the_next(music, beat)),
            };
            played.extend(pulse);
            self.next_beat = Some(next_beat);
        }
        played
    }

    /// On the tick, where the player can keep with it, and the beat of the next pulse.
    fn measured(&mut self, here: &Here<'_>, span: &Span, per_beat: PerBeat) -> (Option<Pulse>, f64) {
        let step = 1.0 / f64::from(per_beat.get());
        let asked_hz = here.music.bpm_at(here.beat) / 60.0 / step;
        if !self.skill.keeps(asked_hz) {
            return self.own_pace(here, self.skill.played_hz(asked_hz));
        }
        let tick = here.asked.next_tick(here.beat - NEARLY, step);
        if tick - here.beat > NEARLY {
            return (None, tick);
        }
        let period_ms = 1000.0 / asked_hz;
        let scatter_ms = match span.loosely {
            true => self.skill.scatter_ms.max(SCATTER_LOOSELY * period_ms),
            false => self.skill.scatter_ms,
        };
        let own = (1.0 - CARRIED_ON * CARRIED_ON).sqrt() * scatter_ms * self.dice.scatter();
        self.carried_ms = CARRIED_ON * self.carried_ms + own;
        // At half of the time between ticks, late would be early.
        let late_ms = self.skill.late_ms.clamp(-period_ms / 4.0, period_ms / 4.0);
        let time_us = here.music.time_of(tick) + 1000.0 * (late_ms + self.carried_ms);
        (self.sound(here, time_us, 1e3 * period_ms), here.asked.next_tick(tick, step))
    }

    /// By one's own measure, and the beat of the next pulse.
    fn own_pace(&mut self, here: &Here<'_>, hz: f64) -> (Option<Pulse>, f64) {
        let (time_us, period_us) = (here.music.time_of(here.beat), 1e6 / hz);
        self.carried_ms = 0.0;
        let pulse = self.sound(here, time_us, period_us);
        let to_next_us = period_us + 1000.0 * self.skill.scatter_ms * self.dice.scatter();
        (pulse, here.music.beat_at(time_us + to_next_us.max(LEAST_OF_PERIOD * period_us)))
    }

    fn sound(&mut self, here: &Here<'_>, time_us: f64, period_us: f64) -> Option<Pulse> {
        // Thrown whatever becomes of them, so that a breath changes nothing that comes later.
        let (size, pitch, choked) = (self.dice.scatter(), self.dice.scatter(), self.dice.throw());
        let share = here.asked.vibrato(Follows::TheMusic) * (1.0 + SCATTER_DEPTH * size);
        let depth_db = self.skill.depth_db * share;
        let is_too_soon = time_us - self.last_us < LEAST_OF_PERIOD * period_us;
        if breathes(here.music, here.beat) || depth_db < LEAST_DB || is_too_soon {
            return None;
        }
        self.last_us = time_us;
        let cents = self.pulsing_cents(time_us - here.tone_us) + SCATTER_CENTS * pitch;
        let swing_cents = self.skill.swing_cents * share;
        pulse(time_us, depth_db, swing_cents, cents, choked < self.skill.choked_share)
    }

    /// Pitch after so long a tone with pulses, cents from the note.
    fn pulsing_cents(&self, for_us: f64) -> f64 {
        let drifted = self.skill.drift_cents_per_s * (for_us / 1e6).max(0.0);
        self.skill.straight_cents + drifted.min(self.skill.drift_cents)
    }

    /// Pitch of a tone without, as it is just now.
    pub(super) fn straight_cents(&mut self) -> f64 {
        self.skill.straight_cents + SCATTER_CENTS * self.dice.scatter()
    }
}

/// Rounded as a device rounds: to a tenth or less of what can be told.
fn pulse(time_us: f64, depth_db: f64, swing_cents: f64, cents: f64, choked: bool) -> Option<Pulse> {
    Some(Pulse {
        time_us: Micros::clamped(time_us.round())?,
        depth_db: Decibels::clamped(hundredths(depth_db))?,
        swing_cents: Cents::clamped(hundredths(swing_cents))?,
        mean_cents: Cents::clamped(hundredths(cents)),
        choked,
    })
}

pub(super) fn hundredths(x: f64) -> f64 {
    (x * 100.0).round() / 100.0
}

/// The next beat, or the next span where that comes first.
fn until_the_next(music: &Timeline, beat: f64) -> f64 {
    let on = (beat + NEARLY).floor() + 1.0;
    let next_span = music.span_index_at(beat + NEARLY * NEARLY).and_then(|i| music.span_start(i + 1));
    next_span.filter(|&start| start > beat).map_or(on, |start| start.min(on))
}

/// Whether everybody breathes: in the last beat of a phrase, but for the half of it in which the next tone begins.
pub(super) fn breathes(music: &Timeline, beat: f64) -> bool {
    let to_next = phrase_beats(music) - beat_in_phrase(music, beat.max(0.0));
    let is_long = music.span_at(beat).is_none_or(|span| span.length_beats.is_none_or(|l| l > four_beats()));
    is_long && to_next <= 1.0 && to_next > 0.25
}

fn four_beats() -> Beats {
    Beats::clamped(4.0).expect("a number")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented::cast::BEGINNER;
    use windrow_protocol::score::{Score, TickFrom};
    use windrow_protocol::units::Bpm;

    const STEADY: Skill = Skill { ceiling_hz: 4.5, scatter_ms: 15.0, late_ms: 20.0, ..BEGINNER };

    fn music(bpm: f64, spans: &[(u8, f64)]) -> Timeline {
        let span = |&(per_beat, beats): &(u8, f64)| {
            let target = match per_beat {
                0 => Target::Straight,
                n => Target::Pulses { per_beat: PerBeat::new(n).unwrap() },
            };
            Span::new(Bpm::new(bpm).unwrap(), target).lasting(Beats::new(beats).unwrap())
        };
        let (start_us, spans) = (Micros::new(0.0).unwrap(), spans.iter().map(span).collect());
        Timeline::new(Score { version: 1, start_us, beats_per_bar: 4, tick: TickFrom::Nobody, spans })
            .unwrap()
    }

    fn played(skill: Skill, music: &Timeline) -> Vec<Pulse> {
        let mut playing = Playing::new(skill, Dice::new(7));
        playing.begin(music, 0.0);
        let mut all = Vec::new();
        for step in 1..4000 {
            all.extend(playing.play(music, f64::from(step) * 1e5, 0.0));
        }
        all
    }

    #[test]
    fn who_can_keep_with_the_ticks_is_late_and_scattered_as_made() {
        // Triplets at 72 are 3.6 a second; forty bars, of which everybody breathes in one beat of twelve bars.
        let music = music(72.0, &[(3, 160.0)]);
        let pulses = played(STEADY, &music);
        let offsets: Vec<f64> =
            pulses.iter().filter_map(|p| music.nearest_tick(p.time_us.get())).map(|t| t.offset_ms).collect();
        assert!((465..=480).contains(&offsets.len()), "{}", offsets.len());
        let n = offsets.len() as f64;
        let mean = offsets.iter().sum::<f64>() / n;
        let deviation = (offsets.iter().map(|o| (o - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
        // Correlated by a half, 470 pulses are worth a third as many: four standard errors are 4.8 ms and 3.4 ms.
        assert!((mean - 20.0).abs() < 4.8 && (deviation - 15.0).abs() < 3.4, "{mean} {deviation}");
    }

    #[test]
    fn what_is_too_fast_is_played_by_ones_own_measure() {
        // Sixteenths at 80 are 5.33 a second; the player comes to 4.5 + 0.3 * 0.83 = 4.75.
        let pulses = played(STEADY, &music(80.0, &[(4, 40.0)]));
        let seconds = (pulses[pulses.len() - 1].time_us.get() - pulses[0].time_us.get()) / 1e6;
        let rate_hz = (pulses.len() - 1) as f64 / seconds;
        assert!((rate_hz / 4.75 - 1.0).abs() < 0.02, "{rate_hz}");
    }

    #[test]
    fn a_straight_tone_has_no_pulses_and_the_next_span_begins_on_its_first_tick() {
        let pulses =
            played(Skill { scatter_ms: 0.0, late_ms: 0.0, ..STEADY }, &music(60.0, &[(0, 6.5), (2, 8.0)]));
        let times: Vec<f64> = pulses.iter().map(|p| p.time_us.get() / 1e6).collect();
        assert_eq!(times, (0..16).map(|i| 6.5 + 0.5 * f64::from(i)).collect::<Vec<_>>());
    }
}
