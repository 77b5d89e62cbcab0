//! The plans of this server: those built in, a conductor's own ones, and which of them the room plays from. It brings plans,
//! records and room together; it must know no pages and no SQL.

mod home;

pub(crate) use home::{HomePlan, HomePlanFrom};

use crate::clock::unix_ms;
use crate::plan::{self, BadPlan, Plan};
use crate::room::{Ended, Lesson, RoomHandle};
use crate::store::{PlanKept, PlanRow, Store, StoreError};
use crate::words::{Language, Words};
use std::sync::{Mutex, PoisonError};
use windrow_protocol::phrase::Phrase;

/// Longest short name that is made from a title; a number may follow. Our own choice.
const MADE_NAME_SIGNS: usize = 40;
/// Copies of one name; nobody has so many.
const MOST_OF_ONE_NAME: usize = 1000;

/// Why something about plans could not be done. Shows itself as the log says it.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ShelfError {
    /// It is no good plan.
    #[error(transparent)]
    Bad(#[from] BadPlan),
    /// In words for the person, without a full stop.
    #[error("{}", crate::words::english(.0))]
    Cannot(Phrase),
    /// Another page has changed it meanwhile.
    #[error("the plan was changed meanwhile")]
    Changed,
    /// There is none of this name.
    #[error("there is no such plan")]
    Gone,
    /// The records said no.
    #[error("the records failed: {0}")]
    Store(#[from] StoreError),
    /// The server is stopping.
    #[error("the room is closing")]
    Ended,
}

impl ShelfError {
    /// For the person, without a full stop.
    pub(crate) fn phrase(&self) -> Phrase {
        match self {
            ShelfError::Bad(_) => Phrase::of("shelf-bad"),
            ShelfError::Cannot(text) => text.clone(),
            ShelfError::Changed => Phrase::of("shelf-changed"),
            ShelfError::Gone => Phrase::of("shelf-gone"),
            ShelfError::Store(_) => Phrase::of("shelf-records"),
            ShelfError::Ended => Phrase::of("shelf-closing"),
        }
    }
}

impl From<Ended> for ShelfError {
    fn from(_: Ended) -> Self {
        ShelfError::Ended
    }
}

/// What a change is made to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Onto {
    /// This version; any other was changed by somebody else.
    Version(i64),
    /// Whatever there is, also nothing.
    Whatever,
    /// Any version, but there must be one.
    Existing,
    /// Nothing: there must be no plan of this name yet.
    Nothing,
}

/// A plan on the shelf.
#[derive(Debug, Clone)]
pub(crate) struct Shelved {
    pub(crate) name: String,
    pub(crate) title: String,
    /// As its file has it.
    pub(crate) text: String,
    /// What is wrong with it, where another version of the program has kept it.
    pub(crate) plan: Result<Plan, BadPlan>,
    /// None where it is built in.
    pub(crate) version: Option<i64>,
}

/// Whether the room plays from a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum InRoom {
    No,
    AsItIs,
    /// It was changed after it was taken.
    AsItWas,
}

impl Shelved {
    fn built_in(plan: &Plan) -> Self {
        Self {
            name: plan.name.clone(),
            title: plan.title.clone(),
            text: plan::write(plan),
            plan: Ok(plan.clone()),
            version: None,
        }
    }

    fn own(row: PlanRow) -> Self {
        let PlanRow { name, title, text, version, .. } = row;
        Self { name, title, plan: plan::read(&text), text, version: Some(version) }
    }

    /// Whether the room plays from it, and whether as it stands here: it may have been changed since.
    pub(crate) fn compared(&self, in_room: Option<&Plan>) -> InRoom {
        match in_room.filter(|plan| plan.name == self.name) {
            None => InRoom::No,
            Some(plan) if self.plan.as_ref() == Ok(plan) => InRoom::AsItIs,
            // Taken by somebody who reads another language.
            Some(plan) if self.is_built_in() && plan::is_built_in(plan) => InRoom::AsItIs,
            Some(_) => InRoom::AsItWas,
        }
    }

    /// Whether it came with the program.
    pub(crate) fn is_built_in(&self) -> bool {
        self.version.is_none()
    }
}

/// All plans of a server.
#[derive(Debug)]
pub(crate) struct Shelf {
    store: Store,
    room: RoomHandle,
    session_id: String,
    /// The plan the room plays from, as it was taken, once there is one.
    in_room: Mutex<Option<Plan>>,
    /// What the page says at its next showing.
    said: Mutex<Phrase>,
}

impl Shelf {
    pub(crate) fn new(store: Store, room: RoomHandle, session_id: String) -> Self {
        Self { store, room, session_id, in_room: Mutex::default(), said: Mutex::default() }
    }

    /// Leaves a word for the page's next showing.
    pub(crate) fn say(&self, text: Phrase) {
        *self.said.lock().unwrap_or_else(PoisonError::into_inner) = text;
    }

    pub(crate) fn take_said(&self) -> Phrase {
        std::mem::take(&mut self.said.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// The plan the room plays from, as it was taken; none while it has its warm-up.
    pub(crate) fn in_room(&self) -> Option<Plan> {
        self.in_room.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The conductor's own plans by title, then those built in, in the order of learning and in the reader's language.
    ///
    /// # Errors
    /// When the records cannot be read.
    pub(crate) async fn all(&self, language: Language) -> Result<Vec<Shelved>, ShelfError> {
        let own = self.store.plans().await?.into_iter().map(Shelved::own);
        Ok(own.chain(plan::built_in(language).iter().map(Shelved::built_in)).collect())
    }

    /// A plan by its short name; one that is built in, in the reader's language. One's own comes first: a later version of the
    /// program may bring another of that name.
    ///
    /// # Errors
    /// [`ShelfError::Gone`], or when the records cannot be read.
    pub(crate) async fn find(&self, name: &str, language: Language) -> Result<Shelved, ShelfError> {
        if let Some(row) = self.store.plan(name).await? {
            return Ok(Shelved::own(row));
        }
        plan::built_in_named(name, language).map(Shelved::built_in).ok_or(ShelfError::Gone)
    }

    /// Makes a plan the one that the room plays from, in the language of whoever takes it, and gives back its title.
    ///
    /// # Errors
    /// When there is none, it is no good, or the music is playing.
    pub(crate) async fn take(&self, name: &str, language: Language) -> Result<String, ShelfError> {
        let plan = self.find(name, language).await?.plan?;
        self.give_to_room(&plan).await?;
        self.store.set_taken_plan(&self.session_id, &plan::write(&plan)).await?;
        Ok(plan.title)
    }

    /// What a room plays of a plan.
    ///
    /// # Errors
    /// When there is none, or it is no good.
    pub(crate) async fn lesson(&self, name: &str, language: Language) -> Result<Lesson, ShelfError> {
        Ok(plan::compile(&self.find(name, language).await?.plan?))
    }

    /// Goes on with the plan that the section's room had last.
    pub(crate) async fn take_up(&self) {
        let taken = async {
            let Some(text) = self.store.taken_plan(&self.session_id).await? else { return Ok(()) };
            self.give_to_room(&plan::read(&text)?).await
        };
        if let Err(error) = taken.await {
            tracing::warn!(%error, "the plan of the last rehearsal could not be taken up; there is the warm-up instead");
        }
    }

    async fn give_to_room(&self, plan: &Plan) -> Result<(), ShelfError> {
        if let Some(text) = self.room.take_plan(plan::compile(plan)).await? {
            return Err(ShelfError::Cannot(text));
        }
        *self.in_room.lock().unwrap_or_else(PoisonError::into_inner) = Some(plan.clone());
        Ok(())
    }

    /// Copies a plan, as whoever asks reads it, and gives back the copy's name.
    ///
    /// # Errors
    /// When there is none, or the records cannot be written.
    pub(crate) async fn copy(&self, name: &str, words: Words) -> Result<String, ShelfError> {
        let mut plan = self.find(name, words.language()).await?.plan?;
        let ending = words.say("shelf-copy-ending");
        plan.title = format!("{}{ending}", plan.title.trim_end_matches(&ending));
        self.add(plan).await
    }

    /// Adds a plan under its own name, or one like it where that is taken; gives back the name.
    ///
    /// # Errors
    /// When the records cannot be written.
    pub(crate) async fn add(&self, mut plan: Plan) -> Result<String, ShelfError> {
        let wished = plan.name.clone();
        for n in 1..=MOST_OF_ONE_NAME {
            plan.name = if n == 1 { wished.clone() } else { format!("{wished}-{n}") };
            if plan::built_in_named(&plan.name, Language::default()).is_some() {
                continue;
            }
            let text = plan::write(&plan);
            if self.store.add_plan(&plan.name, &plan.title, &text, unix_ms()).await? {
                return Ok(plan.name);
            }
        }
        Err(ShelfError::Cannot(Phrase::of("shelf-too-many").with("name", wished)))
    }

    /// Keeps a plan's text under a name, and gives back its version with what should be looked at again.
    ///
    /// # Errors
    /// When it is no good plan, was changed meanwhile, or the records cannot be written.
    pub(crate) async fn keep(
        &self,
        name: &str,
        text: &str,
        onto: Onto,
    ) -> Result<(i64, Vec<Phrase>), ShelfError> {
        let plan = plan::read(text)?;
        let version = self.keep_read(name, &plan, onto).await?;
        Ok((version, plan::warnings(&plan)))
    }

    async fn keep_read(&self, name: &str, plan: &Plan, onto: Onto) -> Result<i64, ShelfError> {
        if plan.name != name {
            let text = Phrase::of("shelf-other-name").with("name", plan.name.as_str());
            return Err(ShelfError::Cannot(text.with("address", name)));
        }
        if plan::built_in_named(name, Language::default()).is_some() && self.store.plan(name).await?.is_none()
        {
            return Err(ShelfError::Cannot(Phrase::of("shelf-built-in").with("title", plan.title.as_str())));
        }
        let (text, now_ms) = (plan::write(plan), unix_ms());
        let from_version = match onto {
            Onto::Version(version) => Some(version),
            Onto::Whatever | Onto::Existing => None,
            Onto::Nothing => {
                let is_new = self.store.add_plan(name, &plan.title, &text, now_ms).await?;
                return if is_new { Ok(1) } else { Err(ShelfError::Changed) };
            }
        };
        match self.store.change_plan(name, &plan.title, &text, from_version, now_ms).await? {
            PlanKept::Version(version) => Ok(version),
            PlanKept::Other(None) if onto == Onto::Whatever => {
                let is_new = self.store.add_plan(name, &plan.title, &text, now_ms).await?;
                if is_new { Ok(1) } else { Err(ShelfError::Changed) }
            }
            PlanKept::Other(None) => Err(ShelfError::Gone),
            PlanKept::Other(Some(_)) => Err(ShelfError::Changed),
        }
    }

    /// Deletes a plan of one's own.
    ///
    /// # Errors
    /// When there is none, or the records cannot be written.
    pub(crate) async fn delete(&self, name: &str) -> Result<(), ShelfError> {
        if self.store.delete_plan(name).await? { Ok(()) } else { Err(ShelfError::Gone) }
    }
}

/// A short name made from a title: small letters, digits and hyphens.
pub(crate) fn name_from(title: &str) -> String {
    let mut name = String::new();
    for sign in title.to_lowercase().chars() {
        if sign.is_ascii_alphanumeric() {
            name.push(sign);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
        if name.len() == MADE_NAME_SIGNS {
            break;
        }
    }
    let name = name.trim_end_matches('-');
    if name.is_empty() { "plan".to_owned() } else { name.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_made_of_what_an_address_takes() {
        for (title, name) in [
            ("The first fortnight", "the-first-fortnight"),
            ("  Hairpins & swells!  ", "hairpins-swells"),
            ("\u{c9}tude 2", "tude-2"),
            ("\u{97f3}", "plan"),
            ("", "plan"),
        ] {
            assert_eq!(name_from(title), name, "{title}");
        }
        assert!(name_from(&"long ".repeat(30)).len() <= MADE_NAME_SIGNS);
    }
}
