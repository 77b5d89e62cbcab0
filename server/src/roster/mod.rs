//! The roster: which section is in the room, who belongs to it, and what is stored about each. It brings records and room
//! together; it must know no pages and no SQL.

mod changes;
pub(crate) mod dates;
mod mine;
mod mine_runs;
mod retention;
mod section_weeks;
pub(crate) mod sheet;
pub(crate) mod weeks;

pub(crate) use changes::{Change, Step, import, preview};
pub(crate) use mine::Who;
pub(crate) use retention::{KEEP_DAYS, keep_only_recent};
pub(crate) use section_weeks::{OnePlayed, SectionPlayed};
pub(crate) use weeks::PlayedBy;

use crate::room::{Ended, Person, RoomHandle, RosterChange, SeatInfo};
use crate::store::{PersonRow, Recorder, Store, StoreError};
use crate::words::{Language, Words};
use sheet::WrittenPerson;
use std::fmt;
use std::sync::{Mutex, PoisonError};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{BadName, Name};

/// Why something about the roster could not be done.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RosterError {
    /// Something the person can change.
    Cannot(Phrase),
    /// The records said no.
    Store(#[from] StoreError),
    /// The server is stopping.
    Ended,
}

/// On the command line, which speaks English.
impl fmt::Display for RosterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&Words::new(Language::English).phrase(&self.phrase()))
    }
}

/// What is wrong with a name.
pub(crate) fn bad_name(error: BadName) -> Phrase {
    match error {
        BadName::Empty => Phrase::of("name-empty"),
        BadName::TooLong(n) => Phrase::of("name-too-long").with("n", n).with("most", Name::MAX_CHARS),
    }
}

impl RosterError {
    /// For the person: a sentence without its full stop.
    pub(crate) fn phrase(&self) -> Phrase {
        match self {
            Self::Cannot(phrase) => phrase.clone(),
            Self::Store(_) => Phrase::of("roster-failed-store"),
            Self::Ended => Phrase::of("roster-failed-ended"),
        }
    }

    /// For whoever watches the server. What is said to a person may hold names, and no log does.
    pub(crate) fn log(&self) {
        if let RosterError::Store(error) = self {
            tracing::error!(%error, "the roster's records failed");
        }
    }
}

impl From<Ended> for RosterError {
    fn from(_: Ended) -> Self {
        RosterError::Ended
    }
}

/// The section in the room.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Chosen {
    section_id: String,
    name: Name,
}

/// The roster of a server.
#[derive(Debug)]
pub(crate) struct Roster {
    store: Store,
    room: RoomHandle,
    recorder: Recorder,
    session_id: String,
    chosen: Mutex<Chosen>,
    /// What the command line says of how long sessions are kept; it outdoes what the page says.
    keep_days: Option<i64>,
    /// What the room was told last.
    told: Mutex<Option<RosterChange>>,
    /// What the page says at its next showing.
    said: Mutex<Said>,
}

/// What was done, and whom "undo" puts back into the list.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Said {
    pub(crate) text: Phrase,
    pub(crate) undo: Option<String>,
}

/// A section's list as the page shows it.
#[derive(Debug, Clone)]
pub(crate) struct Listed {
    pub(crate) section: Name,
    /// With how many people are in each list.
    pub(crate) sections: Vec<(String, i64)>,
    pub(crate) people: Vec<PersonRow>,
    /// Every chair of the room, taken or not.
    pub(crate) seats: Vec<SeatInfo>,
}

/// The section to begin with where nobody says: the one that was in a room last.
///
/// # Errors
/// When the records cannot be read.
pub(crate) async fn usual_section(store: &Store, otherwise: &str) -> Result<Name, StoreError> {
    let last = store.last_section().await?.and_then(|name| Name::new(&name).ok());
    Ok(last.unwrap_or_else(|| Name::new(otherwise).expect("the section's name is a name")))
}

impl Roster {
    /// The roster of a room, with a section that is made where it is not there, brought into the room.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn open(
        store: Store,
        room: RoomHandle,
        recorder: Recorder,
        session_id: String,
        section: Name,
        keep_days: Option<i64>,
    ) -> Result<Self, StoreError> {
        let section_id = store.section_named(section.as_str()).await?;
        let chosen = Mutex::new(Chosen { section_id, name: section });
        Ok(Self {
            store,
            room,
            recorder,
            session_id,
            chosen,
            keep_days,
            told: Mutex::default(),
            said: Mutex::default(),
        })
    }

    /// The records.
    pub(crate) fn store(&self) -> &Store {
        &self.store
    }

    /// Name of the section in the room.
    pub(crate) fn section(&self) -> Name {
        self.chosen().name
    }

    fn chosen(&self) -> Chosen {
        self.chosen.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The section in the room as the records have it now: a restore may have brought it back under another id, or without it.
    async fn here(&self) -> Result<Chosen, StoreError> {
        let Chosen { section_id, name } = self.chosen();
        let now_id = match self.store.section_id(name.as_str()).await? {
            Some(now_id) => now_id,
            None => self.store.section_named(name.as_str()).await?,
        };
        if now_id != section_id {
            let mut chosen = self.chosen.lock().unwrap_or_else(PoisonError::into_inner);
            if chosen.name == name {
                chosen.section_id.clone_from(&now_id);
            }
        }
        Ok(Chosen { section_id: now_id, name })
    }

    /// Leaves a word for the page's next showing.
    pub(crate) fn say(&self, said: Said) {
        *self.said.lock().unwrap_or_else(PoisonError::into_inner) = said;
    }

    pub(crate) fn take_said(&self) -> Said {
        std::mem::take(&mut self.said.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Brings the list into the room as the records have it.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn refresh(&self) -> Result<(), RosterError> {
        let change = self.list().await?;
        *self.told.lock().unwrap_or_else(PoisonError::into_inner) = Some(change.clone());
        self.tell(change).await
    }

    /// The same where the records have changed since: another program may have written to them.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn refresh_if_changed(&self) -> Result<(), RosterError> {
        let is_new = {
            let change = self.list().await?;
            *self.told.lock().unwrap_or_else(PoisonError::into_inner) != Some(change)
        };
        if is_new { self.refresh().await } else { Ok(()) }
    }

    async fn list(&self) -> Result<RosterChange, RosterError> {
        let Chosen { section_id, name } = self.here().await?;
        let rows = self.store.people(&section_id).await?;
        let people = rows.into_iter().filter(|row| !row.is_removed).filter_map(person).collect();
        Ok(RosterChange::List { section: name, people })
    }

    /// Tells the room; what it says against it is an error.
    async fn tell(&self, change: RosterChange) -> Result<(), RosterError> {
        self.room.change_roster(change).await?.map_or(Ok(()), |text| Err(RosterError::Cannot(text)))
    }

    /// Names of all sections that have a list.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn sections(&self) -> Result<Vec<String>, RosterError> {
        Ok(self.store.sections().await?.into_iter().map(|section| section.name).collect())
    }

    /// Everything the page shows.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn listed(&self) -> Result<Listed, RosterError> {
        let Chosen { section_id, name } = self.here().await?;
        let sections = self.store.sections().await?.into_iter().map(|s| (s.name, s.n_people)).collect();
        Ok(Listed {
            section: name,
            sections,
            people: self.store.people(&section_id).await?,
            seats: self.seats().await?,
        })
    }

    /// Whether anything was ever played, as far as the records know; so it is taken where they cannot be read.
    pub(crate) async fn has_played(&self) -> bool {
        self.store.has_span_results().await.unwrap_or_else(|error| {
            tracing::warn!(%error, "whether anything was played could not be looked up");
            true
        })
    }

    /// Every chair of the room, taken or not.
    ///
    /// # Errors
    /// When the room has ended.
    pub(crate) async fn seats(&self) -> Result<Vec<SeatInfo>, RosterError> {
        Ok(self.room.seats().await?)
    }

    /// All sections as a file.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn exported(&self) -> Result<String, StoreError> {
        exported(&self.store, None).await
    }
}

/// Sections as a file: one, or all.
///
/// # Errors
/// When the records cannot be read.
pub(crate) async fn exported(store: &Store, only: Option<&str>) -> Result<String, StoreError> {
    let mut sections = Vec::new();
    for section in store.sections().await? {
        if only.is_some_and(|name| name != section.name) {
            continue;
        }
        let rows = store.people(&section.section_id).await?;
        let people = rows
            .into_iter()
            .filter(|row| !row.is_removed)
            .filter_map(|row| {
                let instrument = Instrument::from_slug(&row.instrument)?;
                Some(WrittenPerson { name: row.name, instrument, part: row.part })
            })
            .collect();
        sections.push((section.name, people));
    }
    Ok(sheet::write(&sections))
}

/// A row as the room takes it; one that no version of this program wrote is left out.
fn person(row: PersonRow) -> Option<Person> {
    let (name, instrument) = (Name::new(&row.name).ok()?, Instrument::from_slug(&row.instrument)?);
    Some(Person { person_id: row.person_id, name, instrument, part: row.part })
}
