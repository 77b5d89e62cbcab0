//! What the conductor's page and the server say to each other. Plain data; no rule of a rehearsal.

use super::{Capture, ClockAnswer, ClockAsk, MicrophoneStatus, Refused};
use crate::instrument::Instrument;
use crate::judge::State;
use crate::note::Note;
use crate::score::{PerBeat, Score};
use crate::units::{Bpm, Cents, Decibels, Hertz, Micros, Name, Share};
use serde::{Deserialize, Serialize};

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
    /// What the microphone's path does to the sound; absent where it leaves the sound alone, as far as is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capture: Option<Capture>,
    /// Whether the device says that its automatic gain control is still on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub gain_control_on: bool,
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
