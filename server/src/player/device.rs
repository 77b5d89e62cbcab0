//! A device: hears its sound in real time, keeps the server's time, and tells the server what it heard. It must not know
//! what its sound is made of.

use super::connection::{Address, Connection, ConnectionError};
use super::ear::{BLOCK, Moment, Source};
use super::musician::Musician;
use super::outbox::Outbox;
use super::timekeeper::Timekeeper;
use crate::words::english;
use std::hash::{BuildHasher, RandomState};
use std::time::{Duration, Instant};
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval, sleep_until, timeout};
use windrow_protocol::clock::Taken;
use windrow_protocol::messages::{
    Brief, ClockAnswer, ClockAsk, Hello, PlayerHears, PlayerSays, RefusedReason, Welcome, You,
};
use windrow_protocol::timeline::Timeline;
use windrow_web::ConfigError;

/// A server that says nothing for this long, not even the time, is gone.
const SILENT_FOR: Duration = Duration::from_secs(15);
/// Waits between attempts to reach the server again: doubled from the first to the longest, half of each by chance.
const FIRST_WAIT: Duration = Duration::from_millis(250);
const LONGEST_WAIT: Duration = Duration::from_secs(8);

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

/// What there is to see on a device.
#[derive(Debug)]
pub enum Seen<'a> {
    /// The room has given a chair.
    Joined(&'a Welcome),
    /// Where the music is; shown for every block of sound.
    Now {
        /// With this player's notes.
        music: Option<&'a Timeline>,
        /// Server time.
        server_us: f64,
    },
    /// What is being practised; told in the welcome as well.
    Exercise(&'a Brief),
    /// What the room says of this player.
    You(&'a You),
    /// What the room says about the player's place.
    Notice(&'a str),
    /// The room cannot be reached; it is tried again.
    Lost(&'a DeviceError),
}

/// Who looks at a device.
pub type Screen = Box<dyn FnMut(Seen<'_>) + Send>;

/// One player's device.
pub struct Device {
    address: Address,
    hello: Hello,
    musician: Musician,
    clock: DeviceClock,
    outbox: Outbox,
    next_wait: Duration,
    screen: Option<Screen>,
}

impl Device {
    /// A device that will join at an address.
    pub fn new(address: Address, hello: Hello, source: Box<dyn Source>) -> Self {
        let (musician, clock, outbox) = (Musician::new(source), DeviceClock::start(), Outbox::default());
        Self { address, hello, musician, clock, outbox, next_wait: FIRST_WAIT, screen: None }
    }

    /// The same with somebody who looks at it.
    #[must_use]
    pub fn with_screen(mut self, screen: Screen) -> Self {
        self.screen = Some(screen);
        self
    }

    fn show(&mut self, seen: Seen<'_>) {
        if let Some(screen) = &mut self.screen {
            screen(seen);
        }
    }

    /// Plays along until `stop` becomes true, its sender is gone, or the sound is over and all of it safe. A lost
    /// connection is taken up again with the same chair, and what was not acknowledged is sent again.
    ///
    /// # Errors
    /// [`DeviceError`] where trying again would not help.
    pub async fn run(mut self, mut stop: watch::Receiver<bool>) -> Result<(), DeviceError> {
        loop {
            match self.take_part(&mut stop).await {
                Ok(()) => return Ok(()),
                Err(error) if !error.is_passing() => return Err(error),
                Err(error) => {
                    tracing::info!(%error, "a device will join again");
                    self.show(Seen::Lost(&error));
                }
            }
            let wait = self.next_wait;
            self.next_wait = (2 * wait).min(LONGEST_WAIT);
            tokio::select! {
                () = stopped(&mut stop) => return Ok(()),
                () = self.listen_alone(by_chance(wait)) => {}
            }
        }
    }

    /// One connection, from hello to the stop or the loss.
    async fn take_part(&mut self, stop: &mut watch::Receiver<bool>) -> Result<(), DeviceError> {
        let mut connection = Connection::open(&self.address).await?;
        connection.say(&PlayerSays::Hello(self.hello.clone())).await?;
        let welcome = timeout(SILENT_FOR, welcome(&mut connection)).await;
        self.sit_down(welcome.map_err(|_| ConnectionError::Gone)??)?;
        connection.say(&self.musician.microphone()).await?;
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
                    if self.musician.is_over() && self.outbox.waiting().next().is_none() {
                        connection.close().await;
                        return Ok(());
                    }
                }
            }
        }
    }

    /// Takes the chair the server gives.
    fn sit_down(&mut self, welcome: Welcome) -> Result<(), DeviceError> {
        self.next_wait = FIRST_WAIT;
        self.show(Seen::Joined(&welcome));
        self.show(Seen::Exercise(&welcome.exercise));
        self.outbox.acknowledged(welcome.acknowledged);
        self.musician.sit_down(&welcome)?;
        self.hello.token = Some(welcome.token);
        Ok(())
    }

    /// What became of a clock's answer, if it was one.
    fn take(&mut self, message: PlayerHears) -> Option<Taken> {
        match message {
            PlayerHears::Clock(answer) => {
                return Some(self.clock.take(&answer, self.musician.music().is_some()));
            }
            PlayerHears::Score { score } => self.musician.set_score(score),
            PlayerHears::Ack { seq } => self.outbox.acknowledged(seq),
            PlayerHears::Exercise(brief) => self.show(Seen::Exercise(&brief)),
            PlayerHears::You(you) => self.show(Seen::You(&you)),
            PlayerHears::Seat(seat) => self.musician.move_to(seat.chair),
            PlayerHears::Notice { text } if !text.is_empty() => self.show(Seen::Notice(&english(&text))),
            // Refusals end the connection elsewhere.
            PlayerHears::Notice { .. } | PlayerHears::Welcome(_) | PlayerHears::Refused(_) => {}
        }
        None
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
        if let (Some(screen), Some(server_us)) =
            (&mut self.screen, self.clock.keeper.clock().server_us(now_us))
        {
            screen(Seen::Now { music: self.musician.music(), server_us });
        }
        let Some(offset_us) = self.clock.keeper.clock().offset_us(now_us) else { return Vec::new() };
        let now = Moment { device_us: now_us, offset_us, drift: self.clock.keeper.clock().drift() };
        let said = self.musician.hear(now);
        said.iter().for_each(|message| self.outbox.keep(message));
        let newest = said.iter().rposition(|m| matches!(m, PlayerSays::Reading(_)));
        let old = |i: usize, m: &PlayerSays| matches!(m, PlayerSays::Reading(_)) && Some(i) != newest;
        said.into_iter().enumerate().filter(|(i, m)| !old(*i, m)).map(|(_, m)| m).collect()
    }
}

/// From half a wait to all of it: those who lost the server at the same moment do not come back at one.
fn by_chance(wait: Duration) -> Duration {
    let chance = RandomState::new().hash_one(()) as f64 / u64::MAX as f64;
    wait.mul_f64(f64::midpoint(1.0, chance))
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

    #[test]
    fn only_what_may_pass_is_tried_again() {
        let refused = |reason| {
            let refused = windrow_protocol::messages::Refused { reason, text: Default::default() };
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

    #[test]
    fn waits_are_between_a_half_and_the_whole_and_differ() {
        let waits: Vec<Duration> = (0..64).map(|_| by_chance(LONGEST_WAIT)).collect();
        assert!(waits.iter().all(|wait| (LONGEST_WAIT / 2..=LONGEST_WAIT).contains(wait)), "{waits:?}");
        // Of 64 on an even spread a quarter of the range is missed once in a hundred million times.
        for quarter in 0..4 {
            let from = LONGEST_WAIT / 2 + LONGEST_WAIT / 8 * quarter;
            assert!(waits.iter().any(|wait| (from..=from + LONGEST_WAIT / 8).contains(wait)), "{waits:?}");
        }
    }
}
