//! What must not be lost: sessions, players and results in SQLite. It must not know rooms or sockets.

mod access;
#[cfg(test)]
mod access_tests;
mod backup;
mod carried;
mod chairs;
mod condition;
mod erasing;
mod exchange;
mod going_on;
mod held_over;
mod home_plan;
mod integrity;
mod pack;
mod personal;
mod place;
mod plans;
mod pulse_rows;
mod records;
mod restore;
mod roster;
mod runs;
#[cfg(test)]
mod runs_tests;
mod served;
mod sessions;
mod stretches;
mod token;
mod writer;

pub(crate) use access::{Lifetime, SignInRow};
pub use backup::{BackedUp, BackupError, Overwrite, PassingBackup, back_up};
pub(crate) use condition::{Condition, Trouble};
pub(crate) use exchange::SessionBrought;
pub use exchange::{SessionPlayerRow, WholeSessionRow};
pub(crate) use held_over::HeldOver;
pub use home_plan::HomePlanRow;
pub use integrity::{Health, Unfit};
pub use personal::{PersonOfSection, PlayedRow, PulseRow, SeenRow, SpanRow, Whose};
pub use plans::{PlanKept, PlanRow};
pub use records::{PlayerRow, SessionRow, Store, StoreError};
pub use restore::{RestoreError, Restored, Restoring, restore};
pub use roster::{DeviceRow, Imported, PersonFields, PersonRow, SectionRow};
pub use runs::{CheckRow, PlanTakenRow, SectionRunRow};
pub(crate) use served::RoomBefore;
pub use sessions::{NewSession, RehearsalRow, SessionKind};
pub use stretches::StretchRow;
pub use token::token_sha256;
pub(crate) use writer::{Bound, Outcome, PlayerRecord, Record, Recorder};
