//! What is stored about the player of one device, for that player: in short, whole, and its end. A device speaks for all
//! of a person's records only where it is certain to be theirs; any other one for what it recorded itself.

use super::dates::in_full;
use super::{Roster, RosterError, mine_runs};
use crate::store::{PlayedRow, Whose, token_sha256};
use crate::words::Words;
use serde::Serialize;
use serde_json::{Value, json};

/// Whose device it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Who {
    pub(crate) name: String,
    /// Slug.
    pub(crate) instrument: String,
    /// As the room shows it, or as typed; empty if unknown.
    pub(crate) part: String,
    /// Absent for a nickname.
    pub(crate) person_id: Option<String>,
}

/// What is stored, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Summary {
    pub(crate) name: String,
    /// Slug.
    pub(crate) instrument: String,
    pub(crate) part: String,
    /// Section whose list has this player; empty for a nickname.
    pub(crate) section: String,
    /// Whether this is all: a device that is not confirmed sees only what it recorded itself.
    pub(crate) is_all: bool,
    pub(crate) sessions: Vec<SessionSummary>,
    pub(crate) devices: Vec<DeviceSummary>,
    pub(crate) n_pulses: i64,
    pub(crate) n_spans: i64,
    /// Days after which a session is erased.
    pub(crate) keep_days: i64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct SessionSummary {
    /// By RFC 3339.
    pub(crate) date: String,
    pub(crate) section: String,
    pub(crate) name: String,
    pub(crate) n_pulses: i64,
    pub(crate) n_spans: i64,
    /// "rehearsal", "practice" or "recording".
    pub(crate) kind: &'static str,
    pub(crate) invented: bool,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct DeviceSummary {
    /// By RFC 3339.
    pub(crate) last_in: String,
    pub(crate) is_this_one: bool,
}

/// The fields of the whole record; what each means goes with the record.
const FIELDS: [&str; 50] = [
    "date_utc",
    "time_ms",
    "depth_db",
    "swing_cents",
    "mean_cents",
    "choked",
    "score_version",
    "span_idx",
    "pulse_rate_hz",
    "depth_db_pp",
    "swing_cents_pp",
    "centre_cents",
    "evenness_cv",
    "timing_ms",
    "state",
    "calibrated",
    "kind",
    "invented",
    "n_pulses",
    "number",
    "began_ms",
    "ended_ms",
    "left_out_ms",
    "whole",
    "states",
    "centres",
    "ease_beats",
    "hairpin",
    "run",
    "part_idx",
    "target",
    "per_beat",
    "bpm",
    "bpm_to",
    "loosely",
    "bars",
    "asked_s",
    "judged_s",
    "held",
    "trusted",
    "matched",
    "pulses_per_beat",
    "timing_spread_ms",
    "drift_cents",
    "from_straight_cents",
    "checked_ms",
    "finding",
    "own_db",
    "noise_db",
    "apart_db",
];

impl Roster {
    /// Whose device this is.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn who(&self, token: &str) -> Result<Option<Who>, RosterError> {
        let hash = token_sha256(token);
        let Some(device) = self.store.device(&hash).await? else { return Ok(None) };
        if let Some(person_id) = device.person_id {
            return self.who_is(&person_id).await;
        }
        let nickname = device.name.zip(device.instrument);
        Ok(nickname.map(|(name, instrument)| Who { name, instrument, part: String::new(), person_id: None }))
    }

    /// A person of any list; one of another section than that in the room is a guest here.
    pub(super) async fn who_is(&self, person_id: &str) -> Result<Option<Who>, RosterError> {
        let seats = self.seats().await?;
        let in_room = seats.into_iter().find(|s| s.person_id.as_deref() == Some(person_id));
        let person = self.store.person(person_id).await?;
        Ok(person.map(|person| Who {
            name: person.name,
            instrument: person.instrument,
            part: in_room.map_or(person.part, |seat| seat.part),
            person_id: Some(person_id.to_owned()),
        }))
    }

    /// Whose records a device may see, and whether they are all there are; `None` where it is strange.
    pub(super) async fn whose(&self, token: &str) -> Result<Option<(Whose, bool)>, RosterError> {
        // What was played until now counts as well.
        self.wait_for_writer().await?;
        let hash = token_sha256(token);
        let Some(device) = self.store.devices_of(&Whose::Device(hash.clone())).await?.pop() else {
            return Ok(None);
        };
        Ok(Some(match device.person_id {
            Some(person_id) if device.is_confirmed => (Whose::Person(person_id), true),
            Some(_) => (Whose::Device(hash), false),
            None => (Whose::Device(hash), true),
        }))
    }

    /// What is stored, in short; `None` where the device is strange.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn summary(&self, token: &str) -> Result<Option<Summary>, RosterError> {
        let Some((whose, is_all)) = self.whose(token).await? else { return Ok(None) };
        let played = self.store.played_by(&whose).await?;
        let hash = token_sha256(token);
        let devices = self.store.devices_of(&whose).await?;
        let who = self.who(token).await?;
        let person = match who.as_ref().and_then(|w| w.person_id.as_ref()) {
            Some(person_id) => self.store.person(person_id).await?,
            None => None,
        };
        let (name, instrument, part) =
            who.map_or((String::new(), String::new(), String::new()), |w| (w.name, w.instrument, w.part));
        Ok(Some(Summary {
            name,
            instrument,
            part,
            section: person.map_or_else(String::new, |p| p.section_name),
            is_all,
            n_pulses: played.iter().map(|p| p.n_pulses).sum(),
            n_spans: played.iter().map(|p| p.n_spans).sum(),
            sessions: played.into_iter().map(session_summary).collect(),
            devices: devices
                .iter()
                .map(|d| DeviceSummary {
                    last_in: in_full(d.seen_unix_ms),
                    is_this_one: d.token_sha256 == hash,
                })
                .collect(),
            keep_days: self.keep_days().await?.0,
        }))
    }

    /// All that is stored, as it is, explained in these words; `None` where the device is strange.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn everything(&self, token: &str, words: Words) -> Result<Option<Value>, RosterError> {
        let Some((whose, is_all)) = self.whose(token).await? else { return Ok(None) };
        let mut sessions = Vec::new();
        let stretches = self.store.stretches_of(&whose, i64::MIN).await?;
        for played in self.store.played_by(&whose).await? {
            let mut session = self.session(&played).await?;
            let runs = self.store.runs_of_player(&played.player_id).await?;
            session["runs"] = mine_runs::runs(&runs, words);
            session["stretches"] = stretches
                .iter()
                .filter(|s| s.player_id == played.player_id)
                .map(mine_runs::stretch)
                .collect();
            session["room_checks"] =
                mine_runs::checks(&self.store.checks_of_player(&played.player_id).await?);
            sessions.push(session);
        }
        let devices: Vec<Value> = self
            .store
            .devices_of(&whose)
            .await?
            .iter()
            .map(|d| json!({"last_in_utc": in_full(d.seen_unix_ms), "confirmed": d.is_confirmed}))
            .collect();
        let person = match &whose {
            Whose::Person(person_id) => self.store.person(person_id).await?,
            Whose::Device(_) => None,
        };
        let person = person.map(|p| {
            json!({"name": p.name, "instrument": p.instrument, "part": p.part, "section": p.section_name})
        });
        let meaning: serde_json::Map<String, Value> = FIELDS
            .iter()
            .map(|field| {
                let text = words.say(&format!("record-{}", field.replace('_', "-")));
                ((*field).to_owned(), json!(text))
            })
            .collect();
        Ok(Some(json!({
            "about": words.say("record-about"),
            "is_all": is_all,
            "in_the_list": person,
            "devices": devices,
            "sessions": sessions,
            "meaning": meaning,
        })))
    }

    async fn session(&self, played: &PlayedRow) -> Result<Value, RosterError> {
        let pulses: Vec<Value> = self
            .store
            .pulses_of(&played.player_id)
            .await?
            .iter()
            .map(|p| {
                json!({
                    "time_ms": p.time_us as f64 / 1e3,
                    "depth_db": p.depth_db,
                    "swing_cents": p.swing_cents,
                    "mean_cents": p.mean_cents,
                    "choked": p.choked,
                })
            })
            .collect();
        let spans: Vec<Value> = self
            .store
            .spans_of(&played.player_id)
            .await?
            .iter()
            .map(|s| {
                let [rate, depth, swing, centre, evenness, timing] = s.measures;
                json!({
                    "score_version": s.score_version,
                    "span_idx": s.span_idx,
                    "n_pulses": s.n_pulses,
                    "pulse_rate_hz": rate,
                    "depth_db_pp": depth,
                    "swing_cents_pp": swing,
                    "centre_cents": centre,
                    "evenness_cv": evenness,
                    "timing_ms": timing,
                    "state": s.state,
                })
            })
            .collect();
        Ok(json!({
            "date_utc": in_full(played.time_nought_unix_ms),
            "section": played.section_name,
            "kind": played.kind.word(),
            "invented": played.invented,
            "name": played.name,
            "instrument": played.instrument,
            "chair": played.chair,
            "calibrated": played.calibrated,
            "pulses": pulses,
            "spans": spans,
        }))
    }

    /// Whose records a device can erase; none where it has none.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn whose_device(&self, token: &str) -> Result<Option<crate::room::Whose>, RosterError> {
        Ok(self.whose(token).await?.map(|(whose, _)| match whose {
            Whose::Person(person_id) => {
                crate::room::Whose::Person { person_id, token: Some(token.to_owned()) }
            }
            Whose::Device(_) => crate::room::Whose::Device(token.to_owned()),
        }))
    }
}

fn session_summary(played: PlayedRow) -> SessionSummary {
    SessionSummary {
        date: in_full(played.time_nought_unix_ms),
        section: played.section_name,
        name: played.name,
        n_pulses: played.n_pulses,
        n_spans: played.n_spans,
        kind: played.kind.word(),
        invented: played.invented,
    }
}
