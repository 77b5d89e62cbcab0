//! The loop that carries out what the room decides. It holds the queues and the clock; it must hold no rule.

mod anew;
mod asked;
mod pauses;
mod records;

use super::code::random_text;
use super::keeping::{known_device, record_of};
use super::pictures::{self, Gallery, LOOK_EVERY, Pictures, Wall, text_of};
use super::troubles::words_of;
use crate::clock::ServerClock;
use crate::metrics::Metrics;
use crate::store::{Condition, HeldOver, Outcome, Recorder, Store};
use anew::Ground;
use pauses::Pauses;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use tokio::sync::{mpsc, oneshot, watch};
use tokio::time::Instant;
use windrow_protocol::messages::{
    ConductorSays, DoorState, Hello, PlayerHears, Refused, Replay, Results, Review,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};
use windrow_room::{
    ConnectionId, Effect, Event, FreshIds, Joining, KeptRun, KnownDevice, Lesson, Room, RosterChange,
    SeatInfo, Told,
};

/// Events waiting for the room. When it is full the sockets wait, and behind them the devices.
const INPUTS: usize = 1024;
/// Messages waiting for one device. A device that is this far behind is disconnected and comes back to a fresh welcome.
const OUTGOING: usize = 64;
/// Signs of a token, from 32 different ones: 130 bits.
const TOKEN_LENGTH: usize = 26;
const TOKEN_SIGNS: &[u8] = b"abcdefghijkmnpqrstuvwxyz23456789";

/// What a player's socket is to send.
#[derive(Debug)]
pub(crate) enum Outgoing {
    Say(Box<PlayerHears>),
    /// A message that goes to many, as text already; its copies share the bytes.
    Text(Arc<str>),
    /// Boxed: a queue holds its places whether they are taken or not.
    Refuse(Box<Refused>),
}

#[derive(Debug)]
enum Input {
    Join {
        connection: ConnectionId,
        hello: Box<Hello>,
        device: KnownDevice,
        is_imaginary: bool,
        outgoing: mpsc::Sender<Outgoing>,
    },
    Told {
        connection: ConnectionId,
        what: Told,
    },
    Left {
        connection: ConnectionId,
    },
    /// The imaginary section is to go.
    SendAway,
    /// Somebody begins to look.
    Looked,
    /// A rule is to break.
    #[cfg(test)]
    Break,
    Command {
        command: ConductorSays,
        cannot: oneshot::Sender<Phrase>,
    },
    /// Whether the device with this token is in.
    Knows {
        token: String,
        answer: oneshot::Sender<bool>,
    },
    /// How the door is now.
    Door {
        code: String,
        state: DoorState,
    },
    Roster {
        change: RosterChange,
        cannot: oneshot::Sender<Phrase>,
    },
    Plan {
        lesson: Box<Lesson>,
        is_lent: bool,
        cannot: oneshot::Sender<Phrase>,
    },
    Seats {
        answer: oneshot::Sender<Vec<SeatInfo>>,
    },
    Results {
        answer: oneshot::Sender<Results>,
    },
    Review {
        answer: oneshot::Sender<Review>,
    },
    Replay {
        number: u16,
        answer: oneshot::Sender<Option<Replay>>,
    },
}

/// The way into a room.
#[derive(Debug, Clone)]
pub(crate) struct RoomHandle {
    inputs: mpsc::Sender<Input>,
    gallery: Gallery,
    checks: watch::Receiver<Arc<str>>,
    n_present: Arc<AtomicUsize>,
    next_connection: Arc<AtomicU64>,
    /// Where devices are known from earlier weeks.
    store: Store,
    session_id: Arc<str>,
}

/// The room has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ended;

/// A device's place in a room.
#[derive(Debug)]
pub(crate) struct Joined {
    room: RoomHandle,
    connection: ConnectionId,
    /// What to send to the device; ends when the room lets go of it.
    pub(crate) outgoing: mpsc::Receiver<Outgoing>,
}

impl RoomHandle {
    /// Real players who are in.
    pub(crate) fn n_present(&self) -> usize {
        self.n_present.load(Ordering::Relaxed)
    }

    /// Events that wait for the room.
    pub(crate) fn n_waiting(&self) -> usize {
        self.inputs.max_capacity() - self.inputs.capacity()
    }

    /// The conductor's pictures for one page, the first of them at once.
    pub(crate) async fn pictures(&self) -> Result<Pictures, Ended> {
        let pictures = self.gallery.look();
        self.inputs.send(Input::Looked).await.map_err(|_| Ended)?;
        Ok(pictures)
    }

    /// What the room check found, as text; "null" before the first.
    pub(crate) fn check(&self) -> Arc<str> {
        self.checks.borrow().clone()
    }

    /// Asks for a chair; the answer comes as a message.
    pub(crate) async fn join(&self, hello: Hello) -> Result<Joined, Ended> {
        let device = known_device(&self.store, &self.session_id, hello.token.as_deref()).await;
        self.come_in(hello, device, false).await
    }

    /// The same for a player of the imaginary section, who goes when a real one comes.
    pub(crate) async fn join_imaginary(&self, hello: Hello) -> Result<Joined, Ended> {
        self.come_in(hello, KnownDevice::default(), true).await
    }

    /// The imaginary section goes.
    pub(crate) async fn send_imaginary_away(&self) -> Result<(), Ended> {
        self.inputs.send(Input::SendAway).await.map_err(|_| Ended)
    }

    async fn come_in(&self, hello: Hello, device: KnownDevice, is_imaginary: bool) -> Result<Joined, Ended> {
        let connection = ConnectionId(self.next_connection.fetch_add(1, Ordering::Relaxed));
        let (sender, outgoing) = mpsc::channel(OUTGOING);
        let input =
            Input::Join { connection, hello: Box::new(hello), device, is_imaginary, outgoing: sender };
        self.inputs.send(input).await.map_err(|_| Ended)?;
        Ok(Joined { room: self.clone(), connection, outgoing })
    }

    /// Whether the device with this token is in, connected or not.
    pub(crate) async fn knows(&self, token: &str) -> bool {
        let (answer, known) = oneshot::channel();
        let asked = self.inputs.send(Input::Knows { token: token.to_owned(), answer }).await;
        asked.is_ok() && known.await.unwrap_or(false)
    }

    /// Tells the room how its door is now.
    pub(crate) async fn show_door(&self, code: String, state: DoorState) -> Result<(), Ended> {
        self.inputs.send(Input::Door { code, state }).await.map_err(|_| Ended)
    }

    /// Carries out a command; the text says why not, if so.
    pub(crate) async fn command(&self, command: ConductorSays) -> Result<Option<Phrase>, Ended> {
        let (cannot, answer) = oneshot::channel();
        self.inputs.send(Input::Command { command, cannot }).await.map_err(|_| Ended)?;
        // Dropped unused when the command was carried out.
        Ok(answer.await.ok())
    }
}

impl Joined {
    pub(crate) async fn tell(&self, what: Told) -> Result<(), Ended> {
        let input = Input::Told { connection: self.connection, what };
        self.room.inputs.send(input).await.map_err(|_| Ended)
    }

    pub(crate) async fn leave(self) {
        // A room that has ended needs no goodbye.
        let _ = self.room.inputs.send(Input::Left { connection: self.connection }).await;
    }
}

/// A room's loop.
#[derive(Debug)]
pub(crate) struct RoomTask {
    room: Room,
    session_id: String,
    clock: ServerClock,
    inputs: mpsc::Receiver<Input>,
    wall: Wall,
    /// Whether the picture on the wall is not the newest any more.
    picture_due: bool,
    checks: watch::Sender<Arc<str>>,
    n_present: Arc<AtomicUsize>,
    connections: HashMap<ConnectionId, mpsc::Sender<Outgoing>>,
    /// Where it is counted how long the room takes.
    pub(crate) metrics: Option<Metrics>,
    recorder: Recorder,
    condition: watch::Receiver<Condition>,
    n_brought_back: u32,
    /// Whether the conductor was told that nobody else gets in.
    is_full: bool,
    pauses: Pauses,
    ground: Ground,
    store: Store,
    /// What the recorder had no room for and no device sends again.
    waiting: HeldOver,
    outcomes: mpsc::Receiver<Outcome>,
    outcomes_sender: mpsc::Sender<Outcome>,
}

impl RoomTask {
    /// A room with this code at its door.
    pub(crate) fn new(
        session_id: String,
        code: String,
        section: Name,
        a4_hz: Hertz,
        clock: ServerClock,
        recorder: Recorder,
        store: Store,
    ) -> (RoomHandle, Self) {
        let (inputs_sender, inputs) = mpsc::channel(INPUTS);
        let (outcomes_sender, outcomes) = mpsc::channel(INPUTS);
        let (wall, gallery) = pictures::wall();
        let (checks, checks_receiver) = watch::channel(Arc::from("null"));
        let n_present = Arc::new(AtomicUsize::new(0));
        let handle = RoomHandle {
            inputs: inputs_sender,
            gallery,
            checks: checks_receiver,
            n_present: n_present.clone(),
            next_connection: Arc::new(AtomicU64::new(1)),
            store: store.clone(),
            session_id: Arc::from(session_id.as_str()),
        };
        let task = Self {
            room: Room::new(code.clone(), section.clone(), a4_hz),
            ground: Ground::new(code, section, a4_hz),
            store,
            pauses: Pauses::new(),
            n_brought_back: 0,
            is_full: false,
            session_id,
            clock,
            inputs,
            wall,
            picture_due: false,
            checks,
            n_present,
            connections: HashMap::new(),
            metrics: None,
            condition: recorder.condition(),
            recorder,
            waiting: HeldOver::default(),
            outcomes,
            outcomes_sender,
        };
        (handle, task)
    }

    /// The rehearsal goes on that was played before the server was started again: its runs, each with how much later, in µs, its server
    /// time began.
    pub(crate) fn take_back(&mut self, kept: Vec<(f64, KeptRun)>) {
        for (moved_us, run) in kept {
            self.room.take_back(vec![run], moved_us);
        }
    }

    /// Runs until nobody holds a handle any more.
    pub(crate) async fn run(mut self) {
        let mut tick = tokio::time::interval_at(Instant::now() + pictures::first_look_after(), LOOK_EVERY);
        tick.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                input = self.inputs.recv() => match input {
                    Some(input) => self.guarded(|task| task.take(input)).await,
                    None => {
                        for kept in self.room.last_kept(self.clock.now_us()) {
                            self.keep(kept);
                        }
                        return;
                    }
                },
                Some(outcome) = self.outcomes.recv() => {
                    let event = match outcome {
                        Outcome::Stored { player_id, seq } => Event::Stored { player_id, seq },
                        Outcome::NotStored { player_id } => Event::NotStored { player_id },
                        // Told to those who asked, never here.
                        Outcome::Passed { .. } => continue,
                    };
                    self.guarded(|task| drop(task.happen(event))).await;
                }
                Ok(()) = self.condition.changed() => {
                    let now = *self.condition.borrow_and_update();
                    self.guarded(|task| task.tell_of_records(now)).await;
                }
                _ = tick.tick() => {
                    let begun = Instant::now();
                    self.guarded(|task| {
                        task.sweep();
                        task.pass_on();
                        task.tell_of_this_computer();
                        task.happen(Event::Tick);
                        task.show();
                    })
                    .await;
                    if let Some(metrics) = &self.metrics {
                        metrics.ticked(begun.elapsed());
                    }
                }
            }
            // Of many events in one moment there is one picture; under a load without a pause, one for each tick.
            if self.picture_due && self.inputs.is_empty() {
                self.guarded(Self::show).await;
            }
            self.n_present.store(self.room.n_present(), Ordering::Relaxed);
        }
    }

    fn take(&mut self, input: Input) {
        match input {
            Input::Join { connection, hello, device, is_imaginary, outgoing } => {
                self.connections.insert(connection, outgoing);
                let fresh = FreshIds {
                    player_id: uuid::Uuid::now_v7().to_string(),
                    token: random_text(TOKEN_SIGNS, TOKEN_LENGTH),
                };
                let joining = Joining { connection, hello: *hello, fresh, device, is_imaginary };
                self.happen(Event::Joined(Box::new(joining)));
            }
            Input::Told { connection, what } => {
                self.happen(Event::Told { connection, what });
            }
            Input::Left { connection } => {
                self.connections.remove(&connection);
                self.happen(Event::Left { connection });
            }
            Input::SendAway => drop(self.happen(Event::SentAway)),
            Input::Looked => self.picture_due = true,
            #[cfg(test)]
            Input::Break => panic!("a test breaks a rule"),
            Input::Command { command, cannot } => {
                if let Some(text) = self.happen(Event::Commanded(command)) {
                    // The page may have closed since.
                    let _ = cannot.send(text);
                }
            }
            Input::Knows { token, answer } => {
                // Whoever asked may have gone since.
                let _ = answer.send(self.room.knows_device(&token));
            }
            Input::Door { code, state } => {
                self.happen(Event::Door { code, state });
            }
            Input::Roster { change, cannot } => {
                if let Some(text) = self.happen(Event::Roster(change)) {
                    let _ = cannot.send(text);
                }
            }
            Input::Plan { lesson, is_lent, cannot } => {
                let event = if is_lent { Event::Lent(lesson) } else { Event::Plan(lesson) };
                if let Some(text) = self.happen(event) {
                    let _ = cannot.send(text);
                }
            }
            Input::Seats { answer } => {
                let _ = answer.send(self.room.seat_list());
            }
            Input::Results { answer } => {
                let _ = answer.send(self.room.results());
            }
            Input::Review { answer } => {
                let _ = answer.send(self.room.review());
            }
            Input::Replay { number, answer } => {
                let _ = answer.send(self.room.replay(number));
            }
        }
    }

    /// A socket that ended without a goodbye, such as by a panic, has dropped its end.
    fn sweep(&mut self) {
        let gone: Vec<_> = self.connections.iter().filter(|(_, s)| s.is_closed()).map(|(&c, _)| c).collect();
        for connection in gone {
            self.connections.remove(&connection);
            self.happen(Event::Left { connection });
        }
    }

    /// Applies an event and carries out its effects, and those of what goes wrong with them. Gives back why a command
    /// could not be carried out.
    fn happen(&mut self, event: Event) -> Option<Phrase> {
        self.ground.note(&event);
        let mut cannot = None;
        let mut events = vec![event];
        while let Some(event) = events.pop() {
            for effect in self.room.apply(event, self.clock.now_us()) {
                match effect {
                    Effect::Send { connection, message } => {
                        events.extend(self.send(connection, Outgoing::Say(Box::new(message))));
                    }
                    Effect::SendAll { connections, message } => {
                        let text: Arc<str> = text_of(&message).into();
                        for connection in connections {
                            events.extend(self.send(connection, Outgoing::Text(text.clone())));
                        }
                    }
                    Effect::Refuse { connection, refused } => {
                        events.extend(self.send(connection, Outgoing::Refuse(Box::new(refused))));
                        self.connections.remove(&connection);
                    }
                    Effect::Disconnect { connection } => {
                        self.connections.remove(&connection);
                    }
                    Effect::CannotDo { text } => cannot = Some(text),
                    Effect::Publish => self.picture_due = true,
                    Effect::ShowCheck(check) => drop(self.checks.send_replace(text_of(&check).into())),
                    Effect::Keep(kept) => events.extend(self.keep(kept)),
                }
            }
        }
        cannot
    }

    fn show(&mut self) {
        self.picture_due = false;
        self.wall.show(|| self.room.picture(self.clock.now_us()));
    }

    fn send(&mut self, connection: ConnectionId, outgoing: Outgoing) -> Option<Event> {
        let sender = self.connections.get(&connection)?;
        if sender.try_send(outgoing).is_ok() {
            return None;
        }
        self.connections.remove(&connection);
        Some(Event::Left { connection })
    }
}
