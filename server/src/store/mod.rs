//! What must not be lost: sessions, players and results in SQLite. It must not know rooms or sockets.

mod records;
mod writer;

pub use records::{PlayerRow, SessionRow, Store, StoreError};
pub(crate) use writer::{Outcome, Record, Recorder};
