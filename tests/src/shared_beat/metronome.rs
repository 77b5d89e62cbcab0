//! A device of the run: a clock of its own that is wrong, the native player's way of keeping the server's time, and for
//! each beat the moment at which it would sound it. It plays and hears nothing.

use futures_util::{SinkExt, StreamExt};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};
use tokio::net::TcpStream;
use tokio::time::{MissedTickBehavior, interval, sleep, sleep_until};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async_with_config};
use windrow::player::Timekeeper;
use windrow_protocol::clock::{ClockFilter, Exchange};
use windrow_protocol::messages::{ClockAnswer, ClockAsk, Hello, PlayerHears, PlayerSays};
use windrow_protocol::timeline::{TickKind, Timeline};

/// How often a device looks for beats to sound, and how far ahead, as a page does.
const LOOK_EVERY: Duration = Duration::from_millis(25);
const AHEAD_US: f64 = 150e3;
/// Between attempts to come back.
const RETRY_AFTER: Duration = Duration::from_millis(400);

/// One beat as one device would sound it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoundedBeat {
    /// Number of the beat in the score.
    pub beat: i64,
    /// When it was to sound, server µs.
    pub due_us: f64,
    /// How much later it would sound than that, ms; negative for earlier.
    pub late_ms: f64,
    /// The same for a device that trusts RFC 5905's filter of the last eight exchanges alone.
    pub late_by_filter_ms: f64,
}

/// What all devices of a run share.
#[derive(Debug, Clone)]
pub(super) struct Truth {
    /// The run's own clock, which devices' clocks are made from.
    pub(super) nought: Instant,
    /// Server time at `nought`, µs.
    pub(super) server_us: f64,
    pub(super) is_over: Arc<AtomicBool>,
    /// Devices that have had all quick exchanges.
    pub(super) n_ready: Arc<AtomicU32>,
}

impl Truth {
    pub(super) fn new(nought: Instant, server_us: f64) -> Self {
        let (is_over, n_ready) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU32::new(0)));
        Self { nought, server_us, is_over, n_ready }
    }

    pub(super) fn now_us(&self) -> f64 {
        self.nought.elapsed().as_secs_f64() * 1e6
    }
}

type Socket = WebSocketStream<MaybeTlsStream<TcpStream>>;

/// A device of a run.
pub(super) struct Metronome {
    url: String,
    hello: Hello,
    truth: Truth,
    /// This device's clock when the run's is nought, and what it gains.
    ahead_us: f64,
    gain: f64,
    keeper: Timekeeper,
    filter: ClockFilter,
    music: Option<Timeline>,
    /// SoundedBeat are looked for from this server time on.
    looked_to_us: f64,
    sounded: Vec<SoundedBeat>,
}

impl Metronome {
    pub(super) fn new(url: String, hello: Hello, truth: Truth, ahead_us: f64, gain: f64) -> Self {
        Self {
            url,
            hello,
            truth,
            ahead_us,
            gain,
            keeper: Timekeeper::new(),
            filter: ClockFilter::new(),
            music: None,
            looked_to_us: f64::NEG_INFINITY,
            sounded: Vec::new(),
        }
    }

    /// Keeps time until the run is over; comes back when the connection breaks.
    pub(super) async fn run(mut self) -> Vec<SoundedBeat> {
        while !self.truth.is_over.load(Ordering::Relaxed) {
            if let Ok((socket, _)) = connect_async_with_config(&self.url, None, true).await {
                self.take_part(socket).await;
            }
            let back = Instant::now() + RETRY_AFTER;
            while Instant::now() < back && !self.truth.is_over.load(Ordering::Relaxed) {
                self.look();
                sleep(LOOK_EVERY).await;
            }
        }
        self.sounded
    }

    async fn take_part(&mut self, mut socket: Socket) {
        if say(&mut socket, &PlayerSays::Hello(self.hello.clone())).await.is_err() {
            return;
        }
        let mut looks = interval(LOOK_EVERY);
        looks.set_missed_tick_behavior(MissedTickBehavior::Skip);
        let mut n_asked = 0;
        let mut ask_at = tokio::time::Instant::now();
        let mut is_welcome = false;
        while !self.truth.is_over.load(Ordering::Relaxed) {
            tokio::select! {
                heard = socket.next() => match heard {
                    Some(Ok(Message::Text(text))) => is_welcome |= self.take(&text),
                    Some(Ok(_)) => {}
                    Some(Err(_)) | None => return,
                },
                () = sleep_until(ask_at), if is_welcome => {
                    n_asked += 1;
                    ask_at = tokio::time::Instant::now() + Timekeeper::pause_after(n_asked);
                    let ask = ClockAsk { id: n_asked, t1_us: self.now_us() };
                    if say(&mut socket, &PlayerSays::Clock(ask)).await.is_err() {
                        return;
                    }
                }
                _ = looks.tick() => self.look(),
            }
        }
        let _ = socket.close(None).await;
    }

    /// Whether it was the welcome.
    fn take(&mut self, text: &str) -> bool {
        let t4_us = self.now_us();
        match serde_json::from_str(text).expect("the server's messages can be read") {
            PlayerHears::Welcome(welcome) => {
                self.hello.token = Some(welcome.token);
                self.music = welcome.score.and_then(|score| Timeline::new(score).ok());
                return true;
            }
            PlayerHears::Score { score } => self.music = score.and_then(|score| Timeline::new(score).ok()),
            PlayerHears::Clock(answer) => self.take_time(&answer, t4_us),
            PlayerHears::Refused(refused) => panic!("a device was refused: {:?}", refused.text),
            _ => {}
        }
        false
    }

    fn take_time(&mut self, answer: &ClockAnswer, t4_us: f64) {
        let n_before = self.keeper.clock().n_exchanges();
        self.keeper.take(answer, t4_us, self.music.is_some());
        let (t1_us, t2_us, t3_us) = (answer.t1_us, answer.t2_us.get(), answer.t3_us.get());
        self.filter.add(Exchange { t1_us, t2_us, t3_us, t4_us });
        if n_before < 16 && self.keeper.clock().n_exchanges() >= 16 {
            self.truth.n_ready.fetch_add(1, Ordering::Relaxed);
        }
    }

    /// Decides for the beats ahead when to sound them.
    fn look(&mut self) {
        let now_us = self.now_us();
        let clock = self.keeper.clock();
        let (Some(music), Some(server_us)) = (&self.music, clock.server_us(now_us)) else { return };
        let from_us = self.looked_to_us.max(server_us);
        let to_us = server_us + AHEAD_US;
        for tick in music.ticks_between(from_us, to_us) {
            let due_us = tick.time_us;
            let (Some(at_us), Some(filter_us)) = (clock.device_us(due_us), self.filter.offset_us()) else {
                return;
            };
            if tick.kind != TickKind::Between {
                self.sounded.push(SoundedBeat {
                    beat: tick.beat.round() as i64,
                    due_us,
                    late_ms: (self.true_us(at_us) - due_us) / 1000.0,
                    late_by_filter_ms: (self.true_us(due_us - filter_us) - due_us) / 1000.0,
                });
            }
        }
        self.looked_to_us = self.looked_to_us.max(to_us);
    }

    /// This device's clock.
    fn now_us(&self) -> f64 {
        self.ahead_us + self.truth.now_us() * (1.0 + self.gain)
    }

    /// True server time of a moment of this device's clock.
    fn true_us(&self, device_us: f64) -> f64 {
        self.truth.server_us + (device_us - self.ahead_us) / (1.0 + self.gain)
    }
}

async fn say(socket: &mut Socket, message: &PlayerSays) -> Result<(), ()> {
    let text = serde_json::to_string(message).expect("messages become JSON");
    socket.send(Message::text(text)).await.map_err(|_| ())
}
