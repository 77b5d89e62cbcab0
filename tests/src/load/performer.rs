//! What a light player's device says and keeps: it is told the music and the time and knows no socket. No sound is made or heard; the
//! messages are those that a listener would make of what a player of known skill does (`windrow::invented`).

use super::traffic::{Traffic, last_bpm};
use crate::shared_beat::dice::Dice;
use std::collections::VecDeque;
use std::time::Duration;
use tokio::time::Instant;
use tokio_tungstenite::tungstenite::Utf8Bytes;
use windrow::invented::{ModelledDevice, Skill};
use windrow_protocol::messages::{ClockAnswer, Hearing, PlayerHears, PlayerSays, Reading, Welcome};
use windrow_protocol::score::{PerBeat, Score, Span, Target};
use windrow_protocol::units::{Bpm, Cents, Micros};

/// Readings that carry one marker: a second's worth, so that five pictures could show it.
const READINGS_PER_MARKER: u32 = 10;
/// A marker goes round in so many values, which is ten seconds: later than that nobody waits for it.
pub(super) const MARKERS: u32 = 10;
/// The swing of the first marker, cents; none is large enough to change a verdict (led by the jaw is from 30 cents on).
pub(super) const FIRST_SWING_CENTS: f64 = 10.0;
/// A marker counts if so many readings in a row had it: what the room takes out of its picture by its rules, such as a rate that
/// is not trusted any more, is no delay.
const STANDS_FOR_READINGS: u32 = 4;

/// A value in a player's readings that a picture shows.
#[derive(Debug, Clone, Copy)]
pub(super) struct Marker {
    /// From 0 to [`MARKERS`].
    pub(super) value: u32,
    /// When the first reading with it was to be sent.
    pub(super) since: Instant,
    n_readings: u32,
}

/// A message that is kept until it is acknowledged.
#[derive(Debug, Clone, Copy)]
pub(super) struct Numbered {
    pub(super) seq: u32,
    /// Of a batch; nothing of a span's result.
    pub(super) n_pulses: Option<u32>,
}

/// A player's device.
#[derive(Debug)]
pub(super) struct Performer {
    device: ModelledDevice,
    is_at_relay: bool,
    chair: u16,
    /// Server time less the run's own, µs, and the delay of the exchange it is from.
    offset_us: f64,
    least_delay_us: f64,
    outbox: VecDeque<(u32, Utf8Bytes)>,
    waiting_scores: Vec<(Instant, Utf8Bytes)>,
    plays: bool,
    marker: Option<Marker>,
    n_markers: u32,
    pub(super) markers: Vec<Marker>,
    /// Tempos of scores that came, in hundredths, and when.
    pub(super) tempos: Vec<(u32, Instant)>,
    pub(super) numbered: Vec<Numbered>,
    pub(super) acknowledged: u32,
    pub(super) said: Traffic,
}

impl Performer {
    pub(super) fn new(seed: u64, is_at_relay: bool) -> Self {
        let mut dice = Dice::new(seed);
        let device = ModelledDevice::new(skill(&mut dice), seed);
        Self {
            device,
            is_at_relay,
            chair: 0,
            offset_us: 0.0,
            least_delay_us: f64::INFINITY,
            outbox: VecDeque::new(),
            waiting_scores: Vec::new(),
            plays: false,
            marker: None,
            n_markers: 0,
            markers: Vec::new(),
            tempos: Vec::new(),
            numbered: Vec::new(),
            acknowledged: 0,
            said: Traffic::default(),
        }
    }

    pub(super) fn chair(&self) -> u16 {
        self.chair
    }

    /// Takes a chair and gives what is to be said then.
    pub(super) fn sit_down(&mut self, welcome: Welcome) -> Vec<Utf8Bytes> {
        self.chair = welcome.chair;
        self.acknowledge(welcome.acknowledged);
        self.least_delay_us = f64::INFINITY;
        self.device.take(PlayerHears::Welcome(welcome));
        let microphone = encoded(&ModelledDevice::microphone());
        self.said.count("microphone", &microphone);
        std::iter::once(microphone).chain(self.outbox.iter().map(|(_, text)| text.clone())).collect()
    }

    pub(super) fn acknowledge(&mut self, seq: u32) {
        self.acknowledged = self.acknowledged.max(seq);
        while self.outbox.front().is_some_and(|(first, _)| *first <= seq) {
            self.outbox.pop_front();
        }
    }

    /// Nothing waits to be acknowledged.
    pub(super) fn all_is_safe(&self) -> bool {
        self.outbox.is_empty()
    }

    /// A score came; it is read at the next look, so that those who are behind on this computer are not held up.
    pub(super) fn take_score(&mut self, at: Instant, text: Utf8Bytes) {
        self.waiting_scores.push((at, text));
    }

    /// An answer of the server's clock came, at a time of the run's own.
    pub(super) fn take_time(&mut self, answer: &ClockAnswer, t4_us: f64) {
        let delay_us = t4_us - answer.t1_us;
        if !self.is_at_relay && delay_us < self.least_delay_us {
            self.least_delay_us = delay_us;
            self.offset_us = answer.t3_us.get() - (answer.t1_us + delay_us / 2.0);
        }
    }

    /// Plays up to a moment, which is so late by the run's own clock, and gives what is to be said.
    pub(super) fn perform(&mut self, at: Instant, own_us: f64) -> Vec<Utf8Bytes> {
        let now_us = own_us + self.offset_us;
        self.read_scores(now_us);
        let mut texts = Vec::new();
        for mut message in self.device.hear(now_us) {
            let (kind, numbered) = match &mut message {
                PlayerSays::Reading(reading) => {
                    self.mark(reading, at);
                    ("reading", None)
                }
                PlayerSays::Pulses(batch) => {
                    let n_pulses = u32::try_from(batch.pulses.len()).ok();
                    ("pulses", Some(Numbered { seq: batch.seq, n_pulses }))
                }
                PlayerSays::SpanResult(result) => {
                    ("span-result", Some(Numbered { seq: result.seq, n_pulses: None }))
                }
                _ => ("other", None),
            };
            let text = encoded(&message);
            self.said.count(kind, &text);
            if let Some(numbered) = numbered {
                self.numbered.push(numbered);
                self.outbox.push_back((numbered.seq, text.clone()));
            }
            texts.push(text);
        }
        texts
    }

    fn read_scores(&mut self, now_us: f64) {
        for (at, text) in std::mem::take(&mut self.waiting_scores) {
            if let Some(bpm) = last_bpm(&text) {
                self.tempos.push((hundredths(bpm), at));
            }
            if self.is_at_relay {
                // It cannot tell of music, so everybody plays the same without end.
                if !std::mem::replace(&mut self.plays, true) {
                    self.device.take(PlayerHears::Score { score: Some(endless(now_us)) });
                }
            } else if let Ok(score) = serde_json::from_str(&text) {
                self.device.take(score);
            }
        }
    }

    fn mark(&mut self, reading: &mut Reading, at: Instant) {
        if !(reading.trusted && reading.hearing == Hearing::Pulsed) {
            self.end_marker();
            return;
        }
        if self.marker.is_some_and(|marker| marker.n_readings >= READINGS_PER_MARKER) {
            self.end_marker();
        }
        let n_markers = &mut self.n_markers;
        let marker = self.marker.get_or_insert_with(|| {
            *n_markers += 1;
            Marker { value: *n_markers % MARKERS, since: at, n_readings: 0 }
        });
        marker.n_readings += 1;
        reading.swing_cents_pp = Cents::new(FIRST_SWING_CENTS + f64::from(marker.value)).ok();
    }

    fn end_marker(&mut self) {
        let stood = self.marker.take().filter(|marker| marker.n_readings >= STANDS_FOR_READINGS);
        self.markers.extend(stood);
    }
}

pub(super) fn encoded(message: &PlayerSays) -> Utf8Bytes {
    serde_json::to_string(message).expect("messages become JSON").into()
}

/// A tempo as a whole number.
pub(super) fn hundredths(bpm: f64) -> u32 {
    (100.0 * bpm).round() as u32
}

/// Players of a class: most keep with sixteenths at 72 (4.8 a second), some do not, and they are early, late and shallow.
fn skill(dice: &mut Dice) -> Skill {
    Skill {
        ceiling_hz: 4.5 + 2.5 * dice.throw(),
        scatter_ms: 6.0 + 20.0 * dice.throw(),
        late_ms: -25.0 + 70.0 * dice.throw(),
        depth_db: 2.5 + 6.0 * dice.throw(),
        swing_cents: 12.0,
        choked_share: 0.1 * dice.throw(),
        straight_cents: 10.0 * (dice.throw() - 0.5),
        drift_cents_per_s: 0.5 * dice.throw(),
        drift_cents: 8.0 * dice.throw(),
    }
}

/// Sixteenths at 72 from now on.
fn endless(now_us: f64) -> Score {
    let per_beat = PerBeat::new(4).expect("sixteenths");
    let start_us = Micros::new(now_us + Duration::from_millis(500).as_secs_f64() * 1e6).expect("a time");
    let span = Span::new(Bpm::new(72.0).expect("a tempo"), Target::Pulses { per_beat });
    Score { version: 1, start_us, beats_per_bar: 4, tick: Default::default(), spans: vec![span] }
}
