//! A room without sockets, records and clock: whoever drives it says what time it is, carries what it says to the devices and
//! takes what is to be kept. It must hold no rule of a rehearsal; those are [`Room`]'s.

use super::event::{
    ConnectionId, Effect, Event, FreshIds, Joining, Kept, KnownDevice, Person, RosterChange, Told,
};
use super::lesson::Lesson;
use super::state::Room;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorSays, Hello, PlayerHears, PlayerSays, Results, RoomCheck, Snapshot,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};

/// Nobody comes through this door but those who are let in here.
const CODE: &str = "VRTUAL";

/// A room whose time somebody else makes pass.
#[derive(Debug)]
pub struct VirtualRoom {
    room: Room,
    /// Server time.
    pub now_us: f64,
    /// What is on its way to devices, by their number, in order.
    letters: Vec<(usize, PlayerHears)>,
    check: Option<Box<RoomCheck>>,
    /// Whether what is to be kept is gathered.
    keeps: bool,
    kept: Vec<Kept>,
}

impl VirtualRoom {
    /// An empty one, of which nothing is kept.
    #[must_use]
    pub fn new(section: Name, a4_hz: Hertz) -> Self {
        let room = Room::new(CODE.to_owned(), section, a4_hz);
        Self { room, now_us: 0.0, letters: Vec::new(), check: None, keeps: false, kept: Vec::new() }
    }

    /// The same, whose driver takes what is to be kept ([`Self::take_kept`]).
    #[must_use]
    pub fn keeping(self) -> Self {
        Self { keeps: true, ..self }
    }

    /// Lets a device in; devices are numbered from 0.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn let_in(&mut self, device: usize, hello: Hello) -> Result<(), Phrase> {
        let fresh = FreshIds { player_id: format!("player-{device}"), token: format!("token-{device}") };
        self.let_in_as(device, hello, fresh, KnownDevice::default())
    }

    /// Lets a device in that is known, or that is to have ids of its driver's choice.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn let_in_as(
        &mut self,
        device: usize,
        hello: Hello,
        fresh: FreshIds,
        known: KnownDevice,
    ) -> Result<(), Phrase> {
        let connection = connection_of(device);
        let joining = Joining { connection, hello, fresh, device: known, is_imaginary: false };
        self.happen(Event::Joined(Box::new(joining)))
    }

    /// Gives the room its section's list.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn take_list(&mut self, section: Name, people: Vec<Person>) -> Result<(), Phrase> {
        self.happen(Event::Roster(RosterChange::List { section, people }))
    }

    /// The device has left; it may be let in again.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn let_out(&mut self, device: usize) -> Result<(), Phrase> {
        self.happen(Event::Left { connection: connection_of(device) })
    }

    /// Tells what a device says.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn tell(&mut self, device: usize, says: PlayerSays) -> Result<(), Phrase> {
        // There is one clock here, and who is in has said hello.
        let Some(what) = Told::of(says) else { return Ok(()) };
        self.happen(Event::Told { connection: connection_of(device), what })
    }

    /// Gives the room a plan.
    ///
    /// # Errors
    /// The room's sentence on why not.
    pub fn take_plan(&mut self, lesson: Lesson) -> Result<(), Phrase> {
        self.happen(Event::Plan(Box::new(lesson)))
    }

    /// Commands.
    ///
    /// # Errors
    /// The room's sentence on why not.
    pub fn command(&mut self, command: ConductorSays) -> Result<(), Phrase> {
        self.happen(Event::Commanded(command))
    }

    /// Lets the room look at everybody, and gives its picture.
    ///
    /// # Errors
    /// What the room has against it.
    pub fn look(&mut self) -> Result<Box<Snapshot>, Phrase> {
        self.happen(Event::Tick)?;
        Ok(Box::new(self.room.picture(self.now_us)))
    }

    /// What was done so far.
    #[must_use]
    pub fn results(&self) -> Results {
        self.room.results()
    }

    /// What is on its way to devices, by their number, in order; it is then no longer on its way.
    pub fn take_letters(&mut self) -> Vec<(usize, PlayerHears)> {
        std::mem::take(&mut self.letters)
    }

    /// What a room check found since this was asked last.
    pub fn take_check(&mut self) -> Option<Box<RoomCheck>> {
        self.check.take()
    }

    /// What is to be kept, in order, since this was asked last.
    pub fn take_kept(&mut self) -> Vec<Kept> {
        std::mem::take(&mut self.kept)
    }

    /// Everything has been played: what was open is told to be kept as it is.
    pub fn end(&mut self) {
        let last = self.room.last_kept(self.now_us);
        if self.keeps {
            self.kept.extend(last);
        }
    }

    fn happen(&mut self, event: Event) -> Result<(), Phrase> {
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
                    // Whoever drives the room looks when it wants to.
                    Effect::Publish => {}
                    // Whoever drives the room holds it now, so it is as safe as it will be.
                    Effect::Keep(kept) => {
                        events.extend(stored(&kept));
                        if self.keeps {
                            self.kept.push(kept);
                        }
                    }
                    Effect::CannotDo { text } => refusal = Some(text),
                    Effect::Refuse { refused, .. } => refusal = Some(refused.text),
                    // It comes back when it is let in again.
                    Effect::Disconnect { connection } => {
                        events.push(Event::Left { connection });
                    }
                    Effect::ShowCheck(check) => self.check = Some(check),
                }
            }
        }
        refusal.map_or(Ok(()), Err)
    }
}

fn stored(kept: &Kept) -> Option<Event> {
    match kept {
        Kept::Pulses { player_id, seq, .. } => {
            Some(Event::Stored { player_id: player_id.clone(), seq: *seq })
        }
        Kept::Span { player_id, result, .. } => {
            Some(Event::Stored { player_id: player_id.clone(), seq: result.seq })
        }
        _ => None,
    }
}

fn connection_of(device: usize) -> ConnectionId {
    ConnectionId(device as u64)
}

fn device_of(connection: ConnectionId) -> usize {
    usize::try_from(connection.0).expect("devices are numbered by whoever let them in")
}

/// What a device says first: its sound has no latency but its own.
#[must_use]
pub fn hello(name: &Name, instrument: Instrument) -> Hello {
    Hello { calibrated: true, ..Hello::new(CODE, name.clone(), instrument) }
}
