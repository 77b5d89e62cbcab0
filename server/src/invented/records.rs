//! Brings invented weeks into records, through the same door as everything that is brought in: marked as invented, with the list of
//! those who played. Never into records that are somebody's.

use super::season::{InventedSession, Season};
use crate::player::larkmoor;
use crate::room::record_of;
use crate::store::{NewSession, PersonFields, SessionKind, SessionRow, Store, StoreError};
use crate::words::english;
use std::path::Path;
use windrow_protocol::phrase::Phrase;

/// Tuning of all that is invented.
const A4_HZ: f64 = 440.0;

/// Why nothing was invented, or not all.
#[derive(Debug, thiserror::Error)]
pub enum InventError {
    /// What is there may be somebody's.
    #[error(
        "there are records in the directory already, and nothing is invented among them: name an empty one"
    )]
    NotEmpty,
    /// The records said no.
    #[error("the invented weeks could not be written: {0}")]
    Store(#[from] StoreError),
    /// A room said no to what was to be played in it.
    #[error("an invented rehearsal could not be played: {}", english(.0))]
    Room(Phrase),
}

/// Somebody of the list, with the token of the one device that played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invited {
    /// As in the list.
    pub name: String,
    /// Of this device.
    pub token: String,
}

/// Invents weeks into a directory that holds no records yet; `show` is told each week that is done.
///
/// # Errors
/// [`InventError`], ready to be shown.
pub async fn invent(
    data_dir: &Path,
    season: Season,
    mut show: impl FnMut(u16),
) -> Result<Vec<Invited>, InventError> {
    if Store::is_in(data_dir) {
        return Err(InventError::NotEmpty);
    }
    let store = Store::open(data_dir).await?;
    let written = write(&store, season, &mut show).await;
    store.close().await;
    written
}

async fn write(
    store: &Store,
    season: Season,
    show: &mut impl FnMut(u16),
) -> Result<Vec<Invited>, InventError> {
    let list = season.list();
    let fields = |&(name, instrument): &(&str, windrow_protocol::instrument::Instrument)| PersonFields {
        name: name.to_owned(),
        instrument: instrument.slug().to_owned(),
        part: String::new(),
    };
    let rows: Vec<_> = list.iter().map(|person| (larkmoor::NAME.to_owned(), fields(person))).collect();
    store.import_people(&rows).await?;
    let section_id = store.section_named(larkmoor::NAME).await?;
    let people = store.people(&section_id).await?;
    let mut weeks = season.weeks(people.into_iter().map(|person| person.person_id).collect());
    while let Some(sessions) = weeks.next_week().map_err(InventError::Room)? {
        for session in sessions {
            show(session.week);
            add(store, session).await?;
        }
    }
    Ok(list.iter().map(|(name, _)| *name).zip(weeks.tokens()).map(invited).collect())
}

fn invited((name, token): (&str, String)) -> Invited {
    Invited { name: name.to_owned(), token }
}

async fn add(store: &Store, session: InventedSession) -> Result<(), StoreError> {
    let InventedSession { session_id, kind, began_unix_ms, ended_us, kept, .. } = session;
    let row = SessionRow {
        session_id: session_id.clone(),
        // Nobody came through a door.
        code: String::new(),
        section_name: larkmoor::NAME.to_owned(),
        a4_hz: A4_HZ,
        time_nought_unix_ms: began_unix_ms,
    };
    let new = NewSession {
        row,
        kind,
        rehearsal_id: (kind == SessionKind::Rehearsal).then(|| session_id.clone()),
        origin_id: Some(session_id.clone()),
        invented: true,
        ended_us: Some(ended_us),
    };
    let records: Vec<_> = kept.into_iter().map(|kept| record_of(&session_id, kept)).collect();
    store.add_session(&new, &records).await?;
    Ok(())
}
