//! A device that goes on over whatever happens to its server: it keeps what was not acknowledged, comes back as a page does, sends it
//! again, and notes for the look into the records what was acknowledged. It must know no SQL.

use crate::shared_beat::dice::Dice;
use crate::{Player, hello};
use std::collections::BTreeMap;
use std::time::Duration;
use tokio::time::{Instant, MissedTickBehavior, interval, timeout};
use windrow::invented::{ModelledDevice, Skill};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ClockAnswer, ClockAsk, Hello, PlayerHears, PlayerSays};
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
/// As in web/static/room-socket.js: between later exchanges, until a connection counts as dead, and before another try.
const EXCHANGE_EVERY: Duration = Duration::from_secs(1);
const SILENT: Duration = Duration::from_secs(9);
const FIRST_RETRY_MS: f64 = 400.0;
const LONGEST_RETRY_MS: f64 = 8000.0;

/// A device, and what it knows of its own records.
#[derive(Debug)]
pub(crate) struct Stand {
    name: String,
    pub(crate) token: Option<String>,
    device: ModelledDevice,
    /// Everything numbered that was ever said.
    pub(crate) said: BTreeMap<u32, PlayerSays>,
    pub(crate) acknowledged: u32,
    /// The first number of the present connection.
    pub(crate) first_of_server: u32,
    pub(crate) n_sent_again: u64,
    pub(crate) n_safe_without_word: u64,
    nought: Instant,
    /// Server clock minus that of the device, µs, and the delay of the exchange it is from.
    offset_us: f64,
    least_delay_us: f64,
    /// Server time when the server was heard last.
    pub(crate) gone_us: f64,
    /// When the first note of the present music was asked for, server time.
    pub(crate) playing_since_us: Option<f64>,
    /// Scores that came: each change of tempo is one.
    pub(crate) n_scores: u32,
    n_tries: i32,
    dice: Dice,
}

impl Stand {
    pub(crate) fn new(i: u16, seed: u64) -> Self {
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
            n_scores: 0,
            n_tries: 0,
            dice: Dice::new(seed.wrapping_mul(7919).wrapping_add(u64::from(i))),
        }
    }

    fn own_us(&self) -> f64 {
        self.nought.elapsed().as_secs_f64() * 1e6
    }

    /// How long a page waits before it tries again: half fixed, half by chance.
    pub(crate) fn pause(&mut self) -> Duration {
        let ceiling_ms = (FIRST_RETRY_MS * 2f64.powi(self.n_tries.min(10))).min(LONGEST_RETRY_MS);
        self.n_tries += 1;
        Duration::from_secs_f64(ceiling_ms / 2e3 * (1.0 + self.dice.throw()))
    }

    /// Comes in, with what is not known to be safe; none where that fails or takes too long.
    pub(crate) async fn come_in(&mut self, addr: &str, code: &str) -> Option<Player> {
        timeout(SILENT, self.try_to_come_in(addr, code)).await.ok()?
    }

    async fn try_to_come_in(&mut self, addr: &str, code: &str) -> Option<Player> {
        let hello = Hello { token: self.token.clone(), ..hello(code, &self.name, Instrument::Flute) };
        let mut player = Player::try_join_at(&format!("ws://{addr}/ws/player"), hello).await?;
        self.n_tries = 0;
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
        self.tell(&mut player, &ModelledDevice::microphone()).await?;
        let kept: Vec<PlayerSays> = self.said.range(self.first_of_server..).map(|(_, m)| m.clone()).collect();
        for message in &kept {
            self.n_sent_again += 1;
            self.tell(&mut player, message).await?;
        }
        for id in 1..=N_EXCHANGES {
            self.tell(&mut player, &PlayerSays::Clock(ClockAsk { id, t1_us: self.own_us() })).await?;
            loop {
                match player.next().await? {
                    PlayerHears::Clock(answer) => {
                        self.take_clock(&answer);
                        break;
                    }
                    other => self.take(other),
                }
            }
        }
        Some(player)
    }

    async fn tell(&self, player: &mut Player, message: &PlayerSays) -> Option<()> {
        player.try_say(message).await.then_some(())
    }

    fn take_clock(&mut self, answer: &ClockAnswer) {
        let delay_us = self.own_us() - answer.t1_us;
        let offset_us = answer.t3_us.get() - (answer.t1_us + delay_us / 2.0);
        // A clock that is off by more than any delay is another one, or stood still.
        if delay_us < self.least_delay_us || (offset_us - self.offset_us).abs() > delay_us + 1e6 {
            (self.least_delay_us, self.offset_us) = (delay_us, offset_us);
        }
    }

    fn take(&mut self, message: PlayerHears) {
        match message {
            PlayerHears::Ack { seq } => self.acknowledged = self.acknowledged.max(seq),
            PlayerHears::Clock(answer) => self.take_clock(&answer),
            PlayerHears::Score { score } => {
                self.n_scores += 1;
                self.playing_since_us = score.clone().and_then(first_note_us);
                self.device.take(PlayerHears::Score { score });
            }
            other => self.device.take(other),
        }
    }

    /// Plays until the server is gone, or says nothing for too long; `note` is told at each look how many messages are not safe.
    pub(crate) async fn play(&mut self, mut player: Player, note: impl Fn(usize) + Send + Sync) {
        let mut tick = interval(Duration::from_millis(100));
        tick.set_missed_tick_behavior(MissedTickBehavior::Skip);
        let (mut heard_at, mut asked_at) = (Instant::now(), Instant::now());
        let mut id = N_EXCHANGES;
        loop {
            tokio::select! {
                heard = player.next() => match heard {
                    Some(message) => {
                        heard_at = Instant::now();
                        self.gone_us = self.own_us() + self.offset_us;
                        self.take(message);
                    }
                    None => return,
                },
                _ = tick.tick() => {
                    if heard_at.elapsed() > SILENT {
                        return;
                    }
                    let now_us = self.own_us() + self.offset_us;
                    let mut said = self.device.hear(now_us);
                    let numbered = said.iter().filter_map(|m| Some((seq_of(m)?, m.clone())));
                    self.said.extend(numbered);
                    if asked_at.elapsed() > EXCHANGE_EVERY {
                        asked_at = Instant::now();
                        id += 1;
                        said.push(PlayerSays::Clock(ClockAsk { id, t1_us: self.own_us() }));
                    }
                    for message in &said {
                        // Where the server is gone the next look at the socket says so; one that stands still takes nothing.
                        if timeout(SILENT, player.try_say(message)).await.is_err() {
                            return;
                        }
                    }
                    note(self.n_unsafe());
                }
            }
        }
    }

    /// Goes on hearing its player without a server; what it hears waits.
    pub(crate) async fn play_alone(&mut self, how_long: Duration) {
        let until = Instant::now() + how_long;
        while Instant::now() < until {
            tokio::time::sleep(Duration::from_millis(100).min(until - Instant::now())).await;
            let said = self.device.hear(self.own_us() + self.offset_us);
            self.said.extend(said.into_iter().filter_map(|m| Some((seq_of(&m)?, m))));
        }
    }

    /// Comes in once more, and stays until all that was ever said is safe; whether it came to that.
    pub(crate) async fn hand_over(&mut self, addr: &str, code: &str) -> bool {
        for _ in 0..5 {
            let Some(mut player) = self.come_in(addr, code).await else { continue };
            while self.n_unsafe() > 0 {
                match timeout(SILENT, player.next()).await {
                    Ok(Some(message)) => self.take(message),
                    Ok(None) | Err(_) => break,
                }
            }
            if self.n_unsafe() == 0 {
                return true;
            }
        }
        false
    }

    pub(crate) fn n_unsafe(&self) -> usize {
        self.said.range(self.acknowledged + 1..).count()
    }

    fn acknowledged(&self) -> impl Iterator<Item = &PlayerSays> {
        self.said.range(..=self.acknowledged).map(|(_, message)| message)
    }

    pub(crate) fn n_pulses_acknowledged(&self) -> u64 {
        let n = |message: &PlayerSays| match message {
            PlayerSays::Pulses(batch) => batch.pulses.len() as u64,
            _ => 0,
        };
        self.acknowledged().map(n).sum()
    }

    pub(crate) fn n_spans_acknowledged(&self) -> u64 {
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
