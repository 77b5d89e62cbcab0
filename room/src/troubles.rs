//! What of the server fails, as far as a rehearsal has to know: the conductor reads it for as long as it lasts, and devices whose
//! batches were not kept are asked for them again once the records can be written. Part of the room's pure rules.

use super::event::{ConnectionId, Effect};
use super::seat::Seat;
use super::state::{RETRY_US, Room};
use windrow_protocol::messages::Notice;
use windrow_protocol::phrase::Phrase;

/// What can fail for a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Nothing can be written.
    Records,
    /// Nobody else gets in.
    Connections,
}

/// Devices that come back at one look after the records could be written again: a section of forty within four seconds, so that
/// neither the network nor the records meet all that was kept at once. Our own choice.
const BACK_AT_ONCE: usize = 2;
/// In a larger section a share of it, so that all are back within so many looks (ten seconds).
const BACK_WITHIN_LOOKS: usize = 50;

impl Room {
    /// Something fails, for the reason given, or works again.
    pub(super) fn take_trouble(&mut self, part: Part, text: Option<Phrase>) {
        let before = self.troubles.iter().position(|(p, _)| *p == part);
        match (before, text) {
            (None, None) => {}
            (Some(idx), None) => {
                self.troubles.remove(idx);
            }
            (Some(idx), Some(text)) if self.troubles[idx].1.text == text => {}
            (before, Some(text)) => {
                if let Some(idx) = before {
                    self.troubles.remove(idx);
                }
                // Another text is another notice: it is drawn and read out anew. It goes by itself and asks nothing.
                let notice = Notice { id: self.next_notice_id(), text, answers: Vec::new() };
                self.troubles.push((part, notice));
                self.troubles.sort_by_key(|(part, _)| *part);
            }
        }
    }

    /// Ends the connections of devices whose batches were not kept: they come back and send them again. While the records cannot
    /// be written that would be for nothing; afterwards they are asked some at a time, who has waited longest first.
    pub(super) fn ask_again(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        if self.troubles.iter().any(|(part, _)| *part == Part::Records) {
            self.had_trouble = true;
            return;
        }
        let wait_us = if self.had_trouble { 0.0 } else { RETRY_US };
        let at_once = BACK_AT_ONCE.max(self.seats.len().div_ceil(BACK_WITHIN_LOOKS));
        let mut due: Vec<(&mut Seat, f64, ConnectionId)> = self
            .seats
            .iter_mut()
            .filter_map(|seat| {
                let since_us = seat.unkept_since_us.filter(|since_us| now_us - since_us >= wait_us)?;
                let connection = seat.connection?;
                Some((seat, since_us, connection))
            })
            .collect();
        // Who waits after that waits for another reason.
        self.had_trouble &= !due.is_empty();
        due.sort_by(|a, b| a.1.total_cmp(&b.1));
        for (seat, _, connection) in due.into_iter().take(at_once) {
            seat.get_up(now_us);
            effects.push(Effect::Disconnect { connection });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::desk::{Desk, batch};
    use super::super::event::Event;
    use super::*;

    const WHY: &str = "trouble-records-full";

    fn records(desk: &mut Desk, fail: bool) {
        let text = fail.then(|| Phrase::of(WHY));
        desk.apply(Event::Trouble { part: Part::Records, text });
    }

    fn tick(desk: &mut Desk) -> Vec<ConnectionId> {
        desk.now_us += 0.2e6;
        let effects = desk.apply(Event::Tick);
        let gone = |effect: &Effect| match effect {
            Effect::Disconnect { connection } => Some(*connection),
            _ => None,
        };
        effects.iter().filter_map(gone).collect()
    }

    #[test]
    fn the_conductor_reads_it_for_as_long_as_it_lasts() {
        let mut desk = Desk::new();
        records(&mut desk, true);
        let notices = desk.look().notices;
        assert_eq!(notices.len(), 1);
        assert_eq!((notices[0].text.id(), notices[0].answers.len()), (Some(WHY), 0));
        records(&mut desk, true);
        assert_eq!(desk.look().notices, notices, "it is the same one still");
        desk.apply(Event::Trouble { part: Part::Connections, text: Some(Phrase::of("trouble-connections")) });
        assert_eq!(desk.look().notices.len(), 2);
        records(&mut desk, false);
        let left = desk.look().notices;
        assert_eq!(left.iter().map(|n| n.text.id()).collect::<Vec<_>>(), [Some("trouble-connections")]);
    }

    #[test]
    fn devices_stay_in_while_nothing_can_be_written_and_are_asked_in_turn_afterwards() {
        let mut desk = Desk::new();
        let players: Vec<_> = (0..5).map(|i| desk.join(&format!("Player {i}"))).collect();
        records(&mut desk, true);
        for (i, connection) in players.iter().enumerate() {
            desk.tell(*connection, batch(1));
            desk.apply(Event::NotStored { player_id: format!("p{}", i + 1) });
        }
        for _ in 0..300 {
            assert_eq!(tick(&mut desk), [], "a minute without records");
        }
        records(&mut desk, false);
        let back: Vec<usize> = (0..4).map(|_| tick(&mut desk).len()).collect();
        assert_eq!(back, [2, 2, 1, 0]);
    }
}
