//! A light player on its socket: comes at its moment, speaks at its moments, comes back when the connection breaks. What it says is
//! the performer's.

use super::pace::{Pace, Stage};
use super::performer::{Performer, encoded};
use super::place::Place;
use super::socket::{Socket, open};
use super::traffic::{Traffic, kind_of};
use crate::hello;
use crate::shared_beat::dice::Dice;
use futures_util::{SinkExt, StreamExt};
use std::collections::BTreeMap;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, sleep, sleep_until, timeout_at};
use tokio_tungstenite::tungstenite::{Message, Utf8Bytes};
use windrow::player::Timekeeper;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ClockAnswer, ClockAsk, Hello, PlayerHears, PlayerSays};

/// Ten readings a second, as the listener makes them (`web/src/listener.rs`: one for every second of twenty). Pulses that have become
/// certain since are told in the same look.
const LOOKS_EVERY: Duration = Duration::from_millis(100);
/// First and longest pause before another try, as on the page (`web/static/room-socket.js`).
const FIRST_RETRY: Duration = Duration::from_millis(400);
const LONGEST_RETRY: Duration = Duration::from_secs(8);
/// The listener tells of a span a second and a half after its end, and so does the modelled device of the last one.
const LAST_RESULT_AFTER: Duration = Duration::from_secs(2);
/// Whose scores are kept for the relay.
const SAMPLED: u32 = 0;

/// What became of one player.
#[derive(Debug)]
pub(super) struct PlayerTaken {
    pub(super) room: usize,
    pub(super) performer: Performer,
    /// Given by the first welcome.
    pub(super) token: String,
    /// From the moment at which it was to connect until its welcome, ms.
    pub(super) join_ms: Option<f64>,
    pub(super) heard: Traffic,
    /// Clock questions, in and out.
    pub(super) n_asks: u64,
    /// Scores in the order in which they came, of one player alone.
    pub(super) scores: Vec<Utf8Bytes>,
    /// How late this program itself was with each look, ms.
    pub(super) late_ms: Vec<f64>,
    /// Connections that broke, and refusals and closes of the server by reason.
    pub(super) n_broken: u32,
    pub(super) refusals: BTreeMap<String, u32>,
}

/// How a connection ended.
#[derive(Debug, PartialEq)]
enum Ended {
    Over,
    Broken,
}

/// A player of a run.
pub(super) struct LightPlayer {
    place: Arc<Place>,
    pace: Arc<Pace>,
    number: u32,
    hello: Hello,
    joins_at: Instant,
    /// Where this player's looks lie between those of others.
    first_look: Instant,
    taken: PlayerTaken,
}

impl LightPlayer {
    pub(super) fn new(place: Arc<Place>, pace: Arc<Pace>, number: u32, seed: u64, joins_at: Instant) -> Self {
        let seed = seed.wrapping_mul(1_000_003).wrapping_add(u64::from(number));
        let room = number as usize % place.rooms.len();
        let instruments = Instrument::ALL;
        let instrument = instruments[(number as usize / place.rooms.len()) % instruments.len()];
        let hello = hello(&place.rooms[room].code, &format!("Player {number}"), instrument);
        let first_look = pace.nought + LOOKS_EVERY.mul_f64(Dice::new(seed).throw());
        let taken = PlayerTaken {
            room,
            performer: Performer::new(seed, place.is_relay),
            token: String::new(),
            join_ms: None,
            heard: Traffic::default(),
            n_asks: 0,
            scores: Vec::new(),
            late_ms: Vec::new(),
            n_broken: 0,
            refusals: BTreeMap::new(),
        };
        Self { place, pace, number, hello, joins_at, first_look, taken }
    }

    /// Takes part until the run is over.
    pub(super) async fn run(mut self) -> PlayerTaken {
        sleep_until(self.joins_at).await;
        let mut pause = FIRST_RETRY;
        while self.take_part(&mut pause).await == Ended::Broken && !self.is_over(Instant::now()) {
            self.taken.n_broken += 1;
            sleep(pause).await;
            pause = (2 * pause).min(LONGEST_RETRY);
        }
        self.taken
    }

    /// Whether there is nothing left to say, or nobody waits for it any more.
    fn is_over(&self, now: Instant) -> bool {
        matches!(self.pace.stage(), Stage::Ending { by } if by <= now)
    }

    async fn take_part(&mut self, pause: &mut Duration) -> Ended {
        let room = &self.place.rooms[self.taken.room];
        let Some(mut socket) = open(&self.place, &room.player_path).await else { return Ended::Broken };
        let Some(()) = self.come_in(&mut socket).await else { return Ended::Broken };
        *pause = FIRST_RETRY;
        let mut n_asked = 0;
        let mut ask_at = Instant::now();
        let n_gone = ask_at.saturating_duration_since(self.first_look).as_millis() / LOOKS_EVERY.as_millis();
        let mut look_at = self.first_look + LOOKS_EVERY * u32::try_from(n_gone + 1).unwrap_or(u32::MAX);
        let mut leaves_at = None;
        let mut next = pin!(sleep_until(ask_at));
        loop {
            tokio::select! {
                heard = socket.next() => match heard {
                    Some(Ok(Message::Text(text))) => {
                        if self.take(text).is_none() {
                            return Ended::Broken;
                        }
                    }
                    Some(Ok(Message::Close(frame))) => {
                        let code = frame.map_or(0, |frame| u16::from(frame.code));
                        *self.taken.refusals.entry(format!("closed with {code}")).or_default() += 1;
                        return Ended::Broken;
                    }
                    Some(Err(_)) | None => return Ended::Broken,
                    Some(Ok(_)) => {}
                },
                () = &mut next => {
                    let now = Instant::now();
                    if ask_at <= now {
                        n_asked += 1;
                        ask_at += Timekeeper::pause_after(n_asked);
                        self.taken.n_asks += 1;
                        let ask = ClockAsk { id: n_asked, t1_us: self.pace.us_at(Instant::now()) };
                        if say(&mut socket, encoded(&PlayerSays::Clock(ask))).await.is_none() {
                            return Ended::Broken;
                        }
                    }
                    if look_at <= now {
                        if self.pace.measures(look_at) {
                            self.taken.late_ms.push((now - look_at).as_secs_f64() * 1e3);
                        }
                        for text in self.taken.performer.perform(look_at, self.pace.us_at(look_at)) {
                            if say(&mut socket, text).await.is_none() {
                                return Ended::Broken;
                            }
                        }
                        look_at += LOOKS_EVERY;
                        if matches!(self.pace.stage(), Stage::Ending { .. }) {
                            let leaves_at = *leaves_at.get_or_insert(now + LAST_RESULT_AFTER);
                            let has_all = leaves_at <= now && self.taken.performer.all_is_safe();
                            if has_all || self.is_over(now) {
                                // Whether the other end hears it does not matter.
                                let _ = timeout_at(now + LAST_RESULT_AFTER, socket.close(None)).await;
                                return Ended::Over;
                            }
                        }
                    }
                    next.as_mut().reset(ask_at.min(look_at));
                }
            }
        }
    }

    /// Says hello and what follows a welcome.
    async fn come_in(&mut self, socket: &mut Socket) -> Option<()> {
        say(socket, encoded(&PlayerSays::Hello(self.hello.clone()))).await?;
        loop {
            let Message::Text(text) = socket.next().await?.ok()? else { continue };
            if kind_of(&text) != "welcome" {
                // Notices may come before.
                self.take(text)?;
                continue;
            }
            self.taken.heard.count("welcome", &text);
            let PlayerHears::Welcome(welcome) = serde_json::from_str(&text).ok()? else { return None };
            if self.taken.join_ms.is_none() {
                self.taken.join_ms = Some(self.joins_at.elapsed().as_secs_f64() * 1e3);
                self.taken.token.clone_from(&welcome.token);
                self.pace.came_in();
            }
            self.hello.token = Some(welcome.token.clone());
            for text in self.taken.performer.sit_down(welcome) {
                say(socket, text).await?;
            }
            return Some(());
        }
    }

    /// Takes a message; nothing where it is a refusal.
    fn take(&mut self, text: Utf8Bytes) -> Option<()> {
        let at = Instant::now();
        let kind = kind_of(&text);
        match kind {
            "ack" => {
                let seq = text.rsplit(':').next()?.trim_end_matches('}').parse().ok()?;
                self.taken.performer.acknowledge(seq);
                self.taken.heard.count("ack", &text);
            }
            "clock" => {
                let answer: ClockAnswer = serde_json::from_str(&text).ok()?;
                self.taken.performer.take_time(&answer, self.pace.us_at(at));
                self.taken.heard.count("clock", &text);
            }
            "score" => {
                self.taken.heard.count("score", &text);
                if self.number == SAMPLED {
                    self.taken.scores.push(text.clone());
                }
                self.taken.performer.take_score(at, text);
            }
            "you" => self.taken.heard.count("you", &text),
            "exercise" => self.taken.heard.count("exercise", &text),
            "refused" => {
                let refused: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
                let reason = refused["reason"].as_str().unwrap_or("unknown").to_owned();
                *self.taken.refusals.entry(reason).or_default() += 1;
                return None;
            }
            _ => self.taken.heard.count("other", &text),
        }
        Some(())
    }
}

async fn say(socket: &mut Socket, text: Utf8Bytes) -> Option<()> {
    socket.send(Message::Text(text)).await.ok()
}
