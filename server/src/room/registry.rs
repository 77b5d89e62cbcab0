//! Which rooms there are. Nothing is awaited while its lock is held.

use super::task::RoomHandle;
use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

/// The rooms by their session; copies share them. Which join code leads where is the door's business.
#[derive(Debug, Clone, Default)]
pub(crate) struct Registry {
    rooms: Arc<RwLock<HashMap<String, RoomHandle>>>,
}

impl Registry {
    /// Lets devices find a room.
    pub(crate) fn add(&self, session_id: &str, handle: RoomHandle) {
        let mut rooms = self.rooms.write().unwrap_or_else(PoisonError::into_inner);
        rooms.insert(session_id.to_owned(), handle);
    }

    /// The room of this session.
    pub(crate) fn get(&self, session_id: &str) -> Option<RoomHandle> {
        self.rooms.read().unwrap_or_else(PoisonError::into_inner).get(session_id).cloned()
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
