//! The imaginary section: eight invented players who sit in the room and play what its conductor starts, so that one can look
//! around before anybody has come. It brings players and room together without a socket; it must know no pages and no records.

use crate::clock::ServerClock;
use crate::player::{RehearsedDevice, SimulatedSound, larkmoor};
use crate::room::{Ended, Joined, Lesson, Outgoing, RoomHandle, Told};
use crate::shelf::Shelf;
use std::time::{Duration, Instant};
use tokio::sync::mpsc::error::TryRecvError;
use tokio::sync::{Mutex, watch};
use tokio::task::JoinHandle;
use tokio::time::{MissedTickBehavior, interval};
use windrow_protocol::messages::{ConductorSays, Hello, Moment, PlayerHears, PlayerSays};
use windrow_protocol::units::Hertz;

/// They hear and say what is due this often; a device with a microphone does so twice as often.
const STEP: Duration = Duration::from_millis(40);
/// So long without music nobody is looking any more, and they go. Our own choice.
const WAITS: Duration = Duration::from_secs(30 * 60);
/// Triplets, in the list that a room begins with: where pulses come quickly, what is wrong with them shows soon.
const BEGINS_WITH: u16 = 4;

/// Why they cannot come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unwelcome {
    /// Real players are in.
    Players,
    /// The room has ended.
    Ended,
}

impl From<Ended> for Unwelcome {
    fn from(_: Ended) -> Self {
        Unwelcome::Ended
    }
}

/// When they came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Came {
    Before,
    Now,
}

/// The section, in the room or not.
#[derive(Debug)]
pub(crate) struct Imaginary {
    room: RoomHandle,
    clock: ServerClock,
    a4_hz: Hertz,
    /// Becomes true when the server stops.
    closing: watch::Receiver<bool>,
    /// What lets them play while they are in.
    playing: Mutex<Option<JoinHandle<()>>>,
}

impl Imaginary {
    pub(crate) fn new(
        room: RoomHandle,
        clock: ServerClock,
        a4_hz: Hertz,
        closing: watch::Receiver<bool>,
    ) -> Self {
        Self { room, clock, a4_hz, closing, playing: Mutex::default() }
    }

    /// Lets them come in, unless they are in already, and play what the room has.
    ///
    /// # Errors
    /// Where real players are in, or the room has ended.
    pub(crate) async fn come(&self, shelf: &Shelf) -> Result<(), Unwelcome> {
        if self.sit_down().await? == Came::Now && shelf.in_room().is_none() {
            let begin = ConductorSays::Choose { exercise: BEGINS_WITH, at: Moment::Bar };
            self.room.command(begin).await?;
        }
        Ok(())
    }

    /// Lets them come in anew and play a plan.
    ///
    /// # Errors
    /// As [`Imaginary::come`].
    pub(crate) async fn play(&self, lesson: Lesson) -> Result<(), Unwelcome> {
        // Nothing is playing then when the plan is taken.
        self.leave().await;
        self.sit_down().await?;
        // It is refused only where they have been sent away meanwhile.
        self.room.lend_plan(lesson).await?;
        Ok(())
    }

    async fn sit_down(&self) -> Result<Came, Unwelcome> {
        let mut playing = self.playing.lock().await;
        if self.room.n_present() > 0 {
            return Err(Unwelcome::Players);
        }
        if playing.as_ref().is_some_and(|playing| !playing.is_finished()) {
            return Ok(Came::Before);
        }
        let mut players = Vec::new();
        // One after another, so that they sit in score order.
        for player in larkmoor::players() {
            // No code is asked of them, and their sound has no latency but its own.
            let hello = Hello { calibrated: true, ..Hello::new("", player.name.clone(), player.instrument) };
            let sound = Box::new(SimulatedSound::new(&player, self.a4_hz.get()));
            let joined = self.room.join_imaginary(hello).await?;
            players.push(Player { device: RehearsedDevice::new(sound), joined, music: false });
        }
        let (room, clock, closing) = (self.room.clone(), self.clock, self.closing.clone());
        *playing = Some(tokio::spawn(play(players, room, clock, closing)));
        Ok(Came::Now)
    }

    /// Lets them go; afterwards the room is as it was before they came.
    pub(crate) async fn leave(&self) {
        let mut playing = self.playing.lock().await;
        // A room that has ended has let go of everybody.
        let _ = self.room.send_imaginary_away().await;
        if let Some(playing) = playing.take() {
            // They notice that they have no chair any more; a panic of theirs is theirs.
            let _ = playing.await;
        }
    }
}

/// One of them.
struct Player {
    device: RehearsedDevice,
    joined: Joined,
    /// Whether there is any music.
    music: bool,
}

/// They have no chair any more.
struct Gone;

impl From<Ended> for Gone {
    fn from(_: Ended) -> Self {
        Gone
    }
}

/// Lets them play until the room lets go of one of them, nothing was played for long, or the server stops.
async fn play(
    mut players: Vec<Player>,
    room: RoomHandle,
    clock: ServerClock,
    mut closing: watch::Receiver<bool>,
) {
    let mut steps = interval(STEP);
    steps.set_missed_tick_behavior(MissedTickBehavior::Skip);
    let mut played = Instant::now();
    loop {
        tokio::select! {
            _ = steps.tick() => {}
            _ = closing.wait_for(|closing| *closing) => break,
        }
        if players.iter().any(|player| player.music) {
            played = Instant::now();
        }
        if played.elapsed() > WAITS || step(&mut players, clock).await.is_err() {
            break;
        }
    }
    // They go together, whatever it was that ended; a room that has ended has let go of them.
    let _ = room.send_imaginary_away().await;
}

async fn step(players: &mut [Player], clock: ServerClock) -> Result<(), Gone> {
    for player in players {
        player.listen().await?;
        let said = player.device.hear(clock.now_us());
        let newest = said.iter().rposition(|says| matches!(says, PlayerSays::Reading(_)));
        for (i, says) in said.into_iter().enumerate() {
            if !matches!(says, PlayerSays::Reading(_)) || newest == Some(i) {
                player.say(says).await?;
            }
        }
    }
    Ok(())
}

impl Player {
    /// Takes what the room says.
    async fn listen(&mut self) -> Result<(), Gone> {
        loop {
            let message = match self.joined.outgoing.try_recv() {
                Ok(Outgoing::Say(message)) => *message,
                Ok(Outgoing::Text(text)) => serde_json::from_str(&text).map_err(|error| {
                    tracing::warn!(%error, "the room says what its own players cannot read");
                    Gone
                })?,
                Err(TryRecvError::Empty) => return Ok(()),
                Ok(Outgoing::Refuse(_)) | Err(TryRecvError::Disconnected) => return Err(Gone),
            };
            let is_welcome = matches!(message, PlayerHears::Welcome(_));
            match &message {
                PlayerHears::Welcome(welcome) => self.music = welcome.score.is_some(),
                PlayerHears::Score { score } => self.music = score.is_some(),
                _ => {}
            }
            self.device.take(message).map_err(|error| {
                tracing::warn!(%error, "an imaginary player cannot listen");
                Gone
            })?;
            if is_welcome {
                let microphone = self.device.microphone();
                self.say(microphone).await?;
            }
        }
    }

    async fn say(&mut self, says: PlayerSays) -> Result<(), Gone> {
        // What is not for the room, such as a clock's question, they have no need to say.
        let Some(what) = Told::of(says) else { return Ok(()) };
        Ok(self.joined.tell(what).await?)
    }
}
