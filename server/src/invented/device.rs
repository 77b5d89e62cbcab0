//! A device that makes no sound and hears none: it says, message by message, what a device would say of a player whose skill is known.
//! It takes what the room says like any other. It must know no rule of a rehearsal.

use super::dice::Dice;
use super::hearing::{Sounding, reading};
use super::playing::{Playing, breathes};
use super::skill::Skill;
use super::tally::Tally;
use crate::player::{Asked, Follows};
use std::collections::BTreeMap;
use windrow_protocol::messages::{
    Hearing, MicrophoneReport, MicrophoneStatus, PlayerHears, PlayerSays, Pulse, PulseBatch,
};
use windrow_protocol::score::{Score, Target};
use windrow_protocol::timeline::Timeline;

/// A pulse becomes certain after the valley that follows it, so much later (our own measurement of the analysis).
const CERTAIN_AFTER_US: f64 = 0.35e6;
/// A span's result is made so long after its end, as by the listener.
const SPAN_CERTAIN_AFTER_US: f64 = 1.5e6;
/// Pulses are looked back on for so long.
const REMEMBERED_US: f64 = 6e6;
/// A straight tone is a reference after this.
const REFERENCE_AFTER_US: f64 = 1e6;
/// Sample rate that such a device claims to have.
const SAMPLE_RATE_HZ: f64 = 48_000.0;

/// A player and the device.
#[derive(Debug, Clone)]
pub struct ModelledDevice {
    playing: Playing,
    chair: u16,
    /// As the room sent it.
    score: Option<Score>,
    /// With this player's notes.
    music: Option<Timeline>,
    heard_us: f64,
    tone_us: Option<f64>,
    straight_reference_cents: Option<f64>,
    /// The last ones, in order, and how many of them have been said.
    pulses: Vec<Pulse>,
    n_said: usize,
    /// Spans that are gathered, and from which on.
    spans: BTreeMap<usize, Tally>,
    first_span: usize,
    /// What is to be said of a music that has been replaced.
    replaced: Vec<(usize, Tally, Timeline)>,
    next_seq: u32,
    next_reading_seq: u32,
}

impl ModelledDevice {
    /// Of a player who can do so much; the number decides how it scatters.
    #[must_use]
    pub fn new(skill: Skill, seed: u64) -> Self {
        Self {
            playing: Playing::new(skill, Dice::new(seed)),
            chair: 0,
            score: None,
            music: None,
            heard_us: 0.0,
            tone_us: None,
            straight_reference_cents: None,
            pulses: Vec::new(),
            n_said: 0,
            spans: BTreeMap::new(),
            first_span: 0,
            replaced: Vec::new(),
            next_seq: 1,
            next_reading_seq: 1,
        }
    }

    /// What it says of its microphone once it has a chair.
    #[must_use]
    pub fn microphone() -> PlayerSays {
        PlayerSays::Microphone(MicrophoneReport {
            status: MicrophoneStatus::Listening,
            sample_rate_hz: Some(SAMPLE_RATE_HZ),
            still_on: Vec::new(),
        })
    }

    /// How its player plays.
    #[must_use]
    pub fn skill(&self) -> &Skill {
        self.playing.skill()
    }

    /// Takes what the room says.
    pub fn take(&mut self, message: PlayerHears) {
        match message {
            PlayerHears::Welcome(welcome) => {
                self.chair = welcome.chair;
                self.next_seq = self.next_seq.max(welcome.acknowledged.saturating_add(1));
                self.set_score(welcome.score);
            }
            PlayerHears::Score { score } => self.set_score(score),
            PlayerHears::Seat(seat) => {
                self.chair = seat.chair;
                self.set_score(self.score.clone());
            }
            // Nobody looks at it, and its clock is the server's.
            PlayerHears::Ack { .. }
            | PlayerHears::Clock(_)
            | PlayerHears::Exercise(_)
            | PlayerHears::Notice { .. }
            | PlayerHears::Refused(_)
            | PlayerHears::You(_) => {}
        }
    }

    fn set_score(&mut self, mut score: Option<Score>) {
        self.score = score.clone();
        for span in score.iter_mut().flat_map(|score| &mut score.spans) {
            *span = span.for_chair(self.chair);
        }
        let music = score.and_then(|score| Timeline::new(score).ok());
        let goes_on = match (&self.music, &music) {
            (Some(old), Some(new)) => old.score().start_us == new.score().start_us,
            _ => false,
        };
        if !goes_on {
            self.first_span = 0;
            if let Some(old) = &self.music {
                let spans = std::mem::take(&mut self.spans);
                self.replaced.extend(spans.into_iter().map(|(idx, tally)| (idx, tally, old.clone())));
            }
        }
        if let Some(music) = &music {
            match goes_on {
                true => self.playing.go_on(music, self.heard_us),
                false => self.playing.begin(music, self.heard_us),
            }
        }
        self.music = music;
    }

    /// Whether there is music to be heard, or something still to be said of it.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        self.music.is_some() || !self.replaced.is_empty() || self.n_said < self.pulses.len()
    }

    /// Plays and hears up to a server time, and gives what there is to say of it.
    pub fn hear(&mut self, now_us: f64) -> Vec<PlayerSays> {
        let mut says = Vec::new();
        self.follow_the_tone(now_us);
        if let Some(music) = &self.music {
            let tone_us = self.tone_us.unwrap_or(now_us);
            self.pulses.extend(self.playing.play(music, now_us, tone_us));
        }
        self.heard_us = now_us;
        self.say_pulses(now_us, &mut says);
        self.say_reading(now_us, &mut says);
        self.end_spans(now_us, &mut says);
        says
    }

    fn follow_the_tone(&mut self, now_us: f64) {
        let music = self.music.as_ref();
        let sounds = music.is_some_and(|music| {
            let beat = music.beat_at(now_us);
            music.span_at(beat).is_some_and(|span| span.target.sounds()) && !breathes(music, beat)
        });
        self.tone_us = match (sounds, self.tone_us) {
            // It began somewhere since the last look; where it was begun matters to a tenth of a second at most.
            (true, None) => Some(self.heard_us),
            (true, since) => since,
            (false, _) => None,
        };
    }

    fn say_pulses(&mut self, now_us: f64, says: &mut Vec<PlayerSays>) {
        let is_certain = |p: &&Pulse| p.time_us.get() <= now_us - CERTAIN_AFTER_US;
        let new: Vec<Pulse> = self.pulses[self.n_said..].iter().take_while(is_certain).copied().collect();
        self.n_said += new.len();
        if let Some(music) = &self.music {
            for pulse in &new {
                let span = music.span_of_pulse(pulse.time_us.get()).filter(|&i| i >= self.first_span);
                if let Some(span) = span.filter(|&i| music.score().spans[i].target.sounds()) {
                    self.spans.entry(span).or_default().pulses.push(*pulse);
                }
            }
        }
        for batch in new.chunks(PulseBatch::MAX) {
            let seq = self.take_seq();
            says.push(PlayerSays::Pulses(PulseBatch { seq, pulses: batch.to_vec() }));
        }
        let n_old = self.pulses[..self.n_said]
            .iter()
            .take_while(|p| p.time_us.get() < now_us - REMEMBERED_US)
            .count();
        self.pulses.drain(..n_old);
        self.n_said -= n_old;
    }

    fn say_reading(&mut self, now_us: f64, says: &mut Vec<PlayerSays>) {
        let music = self.music.as_ref();
        let asked = music.map(|music| Asked::at(music, music.beat_at(now_us)));
        let span = asked.and_then(|asked| asked.span);
        let cents = self.playing.straight_cents();
        let vibrato = asked.map_or(0.0, |asked| asked.vibrato(Follows::TheMusic));
        let sounding = Sounding {
            tone_us: self.tone_us,
            note: span.and_then(|span| span.note),
            cents,
            louder_db: asked.map_or(0.0, |asked| asked.level_db()),
            wants_pulses: vibrato > 0.0
                && span.is_some_and(|s| matches!(s.target, Target::Pulses { .. } | Target::Free)),
            straight_reference_cents: self.straight_reference_cents,
        };
        let Some(said) = reading(self.next_reading_seq, now_us, &sounding, &self.pulses[..self.n_said])
        else {
            return;
        };
        self.next_reading_seq += 1;
        if said.hearing == Hearing::Straight && now_us - self.tone_us.unwrap_or(now_us) >= REFERENCE_AFTER_US
        {
            self.straight_reference_cents = Some(self.skill().straight_cents);
        }
        let here = music.and_then(|music| music.span_index_at(music.beat_at(now_us)));
        let is_asked = span.is_some_and(|span| span.target.sounds());
        if let Some(idx) = here.filter(|&i| is_asked && i >= self.first_span) {
            let tally = self.spans.entry(idx).or_default();
            tally.cents.extend(said.cents.filter(|_| said.trusted).map(f64::from));
        }
        says.push(PlayerSays::Reading(said));
    }

    fn end_spans(&mut self, now_us: f64, says: &mut Vec<PlayerSays>) {
        for (idx, tally, music) in std::mem::take(&mut self.replaced) {
            let seq = self.take_seq();
            says.push(PlayerSays::SpanResult(tally.result(seq, idx, &music)));
        }
        while let (Some(music), Some((&idx, _))) = (&self.music, self.spans.first_key_value()) {
            let end = music.span_start(idx + 1).or(music.end_beat());
            if end.is_none_or(|beat| now_us <= music.time_of(beat) + SPAN_CERTAIN_AFTER_US) {
                break;
            }
            let result = self.spans[&idx].result(self.next_seq, idx, music);
            self.spans.remove(&idx);
            self.first_span = idx + 1;
            self.take_seq();
            says.push(PlayerSays::SpanResult(result));
        }
    }

    fn take_seq(&mut self) -> u32 {
        self.next_seq += 1;
        self.next_seq - 1
    }
}
