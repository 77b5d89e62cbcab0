//! Every message on the two sockets, as JSON objects with a `type`. Field names carry the unit; see `golden/` for a
//! sample of each, which the browser's tests read too.

use crate::instrument::Instrument;
use crate::judge::State;
use crate::note::Note;
use crate::score::{PerBeat, Score};
use crate::units::{Bpm, Cents, Decibels, Hertz, Micros, Name, Ratio, Share};
use serde::{Deserialize, Serialize};

/// What a player's device says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum PlayerSays {
    /// First message on the socket.
    Hello(Hello),
    /// One half of a clock exchange; answered by [`PlayerHears::Clock`].
    Clock(ClockAsk),
    /// What is heard now. Only the newest counts: a device that cannot send drops older ones.
    Reading(Reading),
    /// Pulses that have become certain; kept by the device until acknowledged.
    Pulses(PulseBatch),
    /// What one span of the score came to; kept by the device until acknowledged.
    SpanResult(SpanResult),
    /// The microphone was opened, refused or lost.
    Microphone(MicrophoneReport),
    /// "I need a rest", or back from it.
    Rest {
        /// Resting from now on, or playing again.
        resting: bool,
    },
}

/// Who is joining.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hello {
    /// Must be [`crate::PROTOCOL_VERSION`].
    pub version: u32,
    /// The room's join code, six signs; case and spaces do not matter.
    pub code: String,
    /// Name or nickname.
    pub name: Name,
    /// Instrument played.
    pub instrument: Instrument,
    /// Given by an earlier [`Welcome`]: the same token gets the same chair back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
    /// Whether the device's sound latency is known and taken out, so that early and late are meant absolutely.
    #[serde(default)]
    pub calibrated: bool,
}

/// A request for the server's time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockAsk {
    /// Tells answers apart.
    pub id: u32,
    /// Device clock when the request left, µs.
    pub t1_us: f64,
}

/// The server's half of a clock exchange.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockAnswer {
    /// Of the request.
    pub id: u32,
    /// Echoed device time, µs.
    pub t1_us: f64,
    /// Server time when the request arrived.
    pub t2_us: Micros,
    /// Server time when this answer left.
    pub t3_us: Micros,
}

/// What kind of sound the device hears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hearing {
    /// Nothing above the noise.
    Silence,
    /// Sound without a steady note, or too little of it to say.
    Unclear,
    /// A tone without pulses.
    Straight,
    /// A tone with pulses.
    Pulsed,
}

/// One reading of a device: what it hears of its own player now. About ten a second.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Counts readings of this device, from 1.
    pub seq: u32,
    /// Server time this reading speaks for.
    pub time_us: Micros,
    /// Kind of sound.
    pub hearing: Hearing,
    /// Level of the player's own sound, dB re full scale.
    pub level_db: Decibels,
    /// Note the cents count from (sounding): the expected one, or the nearest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
    /// Pitch at this moment, cents from the note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cents: Option<Cents>,
    /// Pitch centre over whole pulses, cents from the note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_cents: Option<Cents>,
    /// Pulses a second over the last pulses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulse_rate_hz: Option<Hertz>,
    /// How many pulses the rate rests on.
    #[serde(default)]
    pub n_pulses: u16,
    /// Peak over valley.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_db_pp: Option<Decibels>,
    /// Pitch excursion within a pulse, peak to peak.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swing_cents_pp: Option<Cents>,
    /// Coefficient of variation of the intervals between pulses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evenness_cv: Option<Ratio>,
    /// Slope of the pitch centre, cents in ten seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drift_cents_per_10s: Option<Cents>,
    /// Pitch centre of the last straight tone on this note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub straight_reference_cents: Option<Cents>,
    /// Share of the last valleys in which the tone broke.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub choked_share: Option<Share>,
    /// How sure the device is that this speaks for its own player: 0 not at all, 1 fully.
    pub trust: Share,
    /// Whether that is enough to judge by.
    pub trusted: bool,
}

/// One pulse.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pulse {
    /// Server time of the peak.
    pub time_us: Micros,
    /// Peak over valley.
    pub depth_db: Decibels,
    /// Pitch excursion, peak to peak.
    pub swing_cents: Cents,
    /// Mean pitch of the pulse, cents from the note; absent when it could not be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_cents: Option<Cents>,
    /// Whether the tone broke in the valley before it.
    #[serde(default)]
    pub choked: bool,
}

/// Pulses since the last batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PulseBatch {
    /// Acknowledged by this number; counts up by one.
    pub seq: u32,
    /// In order of time; at most [`PulseBatch::MAX`].
    pub pulses: Vec<Pulse>,
}

impl PulseBatch {
    /// Most pulses in a batch.
    pub const MAX: usize = 64;
}

/// What a player did in one span of a score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpanResult {
    /// Acknowledged by this number, counted together with the pulse batches.
    pub seq: u32,
    /// Score the span belongs to.
    pub score_version: u32,
    /// Its place in that score, from 0.
    pub span_idx: u16,
    /// Pulses found.
    pub n_pulses: u32,
    /// Pulses a second over the whole span.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulse_rate_hz: Option<Hertz>,
    /// Median depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_db_pp: Option<Decibels>,
    /// Median swing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swing_cents_pp: Option<Cents>,
    /// Mean pitch over the span, cents from the note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_cents: Option<Cents>,
    /// Coefficient of variation of the intervals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evenness_cv: Option<Ratio>,
    /// Median of pulse time minus nearest tick.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_ms: Option<f64>,
}

/// State of a device's microphone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MicrophoneReport {
    /// What became of it.
    pub status: MicrophoneStatus,
    /// True sample rate of the audio context.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample_rate_hz: Option<f64>,
    /// Processing the device did not switch off although asked to, read back from its settings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub still_on: Vec<Processing>,
}

/// What became of the microphone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MicrophoneStatus {
    /// Open and listening.
    Listening,
    /// The player or the system said no.
    Refused,
    /// There is none, or the page may not ask.
    Missing,
    /// It was taken away (a call, another program).
    Lost,
}

/// Sound processing that hides vibrato.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Processing {
    /// Echo cancellation.
    EchoCancellation,
    /// Noise suppression.
    NoiseSuppression,
    /// Automatic gain control.
    AutoGainControl,
}

/// What a player's device hears from the server.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum PlayerHears {
    /// The player is in.
    Welcome(Welcome),
    /// Answer to a clock request.
    Clock(ClockAnswer),
    /// The music: what is or will be played, or nothing.
    Score {
        /// Absent when the music has stopped.
        score: Option<Score>,
    },
    /// All pulse batches and span results up to this number are safe; the device may forget them.
    Ack {
        /// Last safe number.
        seq: u32,
    },
    /// How it goes for this player.
    You(You),
    /// The server will close the socket now.
    Refused(Refused),
}

/// Answer to a hello.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Welcome {
    /// This player in this room.
    pub player_id: String,
    /// Give it back when joining again.
    pub token: String,
    /// Seat, from 1.
    pub chair: u16,
    /// Part as shown, such as "flute 2".
    pub part: String,
    /// Section or ensemble.
    pub section: String,
    /// Tuning of A4.
    pub a4_hz: Hertz,
    /// Last pulse batch or span result already safe; 0 if none.
    pub acknowledged: u32,
    /// The music now, if any.
    pub score: Option<Score>,
}

/// How it goes for one player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct You {
    /// In one of the agreed words.
    pub state: State,
    /// What the state rests on, a few words such as "+16 cents, rising"; may be empty.
    pub evidence: String,
    /// One sentence on what to do.
    pub sentence: String,
    /// Median of pulse time minus tick, if calibrated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_ms: Option<f64>,
}

/// Why the server ends a connection. Each has a close code of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Refused {
    /// Which rule.
    pub reason: RefusedReason,
    /// For the person: what is wrong and what to do.
    pub text: String,
}

/// Reasons to end a connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusedReason {
    /// The page is older or newer than the server.
    Version,
    /// No such room.
    Code,
    /// All chairs are taken.
    Full,
    /// A message could not be understood.
    Malformed,
    /// More messages than a device ever needs to send.
    TooFast,
    /// The first message was not a hello, or a second hello came.
    OutOfTurn,
    /// Not the conductor.
    Key,
    /// The same player joined from another page or device.
    Replaced,
    /// The server is shutting down.
    Closing,
}

impl RefusedReason {
    /// WebSocket close code; 4000 and above are an application's own (RFC 6455, section 7.4.2).
    pub fn close_code(self) -> u16 {
        match self {
            RefusedReason::Version => 4000,
            RefusedReason::Code => 4001,
            RefusedReason::Full => 4002,
            RefusedReason::Malformed => 4003,
            RefusedReason::TooFast => 4004,
            RefusedReason::OutOfTurn => 4005,
            RefusedReason::Key => 4006,
            RefusedReason::Replaced => 4007,
            RefusedReason::Closing => 4008,
        }
    }
}

/// What the conductor's page says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum ConductorSays {
    /// One half of a clock exchange.
    Clock(ClockAsk),
    /// Count in and play with the present settings.
    Start,
    /// Stop now.
    Stop,
    /// From the exercise's start, with a count-in.
    Again,
    /// New tempo; takes effect at the next bar line while playing.
    SetTempo {
        /// Tempo.
        bpm: Bpm,
    },
    /// New subdivision; takes effect at the next bar line while playing.
    SetSubdivision {
        /// Pulses in a beat; 0 asks for a straight tone.
        per_beat: u8,
    },
    /// Bars counted in at the next start: 0, 1 or 2.
    SetCountIn {
        /// Bars.
        bars: u8,
    },
    /// Sounding note for everyone at the next start, or none.
    SetNote {
        /// Absent: everyone plays what they like.
        note: Option<Note>,
    },
}

/// What the conductor's page hears.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum ConductorHears {
    /// The whole room; sent at a fixed rate, never as a difference.
    Room(Box<Snapshot>),
    /// Answer to a clock request.
    Clock(ClockAnswer),
    /// A command could not be carried out.
    CannotDo {
        /// What is wrong and what to do.
        text: String,
    },
    /// The server will close the socket now.
    Refused(Refused),
}

/// What the next start will use.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Tempo.
    pub bpm: Bpm,
    /// Beats in a bar.
    pub beats_per_bar: u8,
    /// Pulses in a beat; absent asks for a straight tone.
    pub per_beat: Option<PerBeat>,
    /// Bars counted in.
    pub count_in_bars: u8,
    /// Sounding note for everyone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
}

/// The room at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// Server time of this picture.
    pub time_us: Micros,
    /// Join code.
    pub code: String,
    /// Section or ensemble.
    pub section_name: String,
    /// Title of the exercise, such as "Triplets at 66".
    pub title: String,
    /// What the next start will use.
    pub settings: Settings,
    /// The music now, if any.
    pub score: Option<Score>,
    /// Players in chair order.
    pub lanes: Vec<Lane>,
    /// The section as one.
    pub section: SectionNow,
    /// One thing to say to one player.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub say: Option<Say>,
}

/// One player on the conductor's page.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lane {
    /// This player in this room.
    pub player_id: String,
    /// Seat, from 1.
    pub chair: u16,
    /// Name as typed.
    pub name: Name,
    /// Instrument.
    pub instrument: Instrument,
    /// Such as "flute 2".
    pub part: String,
    /// In one of the agreed words.
    pub state: State,
    /// What the state rests on; may be empty.
    pub evidence: String,
    /// Whether the newest reading may be judged by.
    pub trusted: bool,
    /// State of the microphone; absent until the device has said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub microphone: Option<MicrophoneStatus>,
    /// Whether early and late are meant absolutely.
    pub calibrated: bool,
    /// Sounding note the cents count from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
    /// Pulses a second.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulse_rate_hz: Option<Hertz>,
    /// Pitch centre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_cents: Option<Cents>,
    /// Depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_db_pp: Option<Decibels>,
    /// Swing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swing_cents_pp: Option<Cents>,
    /// Median of pulse time minus tick.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_ms: Option<f64>,
    /// Pulses of the last bars, oldest first.
    pub pulses: Vec<LanePulse>,
    /// Pitch centre over the last eight beats, oldest first: server time (µs) and cents.
    pub centre_tail: Vec<(f64, f64)>,
}

/// A mark in the raster.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LanePulse {
    /// Server time of the peak.
    pub time_us: Micros,
    /// Peak over valley.
    pub depth_db: Decibels,
    /// Whether the tone broke in the valley before it.
    pub choked: bool,
}

/// The section as one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SectionNow {
    /// Players in the room.
    pub n_players: u16,
    /// Players whose readings may be judged by.
    pub n_heard: u16,
    /// Players matched.
    pub n_matched: u16,
    /// Resultant length of the pulses' phases against the tick, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub together: Option<Share>,
    /// Circular standard deviation of the same, ms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread_ms: Option<f64>,
    /// Mean of the same, ms; negative is early.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_ms: Option<f64>,
}

/// One thing to say to one player.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Say {
    /// To whom.
    pub player_id: String,
    /// As a teacher would.
    pub text: String,
}
