//! Records that wait because they cannot be written, and that no device sends again: players, scores, runs. Of what replaces
//! something only the newest is kept, so hours without records stay small. It must not know why they wait.

use super::writer::{Bound, Record};
use std::collections::VecDeque;

/// Most that wait: those of a rehearsal of hours, with a tempo changed every few seconds. Beyond it the oldest goes that is no
/// player: a run has its own score.
const MOST: usize = 4096;

/// What waits, in the order in which it has to be written.
#[derive(Debug, Default)]
pub(crate) struct HeldOver {
    records: VecDeque<Record>,
    /// Left out because there was too much.
    n_left_out: u64,
}

impl HeldOver {
    pub(crate) fn is_empty(&self) -> bool {
        self.records.is_empty()
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &Record> {
        self.records.iter()
    }

    pub(super) fn clear(&mut self) {
        if self.n_left_out > 0 {
            tracing::error!(n = self.n_left_out, "too much waited for the records: this many were left out");
        }
        *self = Self::default();
    }

    /// The first one, to be tried; whoever cannot pass it on puts it back.
    pub(crate) fn take_first(&mut self) -> Option<Record> {
        self.records.pop_front()
    }

    pub(crate) fn put_back(&mut self, record: Record) {
        self.records.push_front(record);
    }

    /// Adds what is no device's to send again; others are not for here.
    pub(crate) fn add(&mut self, record: Record) {
        match record {
            Record::Mark | Record::Pulses { .. } | Record::Span { .. } => return,
            Record::Player(new) => {
                let same = self.records.iter_mut().find_map(|kept| match kept {
                    Record::Player(kept) if kept.player_id == new.player_id => Some(kept),
                    _ => None,
                });
                if let Some(kept) = same {
                    // Who was sure to be that person still is.
                    let stays = kept.bound == Bound::Confirmed && kept.person_id == new.person_id;
                    let bound =
                        if stays && new.bound == Bound::Person { Bound::Confirmed } else { new.bound };
                    // It stays at its place: what names the player comes behind.
                    *kept = super::writer::PlayerRecord { bound, ..new };
                    return;
                }
                self.records.push_back(Record::Player(new));
            }
            Record::Run { session_id, run } => {
                self.records.retain(|kept| match kept {
                    Record::Run { session_id: id, run: kept } => {
                        *id != session_id || kept.told.number != run.told.number
                    }
                    _ => true,
                });
                self.records.push_back(Record::Run { session_id, run });
            }
            other => self.records.push_back(other),
        }
        if self.records.len() > MOST {
            let idx = self.records.iter().position(|r| !matches!(r, Record::Player(_))).unwrap_or(0);
            self.records.remove(idx);
            self.n_left_out += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::writer::PlayerRecord;
    use super::*;

    fn player(player_id: &str, name: &str, bound: Bound) -> Record {
        Record::Player(PlayerRecord {
            session_id: "s1".to_owned(),
            player_id: player_id.to_owned(),
            chair: 1,
            name: name.to_owned(),
            instrument: "flute",
            calibrated: false,
            token_sha256: "d1".to_owned(),
            person_id: Some("w1".to_owned()),
            bound,
        })
    }

    fn plan() -> Record {
        let (title, text) = (String::new(), String::new());
        Record::Plan { session_id: "s1".to_owned(), taken_us: 0.0, title, text }
    }

    #[test]
    fn a_device_that_comes_back_for_hours_is_held_once_and_stays_whose_it_was() {
        let mut held = HeldOver::default();
        held.add(player("p1", "Imogen", Bound::Confirmed));
        held.add(player("p2", "Tobias", Bound::Person));
        for _ in 0..10_000 {
            held.add(player("p1", "Imogen P.", Bound::Person));
        }
        let kept: Vec<&Record> = held.iter().collect();
        assert_eq!(
            kept,
            [&player("p1", "Imogen P.", Bound::Confirmed), &player("p2", "Tobias", Bound::Person)]
        );
    }

    #[test]
    fn players_are_never_what_is_left_out() {
        let mut held = HeldOver::default();
        held.add(player("p", "Imogen", Bound::Person));
        held.add(plan());
        for i in 1..MOST {
            held.add(player(&format!("p{i}"), "Imogen", Bound::Person));
        }
        assert_eq!(held.iter().count(), MOST);
        assert!(held.iter().all(|record| matches!(record, Record::Player(_))));
        assert_eq!(held.n_left_out, 1);
    }

    #[test]
    fn what_a_device_sends_again_is_not_held() {
        let mut held = HeldOver::default();
        held.add(Record::Pulses { player_id: "p1".to_owned(), seq: 1, pulses: Vec::new() });
        held.add(Record::Mark);
        assert!(held.is_empty());
    }
}
