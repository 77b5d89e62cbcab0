//! The format `windrow.session`, version 1: one rehearsal with everything that is kept of it. Plain data as serde writes it; what its
//! fields mean stands in `records/session.schema.json`, which a test holds against these types.

use serde::{Deserialize, Serialize};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::RoomCheck;
use windrow_protocol::score::Score;
use windrow_protocol::units::{Cents, Decibels, Hertz, Name, Ratio};
use windrow_room::KeptRun;

/// What a file begins with.
pub(crate) const FORMAT: &str = "windrow.session";
/// Of the format. A reader of a version takes nothing newer.
pub(crate) const VERSION: u32 = 1;

/// A rehearsal, or a practice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Document {
    pub(crate) format: String,
    pub(crate) version: u32,
    /// Such as "windrow 0.1.0".
    pub(crate) made_by: String,
    /// Whether players are named; else they are called by their chairs.
    pub(crate) has_names: bool,
    pub(crate) rehearsal_id: String,
    /// Several where the server was started again on the way; in order of time.
    pub(crate) sessions: Vec<Session>,
}

/// One run of the server. Its times named `_us` are microseconds since `time_nought_utc`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Session {
    pub(crate) session_id: String,
    /// Made where it was recorded: by it nothing is taken in twice.
    pub(crate) origin_id: String,
    pub(crate) kind: Kind,
    /// Whether nobody played it.
    pub(crate) invented: bool,
    pub(crate) section_name: Name,
    pub(crate) a4_hz: Hertz,
    pub(crate) time_nought_utc: String,
    /// None where the server ended without a goodbye.
    pub(crate) ended_us: Option<i64>,
    pub(crate) players: Vec<Player>,
    pub(crate) plans: Vec<PlanAsRun>,
    pub(crate) room_checks: Vec<CheckAsFound>,
    pub(crate) scores: Vec<Score>,
    pub(crate) runs: Vec<KeptRun>,
}

/// What a session was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Kind {
    /// With others.
    Rehearsal,
    /// At home.
    Practice,
    /// Sound files measured later.
    Recording,
}

impl Kind {
    /// As it is written.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Rehearsal => "rehearsal",
            Self::Practice => "practice",
            Self::Recording => "recording",
        }
    }
}

/// Who played.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Player {
    pub(crate) player_id: String,
    /// In the section's list; none for a nickname, and where names are left out.
    pub(crate) person_id: Option<String>,
    pub(crate) name: Name,
    pub(crate) instrument: Instrument,
    pub(crate) chair: u16,
    /// Whether early and late are meant absolutely.
    pub(crate) calibrated: bool,
    pub(crate) pulses: Pulses,
    pub(crate) span_results: Vec<SpanAsTold>,
}

/// Every pulse, as columns of one length.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pulses {
    pub(crate) time_us: Vec<i64>,
    pub(crate) depth_db_pp: Vec<Decibels>,
    pub(crate) swing_cents_pp: Vec<Cents>,
    /// None where the tone was too broken to tell.
    pub(crate) mean_cents: Vec<Option<Cents>>,
    pub(crate) choked: Vec<bool>,
}

impl Pulses {
    pub(crate) fn len(&self) -> usize {
        self.time_us.len()
    }
}

/// What a device told of one span of a score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SpanAsTold {
    pub(crate) score_version: u32,
    /// Place in that score, from 0.
    pub(crate) span_idx: u16,
    pub(crate) n_pulses: u32,
    pub(crate) pulse_rate_hz: Option<Hertz>,
    pub(crate) depth_db_pp: Option<Decibels>,
    pub(crate) swing_cents_pp: Option<Cents>,
    pub(crate) centre_cents: Option<Cents>,
    pub(crate) evenness_cv: Option<Ratio>,
    pub(crate) timing_ms: Option<f64>,
    /// Shown when it came.
    pub(crate) state: State,
}

/// A plan from when on it was the room's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanAsRun {
    pub(crate) taken_us: i64,
    pub(crate) title: String,
    /// As its file has it, with every sign.
    pub(crate) text: String,
}

/// A room check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CheckAsFound {
    pub(crate) checked_us: i64,
    pub(crate) found: RoomCheck,
}
