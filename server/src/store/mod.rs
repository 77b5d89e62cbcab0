//! What must not be lost: sessions, players and results in SQLite. It must not know rooms or sockets.

mod access;
mod records;
mod writer;

pub(crate) use access::{Lifetime, SignInRow};
pub use records::{PlayerRow, SessionRow, Store, StoreError};
pub(crate) use writer::{Outcome, Record, Recorder};
