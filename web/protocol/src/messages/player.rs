//! What a player's device and the server say to each other. Plain data; no rule of a rehearsal.

use super::{Brief, ClockAnswer, ClockAsk, Refused};
use crate::instrument::Instrument;
use crate::judge::State;
use crate::note::Note;
use crate::phrase::Phrase;
use crate::score::Score;
use crate::units::{Cents, Decibels, Hertz, Micros, Name, Ratio, Share};
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
    /// The player has checked the microphone.
    Check(MicrophoneCheck),
    /// "I need a rest", or back from it.
    Rest {
        /// Resting from now on, or playing again.
        resting: bool,
    },
    /// Whether the device's sound latency is known has changed since the hello: it was measured, or another headphone was
    /// plugged in.
    Timing {
        /// As [`Hello::calibrated`].
        calibrated: bool,
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
    /// Given by an earlier [`Welcome`]: the device is known by it, in this rehearsal and the next, and so is its player.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
    /// Who of the section's list this is, where the player tapped a name; name and instrument are then the list's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// The player knows that this person is in from another device, and says to be that person all the same.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub takes_over: bool,
    /// Whether the device's sound latency is known and taken out, so that early and late are meant absolutely.
    #[serde(default)]
    pub calibrated: bool,
}

impl Hello {
    /// Of a device that nobody knows yet, for a player who types a name.
    pub fn new(code: &str, name: Name, instrument: Instrument) -> Self {
        Self {
            version: crate::PROTOCOL_VERSION,
            code: code.to_owned(),
            name,
            instrument,
            token: None,
            person: None,
            takes_over: false,
            calibrated: false,
        }
    }
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
    /// What the microphone's path does to the sound; absent where it leaves the sound alone, as far as is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capture: Option<Capture>,
}

/// What the way from a microphone to the samples does to a sound, as heard in the sound itself; what the device says of
/// itself stands in [`MicrophoneReport`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Capture {
    /// Share of the last seconds' samples that are clipped.
    pub clipped_share: Share,
    /// Whether that is enough to change what is heard.
    pub clips: bool,
    /// Where the sound ends like a wall, as behind a wireless headset: 4,000 or 8,000 Hz, or half of a low sample rate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub band_hz: Option<Hertz>,
    /// Whether the level is turned up in pauses and down again in tones.
    pub gain_riding: bool,
}

impl Capture {
    /// Whether levels are not the player's own, so that depth must not be judged.
    pub fn changes_levels(&self) -> bool {
        self.clips || self.gain_riding
    }
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
    /// Sample rate of the audio context, or of the microphone where that says a lower one.
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
    /// There is none.
    Missing,
    /// The page may not ask, since it did not come over https.
    Insecure,
    /// It was taken away (a call, another program).
    Lost,
}

/// What a player's check of the microphone found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MicrophoneCheck {
    /// What is to be changed, worst first; empty where all is well.
    pub findings: Vec<CheckFinding>,
    /// Level of the player's long tone, dB re full scale; absent where none was heard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tone_db: Option<Decibels>,
    /// Level of the sound while the player was silent, dB re full scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub noise_db: Option<Decibels>,
}

impl MicrophoneCheck {
    /// Most findings: one of each kind.
    pub const MAX_FINDINGS: usize = 10;
}

/// One thing that a check of the microphone can find.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckFinding {
    /// Nothing at all comes from the microphone.
    Dead,
    /// No tone was heard.
    NoTone,
    /// The tone is cut off at its top.
    Clipped,
    /// The device takes the tone for noise and turns it off.
    Gated,
    /// The device turns the level by itself.
    LevelTurned,
    /// The sound is a speech headset's: low sample rate or cut off at 4 or 8 kHz.
    Headset,
    /// The tone is hardly louder than what sounds without it.
    Noisy,
    /// The tone is soft.
    Soft,
    /// The tone is not the note that is asked.
    OtherNote,
    /// The device says that it changes the sound.
    Processed,
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
    /// What is being practised, since that changed.
    Exercise(Brief),
    /// How it goes for this player.
    You(You),
    /// Where the player sits and as whom, since that changed.
    Seat(SeatNow),
    /// Something about the player's place to read, before or after the welcome.
    Notice {
        /// Empty to take the last one away.
        text: Phrase,
    },
    /// The server will close the socket now.
    Refused(Refused),
}

/// Answer to a hello.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Welcome {
    /// This player in this room.
    pub player_id: String,
    /// Give it back when joining again, here or in a later rehearsal.
    pub token: String,
    /// Seat, from 1.
    pub chair: u16,
    /// As the room calls the player; see [`SeatNow`].
    pub name: Name,
    /// Instrument.
    pub instrument: Instrument,
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
    /// What is being practised.
    #[serde(default)]
    pub exercise: Brief,
}

/// Where a player sits and as whom.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeatNow {
    /// Seat, from 1.
    pub chair: u16,
    /// As the room calls the player: as typed, with a number where somebody else has the name, or as in the section's list.
    pub name: Name,
    /// Instrument.
    pub instrument: Instrument,
    /// Part as shown, such as "flute 2".
    pub part: String,
}

/// How it goes for one player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct You {
    /// In one of the agreed words.
    pub state: State,
    /// What the state rests on, a few words such as "+16 cents, rising"; may be empty.
    pub evidence: Phrase,
    /// One sentence on what to do.
    pub sentence: Phrase,
    /// Constant offset that the room leaves out of this player's pulses before it draws or compares them, ms, since the
    /// device is not calibrated; the player's own page leaves it out as well. 0 for a calibrated device.
    #[serde(default)]
    pub left_out_ms: f64,
    /// Median of pulse time minus tick, if calibrated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing_ms: Option<f64>,
}
