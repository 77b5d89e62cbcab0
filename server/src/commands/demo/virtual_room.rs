//! A room without sockets, records and clock: whoever drives it says what time it is and carries what it says to the devices.
//! It must hold no rule of a rehearsal; those are [`Room`]'s.

use crate::room::{ConnectionId, Effect, Event, FreshIds, Joining, Kept, KnownDevice, Lesson, Room, Told};
use crate::words::english;
use anyhow::bail;
use windrow_protocol::messages::{ConductorSays, Hello, PlayerHears, PlayerSays, Results, Snapshot};
use windrow_protocol::units::{Hertz, Name};

/// Nobody comes through this door but those who are let in here.
const CODE: &str = "VRTUAL";

/// A room whose time somebody else makes pass.
pub(super) struct VirtualRoom {
    room: Room,
    /// Server time.
    pub(super) now_us: f64,
    /// What is on its way to devices, by their number, in order.
    letters: Vec<(usize, PlayerHears)>,
    picture: Option<Box<Snapshot>>,
}

impl VirtualRoom {
    pub(super) fn new(section: Name, a4_hz: Hertz) -> Self {
        let room = Room::new(CODE.to_owned(), section, a4_hz);
        Self { room, now_us: 0.0, letters: Vec::new(), picture: None }
    }

    /// Lets a device in; devices are numbered from 0.
    ///
    /// # Errors
    /// What the room has against it.
    pub(super) fn let_in(&mut self, device: usize, hello: Hello) -> anyhow::Result<()> {
        let fresh = FreshIds { player_id: format!("player-{device}"), token: format!("token-{device}") };
        let joining = Joining {
            connection: connection_of(device),
            hello,
            fresh,
            device: KnownDevice::default(),
            is_imaginary: false,
        };
        self.happen(Event::Joined(Box::new(joining)))
    }

    /// Tells what a device says.
    ///
    /// # Errors
    /// What the room has against it.
    pub(super) fn tell(&mut self, device: usize, says: PlayerSays) -> anyhow::Result<()> {
        // There is one clock here, and who is in has said hello.
        let Some(what) = Told::of(says) else { return Ok(()) };
        self.happen(Event::Told { connection: connection_of(device), what })
    }

    /// Gives the room a plan.
    ///
    /// # Errors
    /// The room's sentence on why not.
    pub(super) fn take_plan(&mut self, lesson: Lesson) -> anyhow::Result<()> {
        self.happen(Event::Plan(Box::new(lesson)))
    }

    /// Commands.
    ///
    /// # Errors
    /// The room's sentence on why not.
    pub(super) fn command(&mut self, command: ConductorSays) -> anyhow::Result<()> {
        self.happen(Event::Commanded(command))
    }

    /// Lets the room look at everybody, and gives its picture.
    ///
    /// # Errors
    /// What the room has against it.
    pub(super) fn look(&mut self) -> anyhow::Result<Box<Snapshot>> {
        self.happen(Event::Tick)?;
        match self.picture.take() {
            Some(picture) => Ok(picture),
            None => bail!("the room shows no picture of itself"),
        }
    }

    /// What the section did so far.
    pub(super) fn results(&self) -> Results {
        self.room.results()
    }

    /// What is on its way to devices, by their number, in order; it is then no longer on its way.
    pub(super) fn take_letters(&mut self) -> Vec<(usize, PlayerHears)> {
        std::mem::take(&mut self.letters)
    }

    fn happen(&mut self, event: Event) -> anyhow::Result<()> {
        let mut refusal = None;
        let mut events = vec![event];
        while let Some(event) = events.pop() {
            for effect in self.room.apply(event, self.now_us) {
                match effect {
                    Effect::Send { connection, message } => {
                        self.letters.push((device_of(connection), message));
                    }
                    Effect::SendAll { connections, message } => {
                        let letters = connections.into_iter().map(|c| (device_of(c), message.clone()));
                        self.letters.extend(letters);
                    }
                    Effect::Publish(picture) => self.picture = Some(picture),
                    // What has no records is as safe as it will be.
                    Effect::Keep(kept) => events.extend(stored(kept)),
                    Effect::CannotDo { text } => refusal = Some(text),
                    Effect::Refuse { refused, .. } => refusal = Some(refused.text),
                    Effect::Disconnect { .. } => bail!("the room has sent a device away"),
                    Effect::ShowCheck(_) => {}
                }
            }
        }
        match refusal {
            Some(text) => bail!("{}", english(&text)),
            None => Ok(()),
        }
    }
}

fn stored(kept: Kept) -> Option<Event> {
    match kept {
        Kept::Pulses { player_id, seq, .. } => Some(Event::Stored { player_id, seq }),
        Kept::Span { player_id, result, .. } => Some(Event::Stored { player_id, seq: result.seq }),
        Kept::Player { .. } | Kept::Score { .. } => None,
    }
}

fn connection_of(device: usize) -> ConnectionId {
    ConnectionId(device as u64)
}

fn device_of(connection: ConnectionId) -> usize {
    connection.0 as usize
}

/// What a device says first.
pub(super) fn hello(name: &Name, instrument: windrow_protocol::instrument::Instrument) -> Hello {
    // Its sound has no latency but its own.
    Hello { calibrated: true, ..Hello::new(CODE, name.clone(), instrument) }
}
