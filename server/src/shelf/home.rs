//! The plan for practice at home: the one that was chosen, else what the room plays from, else a daily one that comes with the program.

use super::{Shelf, ShelfError};
use crate::clock::unix_ms;
use crate::plan::{self, Plan};
use crate::store::HomePlanRow;
use crate::words::Language;
use serde::Serialize;

/// Ten minutes that need no teacher beside them.
const DAILY: &str = "daily-ten-minutes";

/// Why it is this plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum HomePlanFrom {
    /// Somebody chose it.
    Chosen,
    /// The room plays from it.
    Room,
    /// There is no other.
    BuiltIn,
}

/// What there is to practise at home.
#[derive(Debug, Clone)]
pub(crate) struct HomePlan {
    pub(crate) plan: Plan,
    pub(crate) from: HomePlanFrom,
    /// When it was chosen; else now.
    pub(crate) set_unix_ms: i64,
}

impl Shelf {
    /// The plan for practice at home.
    ///
    /// # Errors
    /// When the records cannot be read, or another version of the program has kept what this one cannot read.
    pub(crate) async fn home_plan(&self, language: Language) -> Result<HomePlan, ShelfError> {
        if let Some(HomePlanRow { text, set_unix_ms }) = self.store.home_plan().await? {
            return Ok(HomePlan { plan: plan::read(&text)?, from: HomePlanFrom::Chosen, set_unix_ms });
        }
        let set_unix_ms = unix_ms();
        if let Some(plan) = self.in_room() {
            return Ok(HomePlan { plan, from: HomePlanFrom::Room, set_unix_ms });
        }
        let plan = plan::built_in_named(DAILY, language).ok_or(ShelfError::Gone)?.clone();
        Ok(HomePlan { plan, from: HomePlanFrom::BuiltIn, set_unix_ms })
    }

    /// Makes a plan the one for practice at home, in the language of whoever chooses it, and gives back its title.
    ///
    /// # Errors
    /// When there is none, it is no good, or the records cannot be written.
    pub(crate) async fn take_home(&self, name: &str, language: Language) -> Result<String, ShelfError> {
        let plan = self.find(name, language).await?.plan?;
        self.store.set_home_plan(&HomePlanRow { text: plan::write(&plan), set_unix_ms: unix_ms() }).await?;
        Ok(plan.title)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_daily_plan_is_there_in_every_language() {
        for language in Language::ALL {
            assert!(plan::built_in_named(DAILY, language).is_some(), "{language:?}");
        }
    }
}
