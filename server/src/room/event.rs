//! What happened in a room, and what is to be done about it. Plain data; knows only the protocol.

use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, Hello, MicrophoneCheck, MicrophoneReport, PlayerHears, Pulse, PulseBatch, Reading,
    Refused, RoomCheck, Snapshot, SpanResult,
};
use windrow_protocol::score::Score;

/// One socket of a player; the number is never used twice while the server runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) struct ConnectionId(pub(crate) u64);

/// Identity for a player who has none yet. Random, so it comes from outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct FreshIds {
    pub(crate) player_id: String,
    pub(crate) token: String,
}

/// What happened.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Event {
    /// A device asks for a chair; version and code have been checked.
    Joined { connection: ConnectionId, hello: Box<Hello>, fresh: FreshIds },
    /// A device's socket is gone.
    Left { connection: ConnectionId },
    /// A device told something.
    Told { connection: ConnectionId, what: Told },
    /// The door has another join code.
    CodeChanged { code: String },
    /// The conductor wants something.
    Commanded(ConductorSays),
    /// A record is safe on disk.
    Stored { player_id: String, seq: u32 },
    /// A record could not be written; the device still has it.
    NotStored { player_id: String },
    /// Time to look at everybody and publish.
    Tick,
}

/// What a device tells after it has joined. A clock request never comes this far.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Told {
    Reading(Box<Reading>),
    Pulses(PulseBatch),
    SpanResult(Box<SpanResult>),
    Microphone(MicrophoneReport),
    Check(MicrophoneCheck),
    /// Not by the device itself, but by the conversation with it: whether it goes over a line instead of a socket.
    Way {
        over_line: bool,
    },
    Rest {
        resting: bool,
    },
    Timing {
        calibrated: bool,
    },
}

/// What to do.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Effect {
    /// Say something to one device.
    Send { connection: ConnectionId, message: PlayerHears },
    /// Say the same to many devices, at one moment.
    SendAll { connections: Vec<ConnectionId>, message: PlayerHears },
    /// Say why and end the connection.
    Refuse { connection: ConnectionId, refused: Refused },
    /// End the connection without a word: the device comes back by itself and sends again what was not kept.
    Disconnect { connection: ConnectionId },
    /// Tell the conductor who commanded that it cannot be done.
    CannotDo { text: String },
    /// Show everybody's state.
    Publish(Box<Snapshot>),
    /// Show what the room check found.
    ShowCheck(Box<RoomCheck>),
    /// Write to the records.
    Keep(Kept),
}

/// What goes to the records.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Kept {
    /// A player sits down, or changed name or instrument.
    Player { player_id: String, chair: u16, name: String, instrument: &'static str, calibrated: bool },
    /// The music changed.
    Score { score: Score },
    /// Pulses of a player.
    Pulses { player_id: String, seq: u32, pulses: Vec<Pulse> },
    /// A span's result of a player, with the state shown when it came.
    Span { player_id: String, result: Box<SpanResult>, state: State },
}
