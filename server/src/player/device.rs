//! A device: hears its sound in real time, keeps the server's time, and tells the server what it heard. It must not know
//! what its sound is made of.

use super::connection::{Connection, ConnectionError};
use super::outbox::Outbox;
use super::timekeeper::Timekeeper;
use std::time::{Duration, Instant};
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval, sleep_until, timeout};
use windrow_protocol::clock::Taken;
use windrow_protocol::messages::{
    ClockAnswer, ClockAsk, Hello, MicrophoneReport, MicrophoneStatus, PlayerHears, PlayerSays, RefusedReason,
    Welcome,
};
use windrow_protocol::note::Note;
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;
use windrow_web::{Config, ConfigError, Listener, TimeMap};

/// Sound comes in blocks of this length, as from a microphone.
const BLOCK: Duration = Duration::from_millis(20);
/// Sound that is late by more than this, as after a computer slept, is left out.
const MAX_LAG_S: f64 = 1.0;
/// A server that says nothing for this long, not even the time, is gone.
const SILENT_FOR: Duration = Duration::from_secs(15);
/// Waits between attempts to reach the server again: doubled from the first to the longest.
const FIRST_WAIT: Duration = Duration::from_millis(250);
const LONGEST_WAIT: Duration = Duration::from_secs(8);

/// Where a device's sound comes from.
pub trait Source: Send {
    /// Samples a second, 8,000 to 192,000.
    fn sample_rate_hz(&self) -> f64;

    /// The octave in which an asked note is played.
    fn octave_of(&self, asked: Note) -> Note {
        asked
    }

    /// Fills in the next samples (mono, full scale ±1). A microphone needs only the first argument; who plays along
    /// needs the music, with this player's notes, and how samples lie in server time.
    fn fill(&mut self, out: &mut [f32], music: Option<&Timeline>, time_map: &TimeMap);
}

/// Why a device gave up.
#[derive(Debug, thiserror::Error)]
pub enum DeviceError {
    /// The server cannot be used, and trying again would not help.
    #[error(transparent)]
    Connection(#[from] ConnectionError),
    /// The sound or the tuning cannot be analysed.
    #[error(transparent)]
    Config(#[from] ConfigError),
}

impl DeviceError {
    /// Whether the same may go well in a moment.
    fn is_passing(&self) -> bool {
        match self {
            DeviceError::Connection(ConnectionError::Unreachable { .. } | ConnectionError::Gone) => true,
            DeviceError::Connection(ConnectionError::Refused(refused)) => {
                refused.reason == RefusedReason::Closing
            }
            DeviceError::Connection(ConnectionError::Unreadable(_)) | DeviceError::Config(_) => false,
        }
    }
}

/// One player's device.
pub struct Device {
    url: String,
    hello: Hello,
    /// Given by the welcome.
    chair: u16,
    source: Box<dyn Source>,
    clock: DeviceClock,
    /// Made at the first welcome, which brings the tuning.
    ear: Option<Ear>,
    music: Option<Timeline>,
    outbox: Outbox,
    next_wait: Duration,
}

impl Device {
    /// A device that will join at `url`, such as `ws://127.0.0.1:8470/ws/player`.
    pub fn new(url: String, hello: Hello, source: Box<dyn Source>) -> Self {
        let (clock, outbox) = (DeviceClock::start(), Outbox::default());
        Self { url, hello, chair: 0, source, clock, ear: None, music: None, outbox, next_wait: FIRST_WAIT }
    }

    /// Plays along until `stop` becomes true or its sender is gone. A lost connection is taken up again with the same
    /// chair, and what was not acknowledged is sent again.
    ///
    /// # Errors
    /// [`DeviceError`] where trying again would not help.
    pub async fn run(mut self, mut stop: watch::Receiver<bool>) -> Result<(), DeviceError> {
        loop {
            match self.take_part(&mut stop).await {
                Ok(()) => return Ok(()),
                Err(error) if !error.is_passing() => return Err(error),
                Err(error) => tracing::info!(%error, "a device will join again"),
            }
            let wait = self.next_wait;
            self.next_wait = (2 * wait).min(LONGEST_WAIT);
            tokio::select! {
                () = stopped(&mut stop) => return Ok(()),
                () = self.listen_alone(wait) => {}
            }
        }
    }

    /// One connection, from hello to the stop or the loss.
    async fn take_part(&mut self, stop: &mut watch::Receiver<bool>) -> Result<(), DeviceError> {
        let mut connection = Connection::open(&self.url).await?;
        connection.say(&PlayerSays::Hello(self.hello.clone())).await?;
        let welcome = timeout(SILENT_FOR, welcome(&mut connection)).await;
        self.sit_down(welcome.map_err(|_| ConnectionError::Gone)??)?;
        connection.say(&self.microphone()).await?;
        for message in self.outbox.waiting() {
            connection.say(message).await?;
        }
        let mut blocks = interval(BLOCK);
        blocks.set_missed_tick_behavior(MissedTickBehavior::Skip);
        let mut last_heard = Instant::now();
        let mut n_asked = 0;
        let mut ask_at = tokio::time::Instant::now();
        loop {
            tokio::select! {
                () = stopped(stop) => {
                    connection.close().await;
                    return Ok(());
                }
                heard = connection.hear() => {
                    last_heard = Instant::now();
                    if self.take(heard?) == Some(Taken::Jumped) {
                        n_asked = 0;
                        ask_at = tokio::time::Instant::now();
                    }
                }
                () = sleep_until(ask_at) => {
                    n_asked += 1;
                    ask_at += Timekeeper::pause_after(n_asked);
                    let ask = ClockAsk { id: n_asked, t1_us: self.clock.now_us() };
                    connection.say(&PlayerSays::Clock(ask)).await?;
                }
                _ = blocks.tick() => {
                    if last_heard.elapsed() > SILENT_FOR {
                        return Err(ConnectionError::Gone.into());
                    }
                    for message in self.listen() {
                        connection.say(&message).await?;
                    }
                }
            }
        }
    }

    /// Takes the chair the server gives.
    fn sit_down(&mut self, welcome: Welcome) -> Result<(), DeviceError> {
        self.next_wait = FIRST_WAIT;
        self.hello.token = Some(welcome.token);
        self.chair = welcome.chair;
        self.outbox.acknowledged(welcome.acknowledged);
        if self.ear.is_none() {
            let sample_rate_hz = self.source.sample_rate_hz();
            let config = Config { sample_rate_hz, a4_hz: welcome.a4_hz.get(), expected_midi: None };
            self.ear = Some(Ear { listener: Listener::new(config)?, started_us: None, n_samples: 0 });
        }
        if let Some(ear) = &mut self.ear {
            ear.listener.resume_after(welcome.acknowledged);
        }
        self.set_score(welcome.score);
        Ok(())
    }

    fn microphone(&self) -> PlayerSays {
        PlayerSays::Microphone(MicrophoneReport {
            status: MicrophoneStatus::Listening,
            sample_rate_hz: Some(self.source.sample_rate_hz()),
            still_on: Vec::new(),
        })
    }

    /// What became of a clock's answer, if it was one.
    fn take(&mut self, message: PlayerHears) -> Option<Taken> {
        match message {
            PlayerHears::Clock(answer) => return Some(self.clock.take(&answer, self.music.is_some())),
            PlayerHears::Score { score } => self.set_score(score),
            PlayerHears::Ack { seq } => self.outbox.acknowledged(seq),
            // Words for a person; a device without a screen shows none. Refusals end the connection elsewhere.
            PlayerHears::You(_) | PlayerHears::Welcome(_) | PlayerHears::Refused(_) => {}
        }
        None
    }

    fn set_score(&mut self, mut score: Option<Score>) {
        for span in score.iter_mut().flat_map(|score| &mut score.spans) {
            span.note = span.note_of(self.chair).map(|asked| self.source.octave_of(asked));
        }
        let timeline = score.clone().map(Timeline::new).transpose();
        self.music = timeline.unwrap_or_else(|error| {
            tracing::warn!(%error, "the server sent a score that cannot be played");
            None
        });
        if let Some(ear) = &mut self.ear {
            // The same score was checked just above.
            let _ = ear.listener.set_score(score.filter(|_| self.music.is_some()));
        }
    }

    /// Goes on hearing without a server; what it hears waits in the outbox.
    async fn listen_alone(&mut self, how_long: Duration) {
        let until = tokio::time::Instant::now() + how_long;
        let mut blocks = interval(BLOCK);
        blocks.set_missed_tick_behavior(MissedTickBehavior::Skip);
        while tokio::time::Instant::now() < until {
            blocks.tick().await;
            self.listen();
        }
    }

    /// Hears the sound that is due and gives what is to be said: of several readings only the newest.
    fn listen(&mut self) -> Vec<PlayerSays> {
        let now_us = self.clock.now_us();
        let (Some(ear), Some(offset_us)) = (&mut self.ear, self.clock.keeper.clock().offset_us(now_us))
        else {
            return Vec::new();
        };
        let now = Moment { device_us: now_us, offset_us, drift: self.clock.keeper.clock().drift() };
        let said = ear.hear(self.source.as_mut(), self.music.as_ref(), now);
        said.iter().for_each(|message| self.outbox.keep(message));
        let newest = said.iter().rposition(|m| matches!(m, PlayerSays::Reading(_)));
        let old = |i: usize, m: &PlayerSays| matches!(m, PlayerSays::Reading(_)) && Some(i) != newest;
        said.into_iter().enumerate().filter(|(i, m)| !old(*i, m)).map(|(_, m)| m).collect()
    }
}

/// The listener and how far it has heard.
struct Ear {
    listener: Listener,
    /// Device time of the first sample.
    started_us: Option<f64>,
    n_samples: u64,
}

/// A moment of the device's clock, and where the server's stands.
#[derive(Debug, Clone, Copy)]
struct Moment {
    device_us: f64,
    /// Server clock minus device clock.
    offset_us: f64,
    /// Server µs gained on each device µs.
    drift: f64,
}

impl Ear {
    fn hear(&mut self, source: &mut dyn Source, music: Option<&Timeline>, now: Moment) -> Vec<PlayerSays> {
        let (rate_hz, now_us) = (source.sample_rate_hz(), now.device_us);
        let started_us = *self.started_us.get_or_insert(now_us);
        let due_s = (now_us - started_us) / 1e6 - self.n_samples as f64 / rate_hz;
        if due_s > MAX_LAG_S {
            // What lies between was never heard: the samples that follow are later by as much.
            self.started_us = Some(started_us + 1e6 * due_s);
            return Vec::new();
        }
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
}

/// The device's own clock and what it knows of the server's.
#[derive(Debug)]
struct DeviceClock {
    nought: Instant,
    keeper: Timekeeper,
}

impl DeviceClock {
    fn start() -> Self {
        Self { nought: Instant::now(), keeper: Timekeeper::new() }
    }

    fn now_us(&self) -> f64 {
        self.nought.elapsed().as_secs_f64() * 1e6
    }

    fn take(&mut self, answer: &ClockAnswer, is_playing: bool) -> Taken {
        self.keeper.take(answer, self.now_us(), is_playing)
    }
}

/// Waits for the stop; a sender that is gone is a stop as well.
async fn stopped(stop: &mut watch::Receiver<bool>) {
    let _ = stop.wait_for(|&stop| stop).await;
}

/// Waits for the welcome; nothing else that may come before it matters yet.
async fn welcome(connection: &mut Connection) -> Result<Welcome, ConnectionError> {
    loop {
        if let PlayerHears::Welcome(welcome) = connection.hear().await? {
            return Ok(welcome);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Silence that notes the server time of each block's first sample.
    struct Noting {
        starts_us: Vec<f64>,
        n_samples: u64,
    }

    impl Source for Noting {
        fn sample_rate_hz(&self) -> f64 {
            8_000.0
        }

        fn fill(&mut self, out: &mut [f32], _music: Option<&Timeline>, time_map: &TimeMap) {
            self.starts_us.push(time_map.server_us(self.n_samples as f64 / 8_000.0));
            self.n_samples += out.len() as u64;
        }
    }

    /// Server times of the blocks' starts (ms) when a device whose clock is 1 s behind looks at the given times (ms).
    fn starts_ms(looks_ms: &[f64]) -> Vec<f64> {
        let config = Config { sample_rate_hz: 8_000.0, a4_hz: 440.0, expected_midi: None };
        let mut ear = Ear { listener: Listener::new(config).unwrap(), started_us: None, n_samples: 0 };
        let mut source = Noting { starts_us: Vec::new(), n_samples: 0 };
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
    fn only_what_may_pass_is_tried_again() {
        let refused = |reason| {
            let refused = windrow_protocol::messages::Refused { reason, text: String::new() };
            DeviceError::from(ConnectionError::Refused(refused)).is_passing()
        };
        assert!(DeviceError::from(ConnectionError::Gone).is_passing());
        assert!(refused(RefusedReason::Closing));
        for reason in
            [RefusedReason::Code, RefusedReason::Version, RefusedReason::Replaced, RefusedReason::Full]
        {
            assert!(!refused(reason), "{reason:?}");
        }
    }
}
