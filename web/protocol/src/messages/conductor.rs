//! What the conductor's page and the server say to each other. Plain data; no rule of a rehearsal.

use super::{
    Capture, ClockAnswer, ClockAsk, ExerciseNow, MicrophoneCheck, MicrophoneStatus, Refused, RoomChange,
    Suggestion,
};
use crate::instrument::Instrument;
use crate::judge::State;
use crate::note::Note;
use crate::phrase::Phrase;
use crate::score::{ChairNote, Score, Target, TickFrom};
use crate::units::{Bpm, Cents, Decibels, Hertz, Micros, Name, Share};
use crate::voicing::{Tuning, Voicing};
use serde::{Deserialize, Serialize};

/// What the conductor's page says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum ConductorSays {
    /// One half of a clock exchange.
    Clock(ClockAsk),
    /// From now on this page is sent what is different since the picture before, instead of whole pictures.
    Changes,
    /// Count in and play the exercise from its start.
    Start,
    /// End the music; it can go on later in the bar in which it ended.
    Stop {
        /// Absent: now.
        #[serde(default = "Moment::now")]
        at: Moment,
    },
    /// Go on where the music was stopped, counted in; or let a held span end at the next bar line.
    GoOn,
    /// From the exercise's start, counted in.
    Again {
        /// Absent: now.
        #[serde(default = "Moment::now")]
        at: Moment,
    },
    /// The next exercise; counted in if music is playing.
    Next {
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// The exercise before; counted in if music is playing.
    Back {
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// Let the span that is played go on until [`ConductorSays::GoOn`].
    Hold,
    /// The whole exercise one metronome mark slower.
    Slower {
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// The whole exercise one metronome mark faster.
    Faster {
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// New tempo of the span that is played.
    SetTempo {
        /// Tempo.
        bpm: Bpm,
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// New subdivision of the exercise.
    SetSubdivision {
        /// Pulses in a beat; 0 asks for a straight tone.
        per_beat: u8,
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// Bars counted in at the next start: 0, 1 or 2.
    SetCountIn {
        /// Bars.
        bars: u8,
    },
    /// Sounding note at the next start, or none.
    SetNote {
        /// Absent: as they like; for a chair: as everyone.
        note: Option<Note>,
        /// One chair, from 1; absent: every chair that has no note of its own.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        chair: Option<u16>,
    },
    /// How the note is spread over the chairs from the next start on.
    SetVoicing {
        /// Which way.
        voicing: Voicing,
    },
    /// Who plays when, from the next start on.
    SetTurns {
        /// Which way.
        turns: Turns,
    },
    /// Where the notes of a chord lie, from the next start on.
    SetTuning {
        /// Which way.
        tuning: Tuning,
    },
    /// An exercise of the plan, played or not as [`ConductorSays::Next`].
    Choose {
        /// Its place, from 1.
        exercise: u16,
        /// Absent: the next bar line.
        #[serde(default = "Moment::bar")]
        at: Moment,
    },
    /// What happens when an exercise has come to its end.
    SetFlow {
        /// Which way.
        flow: Flow,
    },
    /// One rung back on a ladder, counted in.
    StepBack,
    /// Who makes the tick heard, at once.
    SetTick {
        /// Which devices.
        from: TickFrom,
    },
    /// Let each chair hold a straight note alone for a bar, and measure what every device hears of it.
    CheckRoom {
        /// These chairs; absent or empty: everybody who is in.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        chairs: Vec<u16>,
    },
    /// Answers a notice.
    Answer {
        /// Which.
        notice: u32,
        /// One of those it offers.
        answer: NoticeAnswer,
    },
}

/// What a conductor may answer to a notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoticeAnswer {
    /// It was read.
    Seen,
    /// Of two devices on one name: the one that is in stays, the other chooses again.
    KeepFirst,
    /// The other takes its place.
    SecondTakesOver,
    /// The other comes in as a nickname of its own.
    SecondIsNickname,
}

/// Who plays when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turns {
    /// Everybody at once.
    #[default]
    Together,
    /// One after another, in chair order.
    DownTheLine,
    /// Two after two.
    Pairs,
}

/// What happens when an exercise has come to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flow {
    /// The conductor says when.
    #[default]
    Wait,
    /// After its rest the next one is counted in.
    GoOn,
}

/// When a command takes effect. A moment that is too near for every device to know of it in time is left out: the next
/// of its kind counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moment {
    /// At once; a change within the music on the next beat.
    Now,
    /// On the next beat.
    Beat,
    /// On the next bar line.
    Bar,
    /// When the exercise ends or begins anew.
    Exercise,
}

impl Moment {
    fn now() -> Self {
        Moment::Now
    }

    fn bar() -> Self {
        Moment::Bar
    }
}

/// What the conductor's page hears.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum ConductorHears {
    /// The whole room.
    Room(Box<Snapshot>),
    /// What is different since the last picture that was sent over this connection, after [`ConductorSays::Changes`].
    RoomChange(Box<RoomChange>),
    /// Answer to a clock request.
    Clock(ClockAnswer),
    /// A command could not be carried out.
    CannotDo {
        /// What is wrong and what to do.
        text: Phrase,
    },
    /// The server will close the socket now.
    Refused(Refused),
}

/// What is set: for the span that is played, and for the next start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Tempo.
    pub bpm: Bpm,
    /// The next slower metronome mark, if there is one.
    pub slower_bpm: Option<Bpm>,
    /// The next faster metronome mark, if there is one.
    pub faster_bpm: Option<Bpm>,
    /// Beats in a bar.
    pub beats_per_bar: u8,
    /// What is asked of the players.
    pub target: Target,
    /// Bars counted in.
    pub count_in_bars: u8,
    /// Sounding note of every chair that has none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
    /// Sounding notes of single chairs, set by hand.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<ChairNote>,
    /// How the note is spread over the chairs.
    #[serde(default)]
    pub voicing: Voicing,
    /// Where the notes of a chord lie.
    #[serde(default)]
    pub tuning: Tuning,
    /// Who plays when.
    #[serde(default)]
    pub turns: Turns,
    /// What happens at an exercise's end.
    #[serde(default)]
    pub flow: Flow,
    /// Who makes the tick heard.
    pub tick: TickFrom,
}

/// The room at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// Server time of this picture.
    pub time_us: Micros,
    /// Join code.
    pub code: String,
    /// Whether the code lets anybody new in.
    #[serde(default)]
    pub door: DoorState,
    /// Section or ensemble.
    pub section_name: String,
    /// Title of the exercise, such as "Triplets at 66".
    pub title: Phrase,
    /// What is set.
    pub settings: Settings,
    /// Which exercise is on.
    pub exercise: ExerciseNow,
    /// The music now, if any.
    pub score: Option<Score>,
    /// Players in chair order.
    pub lanes: Vec<Lane>,
    /// The section as one.
    pub section: SectionNow,
    /// One thing to say to one player.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub say: Option<Say>,
    /// What to do next, once an exercise has been played.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub suggestion: Option<Suggestion>,
    /// Version of the newest [`super::Results`]; 0 before the first exercise was played.
    #[serde(default)]
    pub results: u32,
    /// Chairs whose turn it is, where not all play.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub turn: Vec<u16>,
    /// The room check, once there has been one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check: Option<CheckNow>,
    /// Players who could be in: everybody in the section's list, and whoever else has come. "8 of 9 are in".
    #[serde(default)]
    pub expected: u16,
    /// What the conductor should know or decide about who is who.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notices: Vec<Notice>,
    /// Whether those who are in are the imaginary section: invented, and nothing of them is kept.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub imaginary: bool,
}

/// Whether a room lets anybody new in; who is in may always come back.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoorState {
    /// Whoever has the code.
    #[default]
    Open,
    /// Nobody, by the conductor.
    Closed,
    /// Nobody: it closed by itself, since nobody was connected for so long.
    TimedOut,
}

/// Where the room check is; what it found is a picture of its own, [`super::RoomCheck`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct CheckNow {
    /// Version of the newest [`super::RoomCheck`].
    pub version: u32,
    /// Whether it is running.
    pub is_running: bool,
    /// Whose turn it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chair: Option<u16>,
}

/// Something the conductor should know or decide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Notice {
    /// To answer it by.
    pub id: u32,
    /// What is the matter.
    pub text: Phrase,
    /// What can be answered.
    pub answers: Vec<NoticeAnswer>,
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
    pub evidence: Phrase,
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
    /// What the player's check of the microphone found; absent until it was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check: Option<MicrophoneCheck>,
    /// Whether the device goes by posts and an event stream, since no socket reaches it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub over_line: bool,
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

/// One thing to say: to one player, to those of one instrument, or to everybody.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Say {
    /// To whom; of several the first in chair order.
    pub player_id: String,
    /// The others whom it is meant for as well.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// As a teacher would.
    pub text: Phrase,
}
