//! Which rooms there are. Nothing is awaited while its lock is held.

use super::task::RoomHandle;
use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

/// The rooms by join code; copies share them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Registry {
    rooms: Arc<RwLock<HashMap<String, RoomHandle>>>,
}

impl Registry {
    /// Lets devices find a room.
    pub(crate) fn add(&self, handle: RoomHandle) {
        let mut rooms = self.rooms.write().unwrap_or_else(PoisonError::into_inner);
        rooms.insert(handle.code().to_owned(), handle);
    }

    /// The room with this code.
    pub(crate) fn get(&self, code: &str) -> Option<RoomHandle> {
        self.rooms.read().unwrap_or_else(PoisonError::into_inner).get(code).cloned()
    }

    /// How many rooms there are, and how many players are in them.
    pub(crate) fn counts(&self) -> (usize, usize) {
        let rooms = self.rooms.read().unwrap_or_else(PoisonError::into_inner);
        (rooms.len(), rooms.values().map(RoomHandle::n_present).sum())
    }

    /// Forgets all rooms; each ends once nobody holds its handle any more.
    pub(crate) fn clear(&self) {
        self.rooms.write().unwrap_or_else(PoisonError::into_inner).clear();
    }
}
