//! A device that goes on over the death of a server: it keeps what was not acknowledged, sends it again, and notes for the look
//! into the records what was. It must know no SQL.

use crate::{Player, hello};
use std::collections::BTreeMap;
use std::time::Duration;
use tokio::time::{Instant, MissedTickBehavior, interval};
use windrow::invented::{ModelledDevice, Skill};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ClockAsk, Hello, PlayerHears, PlayerSays};
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;

/// Somebody who keeps with sixteenths at 72, 4.8 a second.
const SKILL: Skill = Skill {
    ceiling_hz: 6.0,
    scatter_ms: 12.0,
    late_ms: 5.0,
    depth_db: 6.5,
    swing_cents: 12.0,
    choked_share: 0.0,
    straight_cents: 0.0,
    drift_cents_per_s: 0.0,
    drift_cents: 0.0,
};
/// Exchanges of the clock after a welcome.
const N_EXCHANGES: u32 = 6;

/// A device, and what it knows of its own records.
#[derive(Debug)]
pub(super) struct Stand {
    name: String,
    pub(super) token: Option<String>,
    device: ModelledDevice,
    /// Everything numbered that was ever said.
    pub(super) said: BTreeMap<u32, PlayerSays>,
    pub(super) acknowledged: u32,
    /// The first number of the present server.
    pub(super) first_of_server: u32,
    pub(super) n_sent_again: u64,
    pub(super) n_safe_without_word: u64,
    nought: Instant,
    /// Server clock minus that of the device, µs, and the delay of the exchange it is from.
    offset_us: f64,
    least_delay_us: f64,
    /// Server time when the server was heard last.
    pub(super) gone_us: f64,
    /// When the first note of the present music was asked for, server time.
    pub(super) playing_since_us: Option<f64>,
}

impl Stand {
    pub(super) fn new(i: u16, seed: u64) -> Self {
        Self {
            name: format!("Stand {}", i + 1),
            token: None,
            device: ModelledDevice::new(SKILL, seed.wrapping_mul(1000) + u64::from(i)),
            said: BTreeMap::new(),
            acknowledged: 0,
            first_of_server: 1,
            n_sent_again: 0,
            n_safe_without_word: 0,
            nought: Instant::now(),
            offset_us: 0.0,
            least_delay_us: f64::INFINITY,
            gone_us: 0.0,
            playing_since_us: None,
        }
    }

    fn own_us(&self) -> f64 {
        self.nought.elapsed().as_secs_f64() * 1e6
    }

    /// Comes in, with what is not known to be safe.
    async fn come_in(&mut self, addr: &str, code: &str) -> Player {
        let hello = Hello { token: self.token.clone(), ..hello(code, &self.name, Instrument::Flute) };
        let mut player = Player::join_at(&format!("ws://{addr}/ws/player"), hello).await;
        let welcome = player.welcome.clone();
        self.token = Some(welcome.token.clone());
        if welcome.acknowledged > self.acknowledged {
            self.n_safe_without_word += u64::from(welcome.acknowledged - self.acknowledged);
            self.acknowledged = welcome.acknowledged;
        }
        self.first_of_server = self.acknowledged + 1;
        self.playing_since_us = None;
        self.least_delay_us = f64::INFINITY;
        self.device.take(PlayerHears::Welcome(welcome));
        player.say(&ModelledDevice::microphone()).await;
        for message in self.said.range(self.first_of_server..).map(|(_, message)| message) {
            self.n_sent_again += 1;
            player.say(message).await;
        }
        for id in 1..=N_EXCHANGES {
            player.say(&PlayerSays::Clock(ClockAsk { id, t1_us: self.own_us() })).await;
            loop {
                match player.next().await {
                    Some(PlayerHears::Clock(answer)) => {
                        self.take_clock(&answer);
                        break;
                    }
                    Some(other) => self.take(other),
                    None => return player,
                }
            }
        }
        player
    }

    fn take_clock(&mut self, answer: &windrow_protocol::messages::ClockAnswer) {
        let delay_us = self.own_us() - answer.t1_us;
        if delay_us < self.least_delay_us {
            self.least_delay_us = delay_us;
            self.offset_us = answer.t3_us.get() - (answer.t1_us + delay_us / 2.0);
        }
    }

    fn take(&mut self, message: PlayerHears) {
        match message {
            PlayerHears::Ack { seq } => self.acknowledged = self.acknowledged.max(seq),
            PlayerHears::Clock(answer) => self.take_clock(&answer),
            PlayerHears::Score { score } => {
                self.playing_since_us = score.clone().and_then(first_note_us);
                self.device.take(PlayerHears::Score { score });
            }
            other => self.device.take(other),
        }
    }

    /// Plays until the server is gone.
    pub(super) async fn play(&mut self, addr: &str, code: &str) {
        let mut player = self.come_in(addr, code).await;
        let mut tick = interval(Duration::from_millis(100));
        tick.set_missed_tick_behavior(MissedTickBehavior::Skip);
        loop {
            tokio::select! {
                heard = player.next() => match heard {
                    Some(message) => {
                        self.gone_us = self.own_us() + self.offset_us;
                        self.take(message);
                    }
                    None => return,
                },
                _ = tick.tick() => {
                    let now_us = self.own_us() + self.offset_us;
                    let said = self.device.hear(now_us);
                    let numbered = said.iter().filter_map(|m| Some((seq_of(m)?, m.clone())));
                    self.said.extend(numbered);
                    for message in &said {
                        // Where the server is gone the next look at the socket says so.
                        player.try_say(message).await;
                    }
                }
            }
        }
    }

    /// Comes in once more, and stays until all that was ever said is safe.
    pub(super) async fn hand_over(&mut self, addr: &str, code: &str) {
        let mut player = self.come_in(addr, code).await;
        let last = self.said.keys().next_back().copied().unwrap_or_default();
        while self.acknowledged < last {
            match player.next().await {
                Some(message) => self.take(message),
                None => return,
            }
        }
    }

    fn acknowledged(&self) -> impl Iterator<Item = &PlayerSays> {
        self.said.range(..=self.acknowledged).map(|(_, message)| message)
    }

    pub(super) fn n_pulses_acknowledged(&self) -> u64 {
        let n = |message: &PlayerSays| match message {
            PlayerSays::Pulses(batch) => batch.pulses.len() as u64,
            _ => 0,
        };
        self.acknowledged().map(n).sum()
    }

    pub(super) fn n_spans_acknowledged(&self) -> u64 {
        self.acknowledged().filter(|m| matches!(m, PlayerSays::SpanResult(_))).count() as u64
    }
}

fn seq_of(message: &PlayerSays) -> Option<u32> {
    match message {
        PlayerSays::Pulses(batch) => Some(batch.seq),
        PlayerSays::SpanResult(result) => Some(result.seq),
        _ => None,
    }
}

fn first_note_us(score: Score) -> Option<f64> {
    let music = Timeline::new(score).ok()?;
    let first = music.score().spans.iter().position(|span| span.target.sounds())?;
    music.span_start(first).map(|beat| music.time_of(beat))
}
