//! What a room's loop has to do with the records: what goes there, what comes back, and what the conductor reads of it.

use super::{RoomTask, record_of, words_of};
use crate::store::Condition;
use windrow_protocol::phrase::Phrase;
use windrow_room::{Event, Kept, Part};

impl RoomTask {
    /// How the writing goes, for the conductor.
    pub(super) fn tell_of_records(&mut self, now: Condition) {
        self.happen(Event::Trouble { part: Part::Records, text: now.trouble.map(words_of) });
        if now.n_brought_back != self.n_brought_back {
            self.n_brought_back = now.n_brought_back;
            self.happen(Event::Passed { text: Phrase::of("trouble-records-brought-back") });
        }
    }

    pub(super) fn keep(&mut self, kept: Kept) -> Option<Event> {
        let numbered = match &kept {
            Kept::Pulses { player_id, .. } | Kept::Span { player_id, .. } => Some(player_id.clone()),
            _ => None,
        };
        let record = record_of(&self.session_id, kept);
        self.pass_on();
        let taken = match self.waiting.is_empty() {
            true => self.recorder.keep(record, &self.outcomes_sender),
            false => Err(Box::new(record)),
        };
        // A player may wait in there: what is of the player must not overtake.
        let left = taken.err()?;
        self.waiting.add(*left);
        numbered.map(|player_id| Event::NotStored { player_id })
    }

    /// Hands on what the recorder had no room for.
    pub(super) fn pass_on(&mut self) {
        while let Some(record) = self.waiting.take_first() {
            if let Err(record) = self.recorder.keep(record, &self.outcomes_sender) {
                return self.waiting.put_back(*record);
            }
        }
    }
}
