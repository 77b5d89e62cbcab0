//! What the conductor changes about the section: people, chairs, who a nickname is, whole files. Each change goes to the
//! records and then into the running room; the room is asked first where it may object.

use super::sheet::{self, MAX_PEOPLE, Sheet, SheetRow};
use super::{Chosen, Roster, RosterError};
use crate::clock::unix_ms;
use crate::room::RosterChange;
use crate::store::{Imported, PersonFields, PersonRow, Store, StoreError, Whose};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::PoisonError;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

/// Something to change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Change {
    Add {
        name: Name,
        instrument: Instrument,
        part: String,
    },
    Edit {
        person_id: String,
        name: Name,
        instrument: Instrument,
        part: String,
    },
    /// One chair up or down.
    Move {
        person_id: String,
        by: Step,
    },
    Remove {
        person_id: String,
    },
    Restore {
        person_id: String,
    },
    /// Records and devices of both come under `into`.
    Merge {
        from: String,
        into: String,
    },
    /// A player in the room who came with a nickname is this person.
    Seat {
        player_id: String,
        person_id: String,
    },
    /// A player in the room has to leave it.
    SendOut {
        player_id: String,
    },
    /// A player in the room who came with a nickname comes into the list.
    Adopt {
        player_id: String,
    },
    /// The devices that tapped this name are this person's.
    Confirm {
        person_id: String,
    },
    /// They are nobody's.
    ForgetDevices {
        person_id: String,
    },
    /// Another section comes into the room; made if it is new.
    Choose {
        section: Name,
    },
    /// Sessions are erased after so many days.
    Keep {
        days: i64,
    },
}

/// Up or down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Step {
    Up,
    Down,
}

/// What an import would do.
#[derive(Debug, Clone)]
pub(crate) struct Preview {
    pub(crate) sheet: Sheet,
    /// For each row, whether somebody of that name is in the section already.
    pub(crate) is_known: Vec<bool>,
}

fn cannot(id: &str) -> RosterError {
    RosterError::Cannot(Phrase::of(id))
}

/// Something of a person's that cannot be done.
fn cannot_name(id: &str, name: impl ToString) -> RosterError {
    RosterError::Cannot(named(id, name))
}

fn named(id: &str, name: impl ToString) -> Phrase {
    Phrase::of(id).with("name", name.to_string())
}

impl Roster {
    /// Carries out a change, in the records and in the room. Gives what to say about it.
    ///
    /// # Errors
    /// Why not.
    pub(crate) async fn change(&self, change: Change) -> Result<Phrase, RosterError> {
        let said = self.write(change).await?;
        self.refresh().await?;
        Ok(said)
    }

    async fn write(&self, change: Change) -> Result<Phrase, RosterError> {
        let Chosen { section_id, .. } = self.here().await?;
        let people = self.store.people(&section_id).await?;
        let find = |id: &str| {
            people.iter().find(|p| p.person_id == id).ok_or_else(|| cannot("roster-cannot-not-in-this-list"))
        };
        let in_list = || people.iter().filter(|p| !p.is_removed);
        Ok(match change {
            Change::Add { name, instrument, part } => {
                check_name(&people, &name, None)?;
                if in_list().count() >= MAX_PEOPLE {
                    let many = Phrase::of("roster-cannot-too-many").with("most", MAX_PEOPLE);
                    return Err(RosterError::Cannot(many));
                }
                self.store.add_person(&section_id, &fields(&name, instrument, part)).await?;
                named("roster-did-add", name)
            }
            Change::Edit { person_id, name, instrument, part } => {
                find(&person_id)?;
                check_name(&people, &name, Some(&person_id))?;
                self.store.change_person(&person_id, &fields(&name, instrument, part)).await?;
                named("roster-did-edit", name)
            }
            Change::Move { person_id, by } => {
                let name = &find(&person_id)?.name;
                let mut order: Vec<String> = in_list().map(|p| p.person_id.clone()).collect();
                let from = order.iter().position(|id| *id == person_id);
                let from = from.ok_or_else(|| cannot_name("roster-cannot-not-in-list", name))?;
                let to = match by {
                    Step::Up => from.checked_sub(1),
                    Step::Down => Some(from + 1).filter(|&to| to < order.len()),
                };
                let Some(to) = to else {
                    let end = if from == 0 { "roster-cannot-first" } else { "roster-cannot-last" };
                    return Err(cannot_name(end, name));
                };
                order.swap(from, to);
                self.store.order_people(&order).await?;
                named("roster-did-move", name).with("chair", to + 1)
            }
            Change::Remove { person_id } => {
                let name = &find(&person_id)?.name;
                self.store.remove_person(&person_id, Some(unix_ms())).await?;
                named("roster-did-remove", name)
            }
            Change::Restore { person_id } => {
                let name = &find(&person_id)?.name;
                self.store.remove_person(&person_id, None).await?;
                named("roster-did-restore", name)
            }
            Change::Merge { from, into } => {
                let (one, other) = (find(&from)?, find(&into)?);
                if from == into {
                    return Err(cannot("roster-cannot-merge-itself"));
                }
                self.tell(RosterChange::Merged { from: from.clone(), into: into.clone() }).await?;
                self.wait_for_writer().await?;
                self.store.merge_people(&from, &into).await?;
                Phrase::of("roster-did-merge").with("one", &*one.name).with("other", &*other.name)
            }
            Change::Seat { player_id, person_id } => {
                let name = &find(&person_id)?.name;
                self.tell(RosterChange::Seated { player_id, person_id }).await?;
                named("roster-did-seat", name)
            }
            Change::SendOut { player_id } => {
                let seats = self.seats().await?;
                let seat = seats.into_iter().find(|s| s.player_id.as_ref() == Some(&player_id));
                let seat = seat.ok_or_else(|| cannot("roster-cannot-left"))?;
                self.tell(RosterChange::SentOut { player_id }).await?;
                named("roster-did-send-out", seat.name)
            }
            Change::Adopt { player_id } => {
                let seats = self.seats().await?;
                let seat = seats.into_iter().find(|s| s.player_id.as_ref() == Some(&player_id));
                let seat = seat.ok_or_else(|| cannot("roster-cannot-left"))?;
                check_name(&people, &seat.name, None)?;
                // The room makes the part as long as nobody types another.
                let fields = fields(&seat.name, seat.instrument, String::new());
                let person_id = self.store.add_person(&section_id, &fields).await?;
                self.refresh().await?;
                self.tell(RosterChange::Seated { player_id, person_id }).await?;
                named("roster-did-add", seat.name)
            }
            Change::Confirm { person_id } => {
                let name = &find(&person_id)?.name;
                self.store.confirm_devices(&person_id).await?;
                named("roster-did-confirm", name)
            }
            Change::ForgetDevices { person_id } => {
                let name = &find(&person_id)?.name;
                self.store.forget_devices(&person_id).await?;
                named("roster-did-forget", name)
            }
            Change::Choose { section } => {
                let section_id = self.store.section_named(section.as_str()).await?;
                self.store.name_session(&self.session_id, section.as_str()).await?;
                let said = Phrase::of("roster-did-choose").with("section", section.to_string());
                let chosen = Chosen { section_id, name: section };
                *self.chosen.lock().unwrap_or_else(PoisonError::into_inner) = chosen;
                said
            }
            Change::Keep { days } => {
                if !super::KEEP_DAYS.contains(&days) {
                    let (least, most) = (super::KEEP_DAYS.start(), super::KEEP_DAYS.end());
                    let range = days_of("roster-cannot-keep-range", days);
                    let range = range.with("least", least.to_string()).with("most", most.to_string());
                    return Err(RosterError::Cannot(range));
                }
                if self.keep_days.is_some() {
                    return Err(cannot("roster-cannot-keep-option"));
                }
                self.store.set_keep_days(days).await?;
                days_of("roster-did-keep", days)
            }
        })
    }

    /// Waits until what the room has told so far is in the file, so that a change finds it there.
    pub(super) async fn wait_for_writer(&self) -> Result<(), RosterError> {
        if self.recorder.written().await {
            return Ok(());
        }
        Err(cannot("roster-cannot-write"))
    }

    /// Erases everything about a person, or of one device alone (by its token), from room and records.
    ///
    /// # Errors
    /// When it could not be erased.
    pub(crate) async fn erase(
        &self,
        whose: crate::room::Whose,
        is_by_player: bool,
    ) -> Result<(), RosterError> {
        let stored = match &whose {
            crate::room::Whose::Person { person_id, .. } => Whose::Person(person_id.clone()),
            crate::room::Whose::Device(token) => Whose::Device(crate::store::token_sha256(token)),
        };
        // The room first: from here on it keeps nothing more of this player.
        self.forget(whose, is_by_player).await?;
        self.wait_for_writer().await?;
        self.store.erase(&stored).await?;
        self.refresh().await
    }

    /// Lets the room forget somebody who is being erased.
    ///
    /// # Errors
    /// When the room has ended.
    pub(crate) async fn forget(
        &self,
        whose: crate::room::Whose,
        is_by_player: bool,
    ) -> Result<(), RosterError> {
        self.tell(RosterChange::Erased { whose, by_player: is_by_player }).await
    }

    /// Reads a file and says what an import would do; nothing is changed.
    ///
    /// # Errors
    /// What keeps the file from being read at all.
    pub(crate) async fn preview(&self, bytes: &[u8]) -> Result<Preview, RosterError> {
        preview(&self.store, bytes, &self.section()).await
    }

    /// Imports the good lines of a file.
    ///
    /// # Errors
    /// When the file cannot be read, or the records not written.
    pub(crate) async fn import(&self, bytes: &[u8]) -> Result<Imported, RosterError> {
        let sheet = self.preview(bytes).await?.sheet;
        let imported = import(&self.store, &sheet.rows).await?;
        self.refresh().await?;
        Ok(imported)
    }
}

/// Reads a file against the records.
///
/// # Errors
/// What keeps the file from being read at all.
pub(crate) async fn preview(store: &Store, bytes: &[u8], own_section: &Name) -> Result<Preview, RosterError> {
    let sheet = sheet::read(bytes, own_section).map_err(RosterError::Cannot)?;
    let mut is_known = Vec::new();
    let sections = store.sections().await?;
    let mut people = BTreeMap::new();
    for section in &sections {
        people.insert(section.name.clone(), store.people(&section.section_id).await?);
    }
    for row in &sheet.rows {
        let of_section = people.get(row.section.as_str()).map_or(&[] as &[PersonRow], Vec::as_slice);
        is_known.push(of_section.iter().any(|p| p.name.to_lowercase() == row.name.as_str().to_lowercase()));
    }
    for section in sheet.rows.iter().map(|row| row.section.as_str()).collect::<BTreeSet<_>>() {
        let n_there = people.get(section).map_or(0, |all| all.iter().filter(|p| !p.is_removed).count());
        let n_new = sheet
            .rows
            .iter()
            .zip(&is_known)
            .filter(|(r, known)| r.section.as_str() == section && !**known)
            .count();
        if n_there + n_new > MAX_PEOPLE {
            let full = Phrase::of("roster-cannot-room-full").with("section", section);
            return Err(RosterError::Cannot(full.with("n", n_there + n_new).with("most", MAX_PEOPLE)));
        }
    }
    Ok(Preview { sheet, is_known })
}

/// Brings lines of a file into the records.
///
/// # Errors
/// When they cannot be written.
pub(crate) async fn import(store: &Store, rows: &[SheetRow]) -> Result<Imported, StoreError> {
    let rows: Vec<(String, PersonFields)> = rows
        .iter()
        .map(|row| (row.section.to_string(), fields(&row.name, row.instrument, row.part.clone())))
        .collect();
    store.import_people(&rows).await
}

/// As text, so that no number is too large for it.
fn days_of(id: &str, days: i64) -> Phrase {
    Phrase::of(id).with("days", days.to_string())
}

fn fields(name: &Name, instrument: Instrument, part: String) -> PersonFields {
    PersonFields { name: name.to_string(), instrument: instrument.slug().to_owned(), part }
}

/// A name is in a section once, or nobody could tap the own one.
fn check_name(people: &[PersonRow], name: &Name, except: Option<&str>) -> Result<(), RosterError> {
    let same = |p: &&PersonRow| {
        Some(p.person_id.as_str()) != except && p.name.to_lowercase() == name.as_str().to_lowercase()
    };
    match people.iter().find(same) {
        Some(p) if p.is_removed => Err(cannot_name("roster-cannot-removed-before", name)),
        Some(_) => Err(cannot_name("roster-cannot-there-already", name)),
        None => Ok(()),
    }
}
