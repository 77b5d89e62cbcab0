//! What a device keeps until the server says that it is safe: pulse batches and span results, by number. Pure.

use std::collections::VecDeque;
use windrow_protocol::messages::PlayerSays;

/// Most messages kept. A device makes at most ten pulse batches a second, so this is over a quarter of an hour without
/// a network; then the oldest are dropped.
const CAPACITY: usize = 10_000;

/// Messages that are not yet safe, oldest first.
#[derive(Debug, Clone, Default)]
pub(super) struct Outbox {
    kept: VecDeque<PlayerSays>,
}

impl Outbox {
    /// Keeps a message if it is of the kind that is acknowledged.
    pub(super) fn keep(&mut self, message: &PlayerSays) {
        if seq(message).is_none() {
            return;
        }
        if self.kept.len() == CAPACITY {
            self.kept.pop_front();
        }
        self.kept.push_back(message.clone());
    }

    /// Forgets all up to a number.
    pub(super) fn acknowledged(&mut self, up_to: u32) {
        while self.kept.front().and_then(seq).is_some_and(|seq| seq <= up_to) {
            self.kept.pop_front();
        }
    }

    /// What to send again after a new connection, in order.
    pub(super) fn waiting(&self) -> impl Iterator<Item = &PlayerSays> {
        self.kept.iter()
    }
}

/// The number by which a message is acknowledged.
fn seq(message: &PlayerSays) -> Option<u32> {
    match message {
        PlayerSays::Pulses(batch) => Some(batch.seq),
        PlayerSays::SpanResult(result) => Some(result.seq),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::messages::PulseBatch;

    fn batch(seq: u32) -> PlayerSays {
        PlayerSays::Pulses(PulseBatch { seq, pulses: Vec::new() })
    }

    fn waiting(outbox: &Outbox) -> Vec<u32> {
        outbox.waiting().filter_map(seq).collect()
    }

    #[test]
    fn what_is_not_acknowledged_is_sent_again_in_order() {
        let mut outbox = Outbox::default();
        (1..=4).for_each(|seq| outbox.keep(&batch(seq)));
        outbox.keep(&PlayerSays::Rest { resting: true });
        outbox.acknowledged(2);
        assert_eq!(waiting(&outbox), [3, 4]);
        outbox.acknowledged(1);
        assert_eq!(waiting(&outbox), [3, 4], "an older acknowledgement brings nothing back");
    }

    #[test]
    fn the_oldest_go_when_it_is_full() {
        let mut outbox = Outbox::default();
        let last = CAPACITY as u32 + 2;
        (1..=last).for_each(|seq| outbox.keep(&batch(seq)));
        let waiting = waiting(&outbox);
        assert_eq!((waiting.len(), waiting[0], waiting[CAPACITY - 1]), (CAPACITY, 3, last));
    }
}
