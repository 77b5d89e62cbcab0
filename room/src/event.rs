//! What happened in a room, and what is to be done about it. Plain data; knows only the protocol.

#![expect(missing_docs, reason = "what happens is explained; names and types of the fields say the rest")]

use super::lesson::Lesson;
use super::results::KeptRun;
use super::troubles::Part;
use serde::{Deserialize, Serialize};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, DoorState, Hello, MicrophoneCheck, MicrophoneReport, PlayerHears, PlayerSays, Pulse,
    PulseBatch, Reading, Refused, RoomCheck, SpanResult,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Score;
use windrow_protocol::units::Name;

/// One socket of a player; the number is never used twice while the server runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ConnectionId(pub u64);

/// Identity for a player who has none yet. Random, so it comes from outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreshIds {
    /// Within this session.
    pub player_id: String,
    /// The device's secret.
    pub token: String,
}

/// A device that asks for a chair.
#[derive(Debug, Clone, PartialEq)]
pub struct Joining {
    /// Its connection.
    pub connection: ConnectionId,
    /// What it says.
    pub hello: Hello,
    /// For a player who has none yet.
    pub fresh: FreshIds,
    /// What is known of it.
    pub device: KnownDevice,
    /// Whether this is a player of the imaginary section, who only shows how things go.
    pub is_imaginary: bool,
}

/// What the records know of a device by its token.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KnownDevice {
    /// Whether the token was given by this server.
    pub is_known: bool,
    /// Whose it is; `None` for a nickname's.
    pub person_id: Option<String>,
    /// Whether it is certain to be that person's: their first, or one the conductor confirmed.
    pub is_confirmed: bool,
    /// Its last number that is safe from this very rehearsal, where another server held it before; 0 for none.
    pub acknowledged: u32,
}

/// Somebody in the section's list, in chair order there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// In the list.
    pub person_id: String,
    /// As the list has it.
    pub name: Name,
    /// What is played.
    pub instrument: Instrument,
    /// Empty: the room makes one.
    pub part: String,
}

/// What may change about who is who.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RosterChange {
    /// The list, whole, as it is now.
    List { section: Name, people: Vec<Person> },
    /// A player who came with a nickname is this person.
    Seated { player_id: String, person_id: String },
    /// Two people are one.
    Merged { from: String, into: String },
    /// A player is sent out of the room; what was recorded stays.
    SentOut { player_id: String },
    /// Records are about to be erased.
    Erased { whose: Whose, by_player: bool },
}

/// Whose records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// A person's, of all devices; with the token of the device that asks, if one does.
    Person { person_id: String, token: Option<String> },
    /// Those of one device alone, by its token.
    Device(String),
}

/// A chair, taken or not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SeatInfo {
    /// From 1.
    pub chair: u16,
    /// Absent for a player who is not in the list.
    pub person_id: Option<String>,
    /// Absent for a person who has not been in this session.
    pub player_id: Option<String>,
    pub name: Name,
    pub instrument: Instrument,
    pub part: String,
    pub is_in: bool,
}

/// What happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A device asks for a chair; version and code have been checked.
    Joined(Box<Joining>),
    /// A device's socket is gone.
    Left { connection: ConnectionId },
    /// A device told something.
    Told { connection: ConnectionId, what: Told },
    /// How the room's door is now.
    Door { code: String, state: DoorState },
    /// The conductor wants something.
    Commanded(ConductorSays),
    /// The conductor has chosen a plan.
    Plan(Box<Lesson>),
    /// The imaginary section is to play a plan; the room's own comes back when it has gone.
    Lent(Box<Lesson>),
    /// The section's list has changed, or who somebody is.
    Roster(RosterChange),
    /// A record is safe on disk.
    Stored { player_id: String, seq: u32 },
    /// A record could not be written; the device still has it.
    NotStored { player_id: String },
    /// A part of the server fails, as the text has it, or works again.
    Trouble { part: Part, text: Option<Phrase> },
    /// Something went wrong and is over; the conductor should read it once.
    Passed { text: Phrase },
    /// The conductor has seen enough of the imaginary section.
    SentAway,
    /// Time to look at everybody and publish.
    Tick,
}

/// What a device tells after it has joined. A clock request never comes this far.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    Reading(Box<Reading>),
    Pulses(PulseBatch),
    SpanResult(Box<SpanResult>),
    Microphone(MicrophoneReport),
    Check(MicrophoneCheck),
    /// Not by the device itself, but by the conversation with it: whether it goes over a line instead of a socket.
    Way {
        over_line: bool,
    },
    /// By the conversation as well: whether nothing has come from the device for a while, though its connection stands.
    Quiet {
        is_quiet: bool,
    },
    Rest {
        resting: bool,
    },
    Timing {
        calibrated: bool,
    },
}

impl Told {
    /// What a device says, where it is for the room: hellos and clocks are answered by whoever speaks with the device.
    pub fn of(says: PlayerSays) -> Option<Self> {
        Some(match says {
            PlayerSays::Reading(reading) => Told::Reading(Box::new(reading)),
            PlayerSays::Pulses(batch) => Told::Pulses(batch),
            PlayerSays::SpanResult(result) => Told::SpanResult(Box::new(result)),
            PlayerSays::Microphone(report) => Told::Microphone(report),
            PlayerSays::Check(check) => Told::Check(check),
            PlayerSays::Rest { resting } => Told::Rest { resting },
            PlayerSays::Timing { calibrated } => Told::Timing { calibrated },
            PlayerSays::Hello(_) | PlayerSays::Clock(_) => return None,
        })
    }
}

/// What to do.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Say something to one device.
    Send { connection: ConnectionId, message: PlayerHears },
    /// Say the same to many devices, at one moment.
    SendAll { connections: Vec<ConnectionId>, message: PlayerHears },
    /// Say why and end the connection.
    Refuse { connection: ConnectionId, refused: Refused },
    /// End the connection without a word: the device comes back by itself and sends again what was not kept.
    Disconnect { connection: ConnectionId },
    /// Tell the conductor who commanded that it cannot be done.
    CannotDo { text: Phrase },
    /// The picture of the room is another: show it to whoever looks ([`super::Room::picture`]).
    Publish,
    /// Show what the room check found.
    ShowCheck(Box<RoomCheck>),
    /// Write to the records.
    Keep(Kept),
}

/// Whose a device is from now on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Binding {
    /// The player's person, if there is one; else as before.
    Person,
    /// The same, and the conductor said so.
    Confirmed,
    /// Nobody's.
    Nobody,
}

/// What goes to the records. As text it is what a device keeps of a practice without a server.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum Kept {
    /// A player sits down, or changed name, instrument or chair.
    Player {
        player_id: String,
        chair: u16,
        name: String,
        instrument: Instrument,
        calibrated: bool,
        /// Of the device; the records keep what cannot be turned back into it.
        token: String,
        person_id: Option<String>,
        binding: Binding,
    },
    /// The music changed.
    Score { score: Score },
    /// Pulses of a player.
    Pulses { player_id: String, seq: u32, pulses: Vec<Pulse> },
    /// A span's result of a player, with the state shown when it came.
    Span { player_id: String, result: Box<SpanResult>, state: State },
    /// A time through an exercise: what it came to, or came to so far. It replaces the one before of the same number.
    Run(Box<KeptRun>),
    /// The plan that is played from now on, as its file has it.
    Plan { taken_us: f64, title: String, text: String },
    /// What a room check found.
    Check { checked_us: f64, found: Box<RoomCheck> },
}
