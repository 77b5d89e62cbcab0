//! A conductor who watches the pictures of one room, starts the music and changes its tempo at moments of a seed. Each tempo is
//! one that no other change of the room has, so that a score tells which change it brings.

use super::pace::{Pace, Stage};
use super::performer::{FIRST_SWING_CENTS, MARKERS, hundredths};
use super::place::Place;
use super::socket::{Socket, open};
use super::traffic::{Traffic, kind_of};
use crate::shared_beat::dice::Dice;
use futures_util::{SinkExt, StreamExt};
use serde::de::IgnoredAny;
use serde::{Deserialize, Deserializer};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, sleep_until};
use tokio_tungstenite::tungstenite::{Message, Utf8Bytes};
use windrow::player::Timekeeper;
use windrow_protocol::messages::{ClockAsk, ConductorSays, Moment};
use windrow_protocol::units::Bpm;

/// Between two changes of the tempo, from and to: as often as somebody who looks for one. Our own choice.
const NEXT_CHANGE_S: (f64, f64) = (2.0, 4.0);
/// The tempos that changes alternate between; each change adds a hundredth to one of them.
const TEMPOS_BPM: [f64; 2] = [66.0, 72.0];
/// Pictures that are kept for the relay: enough for a middle one.
const SAMPLES: usize = 64;
/// Sixteenths of the warm-up that a room begins with.
const SIXTEENTHS: u16 = 5;

/// What became of one conductor.
#[derive(Debug, Default)]
pub(super) struct ConductorTaken {
    /// Tempos in hundredths, and when each was to be sent.
    pub(super) changes: Vec<(u32, Instant)>,
    /// By chair: when a picture first showed another marker than the one before.
    pub(super) shown: BTreeMap<u16, Vec<(u32, Instant)>>,
    /// A picture from before the music, and some of those that are measured.
    pub(super) silent_picture: Utf8Bytes,
    pub(super) pictures: Vec<Utf8Bytes>,
    pub(super) heard: Traffic,
    pub(super) n_said: u64,
    /// Commands that could not be carried out.
    pub(super) n_cannot: u64,
    /// Whether the connection stood to the end.
    pub(super) stayed: bool,
}

/// As much of a picture as this conductor looks at: of a whole one, or of what is different since the one before.
#[derive(Debug, Deserialize)]
struct Picture {
    /// Absent where it is the same, null where there is none.
    #[serde(default, deserialize_with = "told")]
    score: Option<Option<IgnoredAny>>,
    /// Everybody.
    #[serde(default)]
    lanes: Option<Vec<LaneSeen>>,
    /// Or those about whom something is different.
    #[serde(default)]
    changed: Vec<LaneChanged>,
}

#[derive(Debug, Deserialize)]
struct LaneSeen {
    chair: u16,
    swing_cents_pp: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct LaneChanged {
    /// Among everybody, from 0.
    place: usize,
    #[serde(default)]
    swing_cents_pp: Option<f64>,
}

fn told<'de, D: Deserializer<'de>, T: Deserialize<'de>>(reader: D) -> Result<Option<T>, D::Error> {
    T::deserialize(reader).map(Some)
}

/// A conductor of a run.
pub(super) struct LightConductor {
    pace: Arc<Pace>,
    dice: Dice,
    is_at_relay: bool,
    has_music: bool,
    /// Chairs in the order of the last whole picture.
    chairs: Vec<u16>,
    last_shown: BTreeMap<u16, u32>,
    taken: ConductorTaken,
}

impl LightConductor {
    pub(super) fn new(pace: Arc<Pace>, is_at_relay: bool, room: usize, seed: u64) -> Self {
        let dice = Dice::new(seed.wrapping_mul(7919).wrapping_add(room as u64));
        let (last_shown, taken) = (BTreeMap::new(), ConductorTaken::default());
        Self { pace, dice, is_at_relay, has_music: is_at_relay, chairs: Vec::new(), last_shown, taken }
    }

    /// Leads a room until the run is over.
    pub(super) async fn run(mut self, place: Arc<Place>, room: usize) -> ConductorTaken {
        if let Some(mut socket) = open(&place, &place.rooms[room].conductor_path).await {
            self.taken.stayed = self.lead(&mut socket).await.is_some();
            // Whether the other end hears it does not matter.
            let _ = socket.close(None).await;
        }
        self.taken
    }

    /// Nothing where the connection broke.
    async fn lead(&mut self, socket: &mut Socket) -> Option<()> {
        let mut stages = self.pace.stages();
        self.say(socket, &ConductorSays::Changes).await?;
        let mut n_asked = 0;
        let mut ask_at = Instant::now();
        // Far away until there is music.
        let mut change_at = Instant::now() + Duration::from_secs(86_400);
        let mut to = change_at;
        loop {
            tokio::select! {
                heard = socket.next() => match heard {
                    Some(Ok(Message::Text(text))) => self.take(&text),
                    Some(Ok(Message::Close(_)) | Err(_)) | None => return None,
                    Some(Ok(_)) => {}
                },
                () = sleep_until(ask_at) => {
                    n_asked += 1;
                    ask_at += Timekeeper::pause_after(n_asked);
                    let t1_us = self.pace.us_at(Instant::now());
                    self.say(socket, &ConductorSays::Clock(ClockAsk { id: n_asked, t1_us })).await?;
                }
                () = sleep_until(change_at) => {
                    let at = change_at;
                    change_at += self.pause();
                    if at < to {
                        self.change(socket, at).await?;
                    }
                }
                _ = stages.changed() => {
                    let stage = *stages.borrow_and_update();
                    match stage {
                        Stage::Joining => {}
                        Stage::Playing { from, to: until } => {
                            self.begin(socket).await?;
                            change_at = from + self.pause().mul_f64(self.dice.throw());
                            to = until;
                        }
                        Stage::Ending { .. } => {
                            self.say(socket, &ConductorSays::Stop { at: Moment::Now }).await?;
                        }
                        Stage::Over => return Some(()),
                    }
                }
            }
        }
    }

    fn pause(&mut self) -> Duration {
        let (from_s, to_s) = NEXT_CHANGE_S;
        Duration::from_secs_f64(from_s + (to_s - from_s) * self.dice.throw())
    }

    async fn begin(&mut self, socket: &mut Socket) -> Option<()> {
        self.say(socket, &ConductorSays::Choose { exercise: SIXTEENTHS, at: Moment::Now }).await?;
        self.say(socket, &set_tempo(TEMPOS_BPM[0], Moment::Now)).await?;
        // A tempo changed while counting in would count in anew.
        self.say(socket, &ConductorSays::SetCountIn { bars: 0 }).await?;
        self.say(socket, &ConductorSays::Start).await
    }

    async fn change(&mut self, socket: &mut Socket, at: Instant) -> Option<()> {
        if !self.has_music {
            return self.say(socket, &ConductorSays::Start).await;
        }
        let n = self.taken.changes.len() + 1;
        let bpm = TEMPOS_BPM[n % 2] + 0.01 * (n / 2 + 1) as f64;
        let bpm = (100.0 * bpm).round() / 100.0;
        self.taken.changes.push((hundredths(bpm), at));
        self.say(socket, &set_tempo(bpm, Moment::Beat)).await
    }

    async fn say(&mut self, socket: &mut Socket, command: &ConductorSays) -> Option<()> {
        self.taken.n_said += 1;
        let text = serde_json::to_string(command).expect("messages become JSON");
        socket.send(Message::text(text)).await.ok()
    }

    fn take(&mut self, text: &Utf8Bytes) {
        let at = Instant::now();
        match kind_of(text) {
            "room" | "room-change" => {
                self.taken.heard.count("picture", text);
                match self.pace.stage() {
                    Stage::Joining => self.taken.silent_picture = text.clone(),
                    Stage::Playing { from, .. } if from <= at && self.taken.pictures.len() < SAMPLES => {
                        self.taken.pictures.push(text.clone());
                    }
                    _ => {}
                }
                if let Ok(picture) = serde_json::from_str::<Picture>(text) {
                    self.look(picture, at);
                }
            }
            "cannot-do" => self.taken.n_cannot += 1,
            "clock" => self.taken.heard.count("clock", text),
            _ => self.taken.heard.count("other", text),
        }
    }

    fn look(&mut self, picture: Picture, at: Instant) {
        if let (Some(score), false) = (&picture.score, self.is_at_relay) {
            self.has_music = score.is_some();
        }
        if let Some(lanes) = picture.lanes {
            self.chairs = lanes.iter().map(|lane| lane.chair).collect();
            for lane in lanes {
                self.see(lane.chair, lane.swing_cents_pp, at);
            }
        }
        for lane in picture.changed {
            if let Some(&chair) = self.chairs.get(lane.place) {
                self.see(chair, lane.swing_cents_pp, at);
            }
        }
    }

    fn see(&mut self, chair: u16, swing_cents: Option<f64>, at: Instant) {
        let Some(swing_cents) = swing_cents else { return };
        let marker = (swing_cents - FIRST_SWING_CENTS).round();
        if (0.0..f64::from(MARKERS)).contains(&marker) {
            let marker = marker as u32;
            if self.last_shown.insert(chair, marker) != Some(marker) {
                self.taken.shown.entry(chair).or_default().push((marker, at));
            }
        }
    }
}

fn set_tempo(bpm: f64, at: Moment) -> ConductorSays {
    ConductorSays::SetTempo { bpm: Bpm::new(bpm).expect("a tempo"), at }
}
