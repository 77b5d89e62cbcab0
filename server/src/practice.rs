//! Practice that is carried in: what a device kept of a player alone, or what was measured in a recording, becomes a session of its own,
//! apart from every rehearsal. Whose it is is the device's matter, never that of what it says; the same practice twice counts once. It
//! must know no pages and no SQL.

mod check;
#[cfg(test)]
mod check_tests;

use crate::clock::unix_ms;
use crate::room::{Kept, record_of};
use crate::store::{NewSession, Record, SessionKind, SessionRow, Store, StoreError, token_sha256};
use serde::{Deserialize, Serialize};
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};

/// Longest practice as text: three hours of triplets at 80 with every run's glance take a third of it (our own estimate).
pub(crate) const MAX_BYTES: usize = 8 * 1024 * 1024;

/// A practice as a device hands it in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Practice {
    /// Made by the device when the practice began, and never again.
    pub(crate) origin_id: String,
    /// When the times in what was kept were nought, by the device's calendar.
    pub(crate) began_unix_ms: i64,
    /// Whether it is made up, to show how things look.
    #[serde(default)]
    pub(crate) invented: bool,
    /// As people read it; empty for the warm-up.
    #[serde(default)]
    pub(crate) plan_title: String,
    /// Of the messages that what was kept is made of.
    pub(crate) protocol_version: u32,
    /// What the player called themselves. Whose the practice is the server knows by the device.
    pub(crate) name: Name,
    /// Played at home; it need not be the one of the rehearsals.
    pub(crate) instrument: Instrument,
    /// Tuning of A4; absent: 440 Hz.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) a4_hz: Option<Hertz>,
    /// What a room of one wanted kept, in order.
    pub(crate) kept: Vec<Kept>,
}

/// As much of a practice as every version has.
#[derive(Debug, Deserialize)]
struct Head {
    protocol_version: u32,
}

/// Why a practice is not taken.
#[derive(Debug, thiserror::Error)]
pub(crate) enum NotTaken {
    /// Nobody knows the device.
    #[error("a strange device")]
    Strange,
    /// In words for the player, without a full stop.
    #[error("{}", crate::words::english(.0))]
    Cannot(Phrase),
    /// The records said no.
    #[error("the records failed: {0}")]
    Store(#[from] StoreError),
}

/// Whose device handed a practice in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Owner {
    /// None where a recording was brought.
    token: Option<String>,
    person_id: Option<String>,
    /// In the list, or as the device's player was called in the last rehearsal.
    name: Option<Name>,
    section_name: Option<String>,
}

/// Who owns a device; an error where it is strange.
///
/// # Errors
/// [`NotTaken::Strange`], or when the records cannot be read.
pub(crate) async fn owner(store: &Store, token: &str) -> Result<Owner, NotTaken> {
    let device = store.device(&token_sha256(token)).await?.ok_or(NotTaken::Strange)?;
    let person = match &device.person_id {
        Some(person_id) => store.person(person_id).await?,
        None => None,
    };
    let name = person.as_ref().map(|p| p.name.as_str()).or(device.name.as_deref());
    Ok(Owner {
        token: Some(token.to_owned()),
        name: name.and_then(|name| Name::new(name).ok()),
        section_name: person.map(|p| p.section_name),
        person_id: device.person_id,
    })
}

impl Owner {
    /// Somebody in a section's list, who brought a recording.
    pub(crate) fn in_list(person_id: String, name: Name, section_name: String) -> Self {
        Self { token: None, person_id: Some(person_id), name: Some(name), section_name: Some(section_name) }
    }
}

/// Reads a practice as it came.
///
/// # Errors
/// What is wrong with it, for the player.
pub(crate) fn read(bytes: &[u8]) -> Result<Practice, Phrase> {
    serde_json::from_slice(bytes).map_err(|error| {
        let version = serde_json::from_slice::<Head>(bytes).map(|head| head.protocol_version);
        match version {
            Ok(version) if version > PROTOCOL_VERSION => Phrase::of("carried-newer"),
            Ok(version) if version < PROTOCOL_VERSION => Phrase::of("carried-older"),
            _ => Phrase::of("carried-unreadable")
                .with("why", error.to_string().chars().take(200).collect::<String>()),
        }
    })
}

/// Runs of a practice that is good, as they would go to the records; none of one that is not. Where bytes are to be tried out.
#[cfg(any(test, feature = "fuzzing"))]
pub(crate) fn runs_of(bytes: &[u8]) -> Vec<windrow_room::KeptRun> {
    let owner = Owner { token: None, person_id: None, name: None, section_name: None };
    // In 2027.
    let checked =
        read(bytes).and_then(|practice| check::check(practice, &owner, "player", 1_800_000_000_000));
    let kept = checked.map(|checked| checked.kept).unwrap_or_default();
    kept.into_iter().filter_map(|one| if let Kept::Run(run) = one { Some(*run) } else { None }).collect()
}

/// Writes a practice down as its owner's, whole or not at all. `false` where it is there already.
///
/// # Errors
/// What is wrong with it, or with the records.
pub(crate) async fn take(
    store: &Store,
    owner: &Owner,
    practice: Practice,
    usual_section: &str,
) -> Result<bool, NotTaken> {
    let session_id = uuid::Uuid::now_v7().to_string();
    let player_id = uuid::Uuid::now_v7().to_string();
    let now_ms = unix_ms();
    let (origin_id, invented) = (practice.origin_id.clone(), practice.invented);
    let a4_hz = practice.a4_hz.map_or(440.0, Hertz::get);
    let began_unix_ms = practice.began_unix_ms;
    let checked = check::check(practice, owner, &player_id, now_ms).map_err(NotTaken::Cannot)?;
    if store.has_origin(&origin_id).await? {
        return Ok(false);
    }
    let hash = owner.token.as_deref().map(token_sha256);
    if let Some(hash) = &hash {
        let (from_ms, until_ms) = checked.played_unix_ms;
        if store.practised_between(hash, from_ms, until_ms).await? {
            return Err(NotTaken::Cannot(Phrase::of("carried-same-time")));
        }
    }
    let session = NewSession {
        row: SessionRow {
            session_id: session_id.clone(),
            // Nobody joins it.
            code: String::new(),
            section_name: owner.section_name.clone().unwrap_or_else(|| usual_section.to_owned()),
            a4_hz,
            time_nought_unix_ms: began_unix_ms,
        },
        kind: if hash.is_some() { SessionKind::Practice } else { SessionKind::Recording },
        rehearsal_id: None,
        origin_id: Some(origin_id),
        invented,
        ended_us: Some(checked.ended_us),
    };
    let mut records: Vec<_> = checked.kept.into_iter().map(|kept| record_of(&session_id, kept)).collect();
    for record in &mut records {
        if let (Record::Player(player), None) = (record, &hash) {
            // Without a device there is none to remember.
            player.token_sha256.clear();
        }
    }
    Ok(store.add_session(&session, &records).await?)
}
